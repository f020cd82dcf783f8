"""[material]: a shipped grade, the keys that override it, and the hardening law."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from buckle.case.internal import internalise
from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.models import HARDENING, HardeningTable, Metal, NoHardening
from buckle.case.validate import Checked, check_table, in_file
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
from buckle.proportions import (
    DENSITY,
    HARDENED_OVER_MODULUS,
    LEAST_POISSONS_RATIO,
    STEEPEST_OVER_MODULUS,
    YIELD_OVER_MODULUS,
    hardened_stress,
    steepest_slope,
)

PATH: KeyPath = ("material",)
LAW_PATH: KeyPath = (*PATH, "hardening")
LEAST_STEP = 1e-9  # of plastic strain between two points of a table: far below what any test resolves
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
class ReadMetal(Checked):
    """The validated table with the grade that it names, and the material if it is sound."""

    grade: Grade | None = None
    material: Material | None = None


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
    keys = {**law.keys, **checked.keys}
    if findings:
        return ReadMetal(None, findings, keys, grade=grade)
    metal = _settled(checked.model, law.model, checked.keys)
    findings = tuple(_doubts(metal, checked.keys, table))
    if findings:
        return ReadMetal(metal, findings, keys, grade=grade)
    material = _material(metal)
    findings = tuple(_curve_doubts(material, table))
    return ReadMetal(metal, findings, keys, grade=grade, material=None if findings else material)


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
    doubts = (*_elastic_doubts(metal), *_flow_doubts(metal, keys))
    found = (Finding((*PATH, name), problem, allowed=allowed) for name, problem, allowed in doubts)
    yield from in_file(found, keys, {"material": table})
    if isinstance(metal.hardening, HardeningTable):
        yield from _table_doubts(metal.hardening.points)


def _elastic_doubts(metal: Metal) -> Iterator[tuple[str, str, str]]:
    """Yield key, problem and what is allowed of elastic constants and density that no material has."""
    low, high = E_RANGE
    if not low <= metal.youngs_modulus <= high:
        yield "youngs_modulus", "no material's; is it in GPa?", f"{low:g} to {high:g} MPa"
    if 0.0 < metal.poissons_ratio < LEAST_POISSONS_RATIO:
        yield "poissons_ratio", "no metal's", f"0, or {LEAST_POISSONS_RATIO:g} to 0.5"
    lightest, heaviest = DENSITY
    if metal.density and not lightest <= metal.density <= heaviest:
        yield "density", "no metal's; is it in g_per_cm3?", f"{lightest:g} to {heaviest:g} kg_per_m3, 0 if unknown"


def _flow_doubts(metal: Metal, keys: Mapping[KeyPath, KeyPath]) -> Iterator[tuple[str, str, str]]:
    """Yield the same of a yield stress that does not go with the modulus, the law or what the case says of it."""
    flow = _first_flow(metal)
    if flow is None:
        if metal.hardening is not None:
            yield "yield_stress", "missing, the hardening law starts from it", "yield_stress_MPa"
        return
    least, most = (ratio * metal.youngs_modulus for ratio in YIELD_OVER_MODULUS)
    if E_RANGE[0] <= metal.youngs_modulus <= E_RANGE[1]:  # else the modulus is to blame
        if flow > most:
            yield "yield_stress", "too near Young's modulus, check both units", f"< {most:g} MPa"
        elif flow < least:
            yield "yield_stress", "no metal's beside Young's modulus, check both units", f"> {least:g} MPa"
    if not metal.yields:
        yield "yields", "contradicts the yield stress", "true, or no yield stress and no hardening"
    given = (*PATH, "yield_stress") in keys
    if isinstance(metal.hardening, HardeningTable) and given and metal.yield_stress != flow:
        yield "yield_stress", "contradicts the table", f"{flow:g} MPa, the first stress of the table, or none"


def _curve_doubts(material: Material, table: Mapping[str, Any]) -> Iterator[Finding]:
    """Yield what is wrong with a curve whose every number is allowed by itself."""
    bounds = (
        (hardened_stress(material), HARDENED_OVER_MODULUS, "the flow stress at a plastic strain of 1"),
        (steepest_slope(material), STEEPEST_OVER_MODULUS, "the slope of the curve"),
    )
    for value, times, what in bounds:
        if value > times * material.youngs_modulus:
            problem = f"{what} would be more than {times:g} times Young's modulus, check the units"
            yield Finding(LAW_PATH, problem, table.get("hardening"), f"up to {times * material.youngs_modulus:g} MPa")


def _table_doubts(points: tuple[tuple[float, float], ...]) -> Iterator[Finding]:
    path = (*LAW_PATH, "points_MPa")
    strains, stresses = ([point[i] for point in points] for i in (0, 1))
    if strains[0] != 0.0 or any(after <= before for before, after in pairwise(strains)):
        yield Finding(path, "the plastic strain must rise from 0", strains, "0 < second < third ...")
    elif any(after - before < LEAST_STEP for before, after in pairwise(strains)):
        yield Finding(path, "two strains are as good as the same", strains, f"steps of {LEAST_STEP:g} and more")
    elif any(after < before for before, after in pairwise(stresses)):
        problem = "the stress must not fall: no path of metal that softens could be followed"
        yield Finding(path, problem, stresses, "first <= second <= third ...")


def _first_flow(metal: Metal) -> float | None:
    """Return the stress at which the metal first flows [MPa]; None if it never does."""
    return metal.hardening.points[0][1] if isinstance(metal.hardening, HardeningTable) else metal.yield_stress


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
    if metal.uniform_strain is None and isinstance(metal.hardening, HardeningTable):
        return metal.hardening.points[-1][0]
    return metal.uniform_strain


def _table(points: tuple[tuple[float, float], ...]) -> Hardening:
    strains, stresses = zip(*points, strict=True)
    return table_hardening(strains, stresses)
