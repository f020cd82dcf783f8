"""[material]: a shipped grade, the keys that override it, and the hardening law."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from buckle.case.internal import internalise
from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.models import HARDENING, Metal, NoHardening, Table
from buckle.case.validate import Checked, check_table
from buckle.material import (
    Grade,
    Hardening,
    Material,
    grades,
    linear_hardening,
    ramberg_osgood,
    swift_hardening,
    table_hardening,
    voce_hardening,
)
from buckle.proportions import DENSITY, HARDENED_OVER_MODULUS, YIELD_OVER_MODULUS, hardened_stress

PATH: KeyPath = ("material",)
LAW_PATH: KeyPath = (*PATH, "hardening")
E_RANGE = (1.0, 1e6)  # MPa: silicone models of shells to diamond

LAWS: Mapping[str, Callable[[float, Any], Hardening]] = {
    "none": lambda yield_stress, law: linear_hardening(yield_stress),
    "linear": lambda yield_stress, law: linear_hardening(yield_stress, law.modulus),
    "voce": lambda yield_stress, law: voce_hardening(yield_stress, law.increment, law.rate),
    "swift": lambda yield_stress, law: swift_hardening(yield_stress, law.offset, law.exponent),
    "ramberg_osgood": lambda yield_stress, law: ramberg_osgood(yield_stress, law.exponent),
    "table": lambda yield_stress, law: _table(law.points),
}


@dataclass(frozen=True)
class ReadMetal:
    """The material, or None with its findings; the validated table and the grade for the echo."""

    material: Material | None
    findings: tuple[Finding, ...]
    metal: Metal | None = None
    grade: Grade | None = None
    keys: Mapping[KeyPath, KeyPath] = field(default_factory=dict)


def read_metal(table: object) -> ReadMetal:
    """Return the material of a [material] table."""
    if not isinstance(table, Mapping):
        return ReadMetal(None, (Finding(PATH, "must be a table", table),))
    name = table.get("grade")
    if isinstance(name, str) and name not in grades():
        finding = Finding((*PATH, "grade"), unknown_word("grade", name, grades()), name, ", ".join(grades()))
        return ReadMetal(None, (finding,))
    grade = grades()[name] if isinstance(name, str) else None
    base = internalise(Metal, grade.values, PATH).values if grade else {}
    checked = check_table(Metal, table, PATH, base)
    law = _read_law(table, grade)
    findings = (*checked.findings, *law.findings)
    metal = None if findings else _settled(checked.model, law.model, checked.keys)
    if metal is not None:
        findings = tuple(_doubts(metal, checked.keys, table))
    material = None if findings or metal is None else _material(metal)
    if material is not None and hardened_stress(material) > (most := HARDENED_OVER_MODULUS * material.youngs_modulus):
        problem = "at a plastic strain of 1 the metal would carry more than twice Young's modulus, check the units"
        findings = (Finding(LAW_PATH, problem, table.get("hardening"), f"a flow stress there of up to {most:g} MPa"),)
        material = None
    return ReadMetal(material, findings, metal, grade, {**law.keys, **checked.keys})


def _read_law(table: Mapping[str, Any], grade: Grade | None) -> Checked:
    """Choose the law by its name first, so that its other keys are judged against the right one."""
    given = table.get("hardening", grade.values["hardening"] if grade else None)
    if given is None:
        return Checked(None)
    if not isinstance(given, Mapping) or "law" not in given:
        allowed = ", ".join(f'law = "{law}"' for law in HARDENING)
        return Checked(None, (Finding(LAW_PATH, "must be a table that names its law", given, allowed),))
    law = given["law"]
    if not isinstance(law, str) or law not in HARDENING:
        problem = unknown_word("law", str(law), HARDENING)
        return Checked(None, (Finding((*LAW_PATH, "law"), problem, law, ", ".join(HARDENING)),))
    return check_table(HARDENING[law], given, LAW_PATH)


def _settled(metal: Metal, law: Any, keys: Mapping[KeyPath, KeyPath]) -> Metal:
    """Return the metal with its law: ideal plasticity if it has a yield stress and no more is said.

    A law of the case's own has no strain in common with that of a grade which it takes the place of.
    """
    if law is None and metal.yield_stress is not None:
        law = NoHardening(law="none")
    update: dict[str, Any] = {"hardening": law}
    if any(path[:2] == LAW_PATH for path in keys) and (*PATH, "uniform_strain") not in keys:
        update["uniform_strain"] = None
    return metal.model_copy(update=update)


def _doubts(metal: Metal, keys: Mapping[KeyPath, KeyPath], table: Mapping[str, Any]) -> Iterator[Finding]:
    """Yield what is wrong with a metal whose every number is allowed by itself."""

    def doubt(name: str, problem: str, allowed: str) -> Finding:
        path = keys.get((*PATH, name), (*PATH, name))
        return Finding(path, problem, table.get(str(path[-1])), allowed)

    low, high = E_RANGE
    flow = _first_flow(metal)
    least, most = (ratio * metal.youngs_modulus for ratio in YIELD_OVER_MODULUS)
    if not low <= metal.youngs_modulus <= high:
        yield doubt("youngs_modulus", "no material's; is it in GPa?", f"{low:g} to {high:g} MPa")
    elif flow is not None and flow > most:
        yield doubt("yield_stress", "too near Young's modulus, check both units", f"< {most:g} MPa")
    elif flow is not None and flow < least:
        yield doubt("yield_stress", "no metal's beside Young's modulus, check both units", f"> {least:g} MPa")
    lightest, heaviest = DENSITY
    if metal.density and not lightest <= metal.density <= heaviest:
        yield doubt(
            "density", "no metal's; is it in g_per_cm3?", f"{lightest:g} to {heaviest:g} kg_per_m3, 0 if unknown"
        )
    if flow is not None and not metal.yields:
        yield doubt("yields", "contradicts the yield stress", "true, or no yield stress and no hardening")
    if metal.hardening is not None and flow is None:
        yield doubt("yield_stress", "missing, the hardening law starts from it", "yield_stress_MPa")
    if isinstance(metal.hardening, Table):
        yield from _table_doubts(metal.hardening.points)
        if (*PATH, "yield_stress") in keys and metal.yield_stress != flow:
            yield doubt(
                "yield_stress", "contradicts the table", f"{flow:g} MPa, the first stress of the table, or none"
            )


def _table_doubts(points: tuple[tuple[float, float], ...]) -> Iterator[Finding]:
    path = (*LAW_PATH, "points_MPa")
    strains, stresses = ([point[i] for point in points] for i in (0, 1))
    if strains[0] != 0.0 or any(after <= before for before, after in pairwise(strains)):
        yield Finding(path, "the plastic strain must rise from 0", strains, "0 < second < third ...")
    elif any(after < before for before, after in pairwise(stresses)):
        problem = "the stress must not fall: no path of metal that softens could be followed"
        yield Finding(path, problem, stresses, "first <= second <= third ...")


def _first_flow(metal: Metal) -> float | None:
    """Return the stress at which the metal first flows [MPa]; None if it never does."""
    return metal.hardening.points[0][1] if isinstance(metal.hardening, Table) else metal.yield_stress


def _material(metal: Metal) -> Material:
    law, flow = metal.hardening, _first_flow(metal)
    hardening = None if flow is None else LAWS[law.law](flow, law)
    return Material(
        metal.youngs_modulus,
        metal.poissons_ratio,
        metal.density,
        hardening,
        metal.grade,
        _measured_up_to(metal),
        metal.yields,
    )


def _measured_up_to(metal: Metal) -> float | None:
    """Plastic strain up to which the curve was measured: that of a table is its last, unless the case says."""
    if metal.uniform_strain is None and isinstance(metal.hardening, Table):
        return metal.hardening.points[-1][0]
    return metal.uniform_strain


def _table(points: tuple[tuple[float, float], ...]) -> Hardening:
    strains, stresses = zip(*points, strict=True)
    return table_hardening(strains, stresses)
