"""Random bases and ends of the published ranges, as cases, for the study of the rolling formula.

The draw is the first 2**POOL Sobol points, in order; those whose chain of arcs does not close are passed over. Ranges
come from patents and trade pages (US 7,395,686 B2; WO 99/62765 A1; WO 2023/126141 A1; JP 2025-13263 A; CMI Voluntary
Can and End Dimension Reference Manual, 202 sample page; US 6,761,280 B2; US 12,629,744 B2) where they give one, else
from common practice, no source. Lengths in mm, angles in degrees, stresses in MPa.
"""

from collections.abc import Iterator, Mapping

from scipy.stats import qmc

from buckle.case import Case, case_from_dict
from buckle.errors import CaseError
from buckle.formulas.base import Formula
from buckle.margins.hand import hand_calculations

SEEDS = {"bases": 90417, "ends": 31866}
POOL = 9

BASE_RANGES: Mapping[str, tuple[float, float]] = {
    "gauge": (0.20, 0.33),
    "stand_radius": (20.5, 25.0),
    "nose_inner_radius": (1.0, 2.2),
    "nose_outer_radius": (1.0, 2.2),
    "reformed": (0.0, 1.0),
    "leg": (0.0, 1.0),
    "undercut_length": (0.2, 0.5),
    "reform_radius": (0.7, 1.2),
    "upper_leg_angle": (4.0, 12.0),
    "dome_corner_radius": (1.3, 3.05),
    "dome_radius": (42.0, 52.0),
    "dome_depth": (9.0, 11.5),
    "outer_leg_angle": (20.0, 30.0),
    "outer_leg_length": (1.0, 1.8),
    "chime_radius": (2.0, 3.5),
    "chime_angle": (50.0, 62.0),
    "heel_radius": (3.0, 6.0),
    "wall_beyond_stand": (6.0, 9.5),
    "yield_stress": (230.0, 320.0),
    "increment": (20.0, 60.0),
    "rate": (20.0, 60.0),
}
END_RANGES: Mapping[str, tuple[float, float]] = {
    "gauge": (0.20, 0.24),
    "countersink_ring_radius": (22.3, 24.2),
    "countersink_radius": (0.40, 0.75),
    "panel_radius": (0.35, 0.55),
    "panel_depth": (1.6, 2.8),
    "slopes": (0.0, 1.0),
    "chuck_wall_angle": (0.0, 1.0),
    "chuck_wall_length": (0.0, 1.0),
    "chuck_bend_radius": (0.9, 1.3),
    "upper_chuck_wall_angle": (18.0, 32.0),
    "upper_chuck_wall_length": (1.6, 2.4),
    "yield_stress": (300.0, 380.0),
    "increment": (20.0, 60.0),
    "rate": (20.0, 60.0),
}


def samples(what: str, pool: int = POOL) -> Iterator[dict[str, float]]:
    """Drawn numbers, one body at a time, always the same: a larger pool goes on where a smaller one ends."""
    ranges = BASE_RANGES if what == "bases" else END_RANGES
    points = qmc.Sobol(len(ranges), rng=SEEDS[what]).random_base2(pool)
    for point in points:
        yield {
            name: round(low + x * (high - low), 5) for x, (name, (low, high)) in zip(point, ranges.items(), strict=True)
        }


def base_shape(x: Mapping[str, float]) -> dict[str, object]:
    """A base: half of them reformed with an undercut of 5 to 40 degrees, half with a straight leg of 0 to 12."""
    shape = {f"{key}_mm": x[key] for key in ("gauge", "stand_radius", "nose_inner_radius", "nose_outer_radius")}
    shape |= {f"{key}_mm": x[key] for key in ("dome_corner_radius", "dome_radius", "dome_depth", "outer_leg_length")}
    shape |= {f"{key}_mm": x[key] for key in ("chime_radius", "heel_radius")}
    shape |= {f"{key}_deg": x[key] for key in ("outer_leg_angle", "chime_angle")}
    shape |= {"wall_radius_mm": x["stand_radius"] + x["wall_beyond_stand"], "wall_height_mm": 25.0}
    shape |= {"wall_gauge_mm": 0.4 * x["gauge"], "family": "domed_base"}
    if x["reformed"] < 0.5:
        return shape | {"inner_leg_angle_deg": 12.0 * x["leg"]}
    reform = {"undercut_length_mm": x["undercut_length"], "reform_radius_mm": x["reform_radius"]}
    return shape | reform | {"upper_leg_angle_deg": x["upper_leg_angle"], "inner_leg_angle_deg": -5.0 - 35.0 * x["leg"]}


def end_shape(x: Mapping[str, float]) -> dict[str, object]:
    """An end: half of them with one slope of the chuck wall, 0 to 30 degrees, half with 0 to 12 and a bend outward."""
    lengths = ("gauge", "countersink_radius", "panel_radius", "panel_depth")
    shape: dict[str, object] = {f"{key}_mm": x[key] for key in lengths}
    shape |= {"family": "recessed_end", "countersink_diameter_mm": 2.0 * x["countersink_ring_radius"]}
    if x["slopes"] < 0.5:
        one = {
            "chuck_wall_angle_deg": 30.0 * x["chuck_wall_angle"],
            "chuck_wall_length_mm": 3.0 + x["chuck_wall_length"],
        }
        return shape | one
    shape |= {
        "chuck_wall_angle_deg": 12.0 * x["chuck_wall_angle"],
        "chuck_wall_length_mm": 0.7 + x["chuck_wall_length"],
    }
    shape |= {f"{key}_mm": x[key] for key in ("chuck_bend_radius", "upper_chuck_wall_length")}
    return shape | {"upper_chuck_wall_angle_deg": x["upper_chuck_wall_angle"]}


def case_of(what: str, x: Mapping[str, float]) -> Case:
    """The body as a case; raises CaseError when its chain of arcs does not close."""
    hardening = {"law": "voce", "increment_MPa": x["increment"], "rate": x["rate"]}
    metal = {"youngs_modulus_GPa": 69.0, "poissons_ratio": 0.33, "yield_stress_MPa": x["yield_stress"]}
    return case_from_dict(
        {
            "material": {**metal, "hardening": hardening},
            "shape": base_shape(x) if what == "bases" else end_shape(x),
            "supports": {"outer_edge": "clamped"},
            "loads": {"pressure_side": "inside"},
            "analyses": {"run": ["GMNA"], "wave_numbers": [0, 0]},
        }
    )


def feasible(what: str, count: int, pool: int = POOL) -> Iterator[tuple[int, dict[str, float], Case]]:
    """The first bodies of the draw that can be made, with their number in it."""
    found = 0
    for index, x in enumerate(samples(what, pool)):
        try:
            case = case_of(what, x)
        except CaseError:
            continue
        yield index, x, case
        found += 1
        if found == count:
            return


def formula_of(what: str, case: Case) -> Formula:
    """The formula worked out for a body, as it is beside an analysis."""
    name = "stand.base_rolling" if what == "bases" else "stand.countersink_rolling"
    return next(found for found in hand_calculations(case)["GMNA"] if found.name == name)
