"""From the tables of a case file to a Case: every table by itself, what they demand of each other, then the case."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckle.case.checks import cross_findings
from buckle.case.contents import with_demand
from buckle.case.deviates import Deviation
from buckle.case.echo import EchoLine, Origins, echo_table, input_hash
from buckle.case.keys import Finding
from buckle.case.models import (
    Analyses,
    Contents,
    Expectation,
    Loads,
    Numerics,
    Requirements,
    SizeTable,
    Supports,
)
from buckle.case.parts import TABLES, Parts, read_parts
from buckle.case.tolerances import ReadTolerances, Tolerance, anchored, numbers_of, read_tolerances
from buckle.case.validate import in_file
from buckle.demand.conditions import Demand
from buckle.imperfection.body import Deviated
from buckle.material import Material
from buckle.meridian import Meridian

WITHOUT = ReadTolerances()
"""Of a case that says nothing of tolerances."""


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
    deviation: Deviation | None = None
    deviated: tuple[Deviated, ...] = field(default=(), repr=False)
    size: SizeTable | None = field(default=None, repr=False)
    tolerances: tuple[Tolerance, ...] = ()
    correlation: NDArray[np.float64] = field(default_factory=lambda: np.eye(0), repr=False, compare=False)

    @property
    def required_load(self) -> float | None:
        """Size of the load that is required, of what increases: a pressure [MPa] or an axial force [N]."""
        needs = self.requirements
        return needs.pressure if self.loads.increasing.is_pressure else needs.axial_force


def assemble(tables: Mapping[str, Any], path: str | None) -> tuple[Case | None, list[Finding]]:
    """Return the case, or None and every finding."""
    parts = read_parts(tables, Path(path or "").parent)
    findings = [*parts.findings, *in_file(cross_findings(parts), parts.keys, tables)]
    if findings or "tolerances" not in tables:
        return (None if findings else _case(parts, tables, path)), findings
    scatter = read_tolerances(tables["tolerances"], numbers_of(tables, tuple(_echo(parts))), Path(path or "").parent)
    return (None if scatter.findings else _case(parts, tables, path, scatter)), list(scatter.findings)


def _case(parts: Parts, tables: Mapping[str, Any], path: str | None, scatter: ReadTolerances = WITHOUT) -> Case:
    models = {name: part.model for name, part in parts.named.items()}
    expect = tuple(entry.model for entry in parts.expect)
    heading, shape, demand = models["case"], models["shape"], parts.contents.demand
    assert parts.contents.material is not None
    assert parts.shape.body is not None
    return Case(
        title=heading.title or Path(path or "").stem,
        purpose=heading.purpose,
        material=parts.contents.material,
        family=shape.family,
        dimensions={name: getattr(shape, name) for name in type(shape).model_fields if name != "family"},
        meridian=parts.shape.body.meridian,
        supports=models["supports"],
        loads=models["loads"],
        analyses=models["analyses"],
        requirements=with_demand(models["requirements"], demand),
        expect=expect,
        contents=models["contents"],
        numerics=models["numerics"],
        echo=(*_echo(parts), *scatter.echo),
        input_hash=input_hash({**models, **_scanned(parts), **scatter.hashed, "expect": expect}),
        tables=anchored(tables, path),
        path=path,
        demand=demand,
        asked=models["requirements"],
        deviation=models.get("deviation"),
        deviated=parts.deviation.bodies if parts.deviation else (),
        size=parts.size.model if parts.size else None,
        tolerances=scatter.tolerances,
        correlation=scatter.correlation,
    )


def _scanned(parts: Parts) -> dict[str, str]:
    """What stands for the places of a scan in the hash of the input."""
    return {"scan": parts.deviation.digest} if parts.deviation and parts.deviation.digest else {}


def _echo(parts: Parts) -> Iterator[EchoLine]:
    keys, grade = parts.keys, parts.metal.grade
    sources = {"material": grade.sources} if grade else {}
    for name in (name for name in TABLES if name in parts.named):
        model = parts.named[name].model
        if model is not None:
            yield from echo_table(model, (name,), Origins(keys, sources.get(name, {})))
