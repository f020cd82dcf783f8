"""Cases changed in one thing, and what the cheap analyses make of them: without a force, with another edge, cut out.

Each takes a small part of the analyses it is set beside: no error estimate, no pictures, the lowest wave number alone.
"""

import json
import math
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from buckle.analysis import run
from buckle.case import Case, case_from_dict, replace_keys
from buckle.errors import CaseError
from buckle.margins.hand.dimensions import parts

Changes = Mapping[str, Any]
KEPT = ("material", "shape", "supports", "loads", "analyses", "numerics")
"""Tables of a case that decide what an analysis computes; requirements may not fit another body."""
HELD_ROUND = {"supports.start_edge": "diaphragm", "supports.outer_edge": "diaphragm"}
"""Ends of a cylinder as the formulas take them: held round, free to rotate and to warp."""
HEAD_ALONE = {"shape.cylinder_length_mm": 0.0, "supports": {"outer_edge": "clamped"}}
"""A head without its cylinder, clamped where that begins."""
MOST_WAVES = 400
COARSE, COARSEST = 0.5, 0.25  # times the mesh density, and the least that a case may have


def changed(case: Case, changes: Changes) -> Case | None:
    """Return the case with other values under some keys; None where no such body can be made."""
    tables = {name: case.tables[name] for name in KEPT if name in case.tables}
    try:
        return case_from_dict(replace_keys(tables, changes))
    except CaseError:
        return None


def more_waves(case: Case) -> Changes:
    """A range of wave numbers from the lowest to twice as far."""
    return {"analyses.wave_numbers": [0, min(2 * case.analyses.wave_numbers[1] + 20, MOST_WAVES)]}


def no_force() -> Changes:
    """No axial force, in whatever unit it stands."""
    return {"loads.axial_force_N": 0.0}


def clamped_cap(radius: float, half_angle: float, thickness: float) -> Changes:
    """A spherical cap [mm, rad] alone, clamped at its edge and pressed from outside, instead of the body."""
    shape = {
        "family": "spherical_cap",
        "radius_mm": radius,
        "half_angle_rad": half_angle,
        "thickness_mm": thickness,
    }
    return {"shape": shape, "supports": {"outer_edge": "clamped"}, "loads": {"pressure_side": "outside"}}


def torisphere(case: Case, crown_radius: float, knuckle_radius: float) -> Changes:
    """A torisphere of those radii [mm] in the place of an ellipsoidal head."""
    shape = {
        "family": "torispherical_head",
        "diameter_mm": case.dimensions["diameter"],
        "crown_radius_mm": crown_radius,
        "knuckle_radius_mm": knuckle_radius,
        "cylinder_length_mm": case.dimensions["cylinder_length"],
        "thickness_mm": case.meridian.pieces[0].thickness[0],
    }
    return {"shape": shape}


def held_cone(case: Case) -> Changes:
    """The cone of a neck alone between held edges, as the formulas of a cone take it; its radii are its own."""
    cone = parts(case.meridian)["cone"]
    angle, top = case.dimensions["cone_angle"], case.dimensions["neck_radius"]
    start = top + case.dimensions["throat_radius"] * (1.0 - math.cos(angle)) + cone.length * math.sin(angle)
    shape = {
        "family": "meridian",
        "start_mm": [start, 0.0],
        "heading_deg": 90.0 + math.degrees(angle),
        "inside": "left",
        "thickness_mm": min(cone.thickness),
        "pieces": [{"line_mm": cone.length}],
    }
    return {"shape": shape}


def pressure(case: Case | None, kind: str) -> float | None:
    """Capacity [MPa] by a kind of analysis; None where it finds none, or where there is no case.

    The mesh is coarser than usual, which moves linear bifurcations and mechanisms by much less than a reason must.
    """
    if case is None:
        return None
    coarse = {"numerics.mesh_density": max(COARSE * case.numerics.mesh_density, COARSEST)}
    return _pressure(json.dumps(replace_keys(case.tables, coarse), sort_keys=True), kind)


@lru_cache(maxsize=32)
def _pressure(tables: str, kind: str) -> float | None:
    """What several formulas of a case ask for is computed once."""
    case = case_from_dict(json.loads(tables))
    found = run(case, kind, estimate_error=False, lower_bracket=False, pictures=False).capacity
    return None if found is None else found.load
