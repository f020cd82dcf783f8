"""Random bases on their stands, those of the study of the rolling stand, and random necks, under an axial force.

The ranges of necks are common practice, no source. Lengths in mm, angles in degrees, stresses in MPa.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from scipy.stats import qmc

import buckle
from buckle.case import Case, case_from_dict
from buckle.errors import CaseError
from buckle.formulas.stand import crushing
from buckle.margins.hand import hand_calculations
from scripts.study.rolling.bodies import feasible

WHAT = ("bases", "necks")
COUNT = 40
PRESSURES = (0.0, 2.0, 4.0)  # bar
QUICK = {"estimate_error": False, "lower_bracket": False, "pictures": False}
SEED, POOL = 50221, 8
NECK_RANGES: Mapping[str, tuple[float, float]] = {
    "wall_radius_mm": (25.0, 33.0),
    "step": (1.5, 6.0),
    "shoulder_radius_mm": (3.0, 10.0),
    "throat_radius_mm": (3.0, 8.0),
    "cone_angle_deg": (15.0, 45.0),
    "edge_height_mm": (0.5, 4.0),
    "thickness_mm": (0.12, 0.20),
    "yield_stress_MPa": (230.0, 320.0),
    "increment_MPa": (20.0, 60.0),
    "rate": (20.0, 60.0),
}


def bodies(what: str, count: int) -> Iterator[tuple[int, float, Case]]:
    """Number in the draw, pressure [bar] and case of the first bodies that can be made."""
    found = [(index, base.tables) for index, _, base in feasible("bases", count)] if what == "bases" else necks(count)
    for index, tables in found:
        for pressure in PRESSURES:
            yield index, pressure, case_of(tables, pressure)


def necks(count: int) -> list[tuple[int, dict[str, Any]]]:
    """Tables of the first necks whose chain of pieces closes, with their number in the draw."""
    found: list[tuple[int, dict[str, Any]]] = []
    for index, point in enumerate(qmc.Sobol(len(NECK_RANGES), rng=SEED).random_base2(POOL)):
        ranges = zip(point, NECK_RANGES.items(), strict=True)
        tables = neck_tables({name: round(low + x * (high - low), 5) for x, (name, (low, high)) in ranges})
        try:
            case_of(tables, 0.0)
        except CaseError:
            continue
        found.append((index, tables))
        if len(found) == count:
            break
    return found


def neck_tables(x: Mapping[str, float]) -> dict[str, Any]:
    hardening = {"law": "voce", "increment_MPa": x["increment_MPa"], "rate": x["rate"]}
    metal = {"youngs_modulus_GPa": 69.0, "poissons_ratio": 0.33, "yield_stress_MPa": x["yield_stress_MPa"]}
    same = ("wall_radius_mm", "shoulder_radius_mm", "throat_radius_mm", "cone_angle_deg", "edge_height_mm")
    shape = {"family": "neck", **{key: x[key] for key in (*same, "thickness_mm")}, "wall_height_mm": 15.0}
    return {
        "material": {**metal, "hardening": hardening},
        "shape": shape | {"neck_radius_mm": x["wall_radius_mm"] - x["step"]},
        "analyses": {"run": ["GMNA"], "wave_numbers": [0, 0]},
    }


def case_of(tables: Mapping[str, Any], pressure: float) -> Case:
    """The body held below, at a stand that is free to widen or the foot of its wall, pressed from above."""
    push = {"pressure_side": "inside", "increases": "axial_force", "axial_force_N": -1.0, "pressure_bar": pressure}
    on_wall = tables["shape"]["family"] == "neck"
    below = {"start_edge": "clamped"} if on_wall else {"stand": crushing.crush.statement.edge}
    return case_from_dict({**tables, "loads": push, "supports": {"outer_edge": "sleeve", **below}})


def row(index: int, pressure: float, case: Case) -> dict[str, float]:
    """Limits of two analyses and the formula [N], without a value NaN."""
    found = {kind: buckle.run(case, kind, **QUICK).axisymmetric for kind in ("MNA", "GMNA")}
    limits = {f"{kind}_N": event.load if event else float("nan") for kind, event in found.items()}
    return {"number": index, "pressure_bar": pressure, **limits, "formula_N": by_hand(case)}


def by_hand(case: Case) -> float:
    formula = hand_calculations(case)["MNA"][0]
    return float("nan") if formula.value is None else formula.value
