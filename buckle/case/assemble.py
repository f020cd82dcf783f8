"""From the tables of a case file to a Case: every table is judged, and what they demand of each other."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckle.case.checks import (
    analysis_findings,
    axial_findings,
    ceiling_findings,
    contents_findings,
    expectation_findings,
    fineness_findings,
    force_findings,
    load_findings,
    movement_findings,
    requirement_findings,
    state_findings,
    support_findings,
    warm_findings,
)
from buckle.case.contents import demand_of, with_demand
from buckle.case.echo import EchoLine, Origins, echo_table, input_hash
from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.metal import ReadMetal, read_metal
from buckle.case.models import (
    NEEDED,
    SECTIONS,
    Analyses,
    Contents,
    Expectation,
    Loads,
    Numerics,
    Requirements,
    SizeTable,
    Supports,
)
from buckle.case.shape import ReadShape, read_shape
from buckle.case.tolerances import ReadTolerances, Tolerance, anchored, numbers_of, read_tolerances
from buckle.case.validate import Checked, check_table, value_at
from buckle.demand.conditions import Demand
from buckle.increasing import PRESSURE
from buckle.material import Material, warmed
from buckle.meridian import Meridian

PLAIN = [name for name in SECTIONS if name not in ("case", "material")]
TABLES = ("case", "material", "shape", *PLAIN, "tolerances", "expect")


@dataclass(frozen=True)
class Case:
    """A validated case in mm, N, MPa and rad; `tables` is the data it was read from, keys with their units.

    The required pressure is the higher of the file's and of the demand that the contents make on that side of the
    wall; `asked` holds the file's. The material is warm where the contents say so. `correlation` is that of the normal
    scores of the tolerances. `size` asks for another body: no hash counts it. `path` and `data`, the bytes, are those
    of its file; None for a case that was read from none.
    """

    title: str
    purpose: str
    material: Material
    family: str
    dimensions: Mapping[str, Any]
    meridian: Meridian
    supports: Supports
    loads: Loads
    analyses: Analyses
    requirements: Requirements
    expect: tuple[Expectation, ...]
    contents: Contents | None
    numerics: Numerics
    echo: tuple[EchoLine, ...]
    input_hash: str
    tables: Mapping[str, Any] = field(repr=False)
    path: str | None = None
    data: bytes | None = field(default=None, repr=False)
    demand: Demand | None = field(default=None, repr=False)
    asked: Requirements = field(default_factory=Requirements, repr=False)
    size: SizeTable | None = field(default=None, repr=False)
    tolerances: tuple[Tolerance, ...] = ()
    correlation: NDArray[np.float64] = field(default_factory=lambda: np.eye(0), repr=False, compare=False)

    @property
    def required_load(self) -> float | None:
        """Size of the load that is required, of what increases: a pressure [MPa] or an axial force [N]."""
        needs = self.requirements
        return needs.pressure if self.loads.increasing.is_pressure else needs.axial_force


_Table = ReadMetal | ReadShape | Checked


@dataclass(frozen=True)
class _Parts:
    """Every table as far as it could be validated."""

    metal: ReadMetal
    shape: ReadShape
    plain: Mapping[str, Checked]
    expect: tuple[Checked, ...]
    strays: tuple[Finding, ...]
    tolerances: ReadTolerances


def assemble(tables: Mapping[str, Any], path: str | None) -> tuple[Case | None, list[Finding]]:
    """Return the case, or None and every finding."""
    parts = _read_tables(tables)
    findings = [*_table_findings(parts, tables), *_cross_findings(parts, tables)]
    if not findings and "tolerances" in tables:
        parts = _with_tolerances(parts, tables, path)
        findings += parts.tolerances.findings
    return (None if findings else _case(parts, tables, path)), findings


def _with_tolerances(parts: _Parts, tables: Mapping[str, Any], path: str | None) -> _Parts:
    numbers = numbers_of(tables, tuple(_echo(parts)))
    return replace(parts, tolerances=read_tolerances(tables["tolerances"], numbers, Path(path or "").parent))


def _read_tables(tables: Mapping[str, Any]) -> _Parts:
    plain = {
        name: check_table(model, tables[name], (name,)) if name in tables else Checked(_default(name))
        for name, model in SECTIONS.items()
        if name != "material"
    }
    strays = [_stray(name, tables[name]) for name in tables if name not in TABLES]
    expect = tables.get("expect", ())
    if not isinstance(expect, list | tuple):
        strays.append(Finding(("expect",), "must be a list of tables", expect, "[[expect]]"))
        expect = ()
    return _Parts(
        read_metal(tables.get("material", {})),
        read_shape(tables.get("shape", {})),
        plain,
        tuple(check_table(Expectation, entry, ("expect", at)) for at, entry in enumerate(expect)),
        tuple(strays),
        ReadTolerances(),
    )


def _default(name: str) -> Any:
    """Return what an absent table means; None if it cannot be absent or means nothing."""
    return None if name in NEEDED or name in ("contents", "size") else SECTIONS[name]()


def _stray(name: str, value: object) -> Finding:
    return Finding((name,), unknown_word("table", name, TABLES), value, ", ".join(TABLES))


def _table_findings(parts: _Parts, tables: Mapping[str, Any]) -> Iterator[Finding]:
    """Yield what is wrong inside the tables; an absent one is one finding, not one for each of its keys."""
    yield from parts.strays
    yield from (Finding((name,), "missing", allowed=f"a table [{name}]") for name in NEEDED if name not in tables)
    judged: dict[str, _Table] = {"material": parts.metal, "shape": parts.shape, **parts.plain}
    for name, table in judged.items():
        yield from table.findings if name in tables else ()
    for entry in parts.expect:
        yield from entry.findings


def _cross_findings(parts: _Parts, tables: Mapping[str, Any]) -> Iterator[Finding]:
    """Yield what the tables that are sound demand of each other, at the keys and with the values of the file."""
    supports, loads, analyses, requirements = (
        parts.plain[name].model for name in ("supports", "loads", "analyses", "requirements")
    )
    meridian = parts.shape.meridian
    found = list(_size_findings(parts))
    if supports and meridian:
        found += support_findings(supports, meridian)
    if supports and loads:
        found += load_findings(loads, supports)
    if analyses:
        found += analysis_findings(analyses, parts.metal.material)
    unsound = list(_contents_findings(parts))
    found += unsound
    if requirements and loads and not loads.increasing.is_pressure:
        found += axial_findings(requirements, parts.plain["contents"].model)
    elif requirements:
        found += requirement_findings(with_demand(requirements, None if unsound else _demand(parts)))
    if requirements and loads and meridian:
        found += ceiling_findings(requirements, loads, meridian)
    sound = [entry.model for entry in parts.expect if entry.model]
    if len(sound) == len(parts.expect):
        found += expectation_findings(
            sound, analyses.run if analyses else None, loads.increasing if loads else PRESSURE
        )
    keys = _keys(parts)
    for each in found:
        path = keys.get(each.path, each.path)
        yield Finding(path, each.problem, value_at(tables, path), each.allowed)


def _size_findings(parts: _Parts) -> Iterator[Finding]:
    """Yield what is out of proportion to the body and its metal."""
    meridian, material = parts.shape.meridian, parts.metal.material
    if meridian is None:
        return
    loads, requirements, numerics = (parts.plain[name].model for name in ("loads", "requirements", "numerics"))
    if loads and material:
        yield from force_findings(loads, meridian, material)
    if requirements:
        yield from movement_findings(requirements, meridian)
    if numerics:
        yield from fineness_findings(numerics, meridian)


def _contents_findings(parts: _Parts) -> Iterator[Finding]:
    contents = parts.plain["contents"].model
    if contents is not None:
        unsound = list(contents_findings(contents))
        yield from unsound or state_findings(contents, _side(parts))
        yield from warm_findings(contents, parts.metal.grade)


def _demand(parts: _Parts) -> Demand | None:
    contents = parts.plain["contents"].model
    return None if contents is None else demand_of(contents, _side(parts))


def _side(parts: _Parts) -> str:
    loads = parts.plain["loads"].model
    return loads.pressure_side if loads else "inside"


def _keys(parts: _Parts) -> dict[KeyPath, KeyPath]:
    """Return {internal path: the file's path} of all tables."""
    sources: list[_Table] = [parts.metal, parts.shape, *parts.plain.values(), *parts.expect]
    return {internal: path for source in sources for internal, path in source.keys.items()}


def _case(parts: _Parts, tables: Mapping[str, Any], path: str | None) -> Case:
    plain = {name: checked.model for name, checked in parts.plain.items()}
    heading, shape, demand = plain.pop("case"), parts.shape.shape, _demand(parts)
    size = plain.pop("size")
    expect = tuple(entry.model for entry in parts.expect)
    judged = {"case": heading, "material": parts.metal.metal, "shape": shape, **plain}
    asked = plain.pop("requirements")
    assert parts.metal.material is not None
    assert parts.shape.meridian is not None
    return Case(
        title=heading.title or Path(path or "").stem,
        purpose=heading.purpose,
        material=_material(parts, demand),
        family=parts.shape.family,
        dimensions={name: getattr(shape, name) for name in type(shape).model_fields if name != "family"},
        meridian=parts.shape.meridian,
        expect=expect,
        echo=tuple(_echo(parts)),
        input_hash=input_hash({**judged, **_scatter(parts.tolerances), "expect": expect}),
        tables=anchored(tables, path),
        tolerances=parts.tolerances.tolerances,
        correlation=parts.tolerances.correlation,
        path=path,
        demand=demand,
        requirements=with_demand(asked, demand),
        asked=asked,
        size=size,
        **plain,
    )


def _scatter(read: ReadTolerances) -> dict[str, Any]:
    """Return what of the tolerances goes into the hash; nothing where there are none."""
    if not read.tolerances:
        return {}
    rows = [[each.key, each.law, each.low, each.high, each.sample] for each in read.tolerances]
    moments = [[each.mean, each.standard_deviation] for each in read.tolerances]
    known = [[None if math.isnan(value) else value for value in row] for row in moments]
    return {"tolerances": [rows, known, read.correlation.tolist()]}


def _material(parts: _Parts, demand: Demand | None) -> Material:
    """Return the metal, warm as in the governing condition where the contents ask for it."""
    metal, contents, grade = parts.metal.material, parts.plain["contents"].model, parts.metal.grade
    assert metal is not None
    if demand is None or grade is None or not contents.warm_metal:
        return metal
    return warmed(metal, grade.softens, demand.governing.condition.temperature)


def _echo(parts: _Parts) -> Iterator[EchoLine]:
    origins = Origins(_keys(parts), {})
    metal = Origins(origins.keys, parts.metal.grade.sources if parts.metal.grade else {})
    yield from echo_table(parts.plain["case"].model, ("case",), origins)
    if parts.metal.metal is not None:
        yield from echo_table(parts.metal.metal, ("material",), metal)
    yield from echo_table(parts.shape.shape, ("shape",), origins)
    for name in ("supports", "loads", "analyses", "requirements", "contents", "numerics"):
        if parts.plain[name].model is not None:
            yield from echo_table(parts.plain[name].model, (name,), origins)
    yield from parts.tolerances.echo
