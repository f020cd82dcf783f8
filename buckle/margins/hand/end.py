"""Hand calculations of a recessed end: its panel as a plate, and the rolling of its countersink."""

from buckle.case import Case
from buckle.formulas.base import Formula
from buckle.formulas.plate import circular, membrane
from buckle.formulas.stand import rolling
from buckle.margins.hand.dimensions import (
    HandSet,
    edge_angle,
    flow,
    of_yield_stress,
    parts,
    radius_at,
    rounded,
    thickness,
    wall,
)
from buckle.meridian import RIGHT_ANGLE


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis."""
    size = {"radius": radius_at(case.meridian, "panel edge"), "thickness": thickness(case)}
    return {
        "MNA": of_yield_stress(case, lambda y: (circular.clamped_limit(yield_stress=y, **size),)),
        "GMNA": _rolling(case),
    }


def bulge(case: Case, pressure: float) -> Formula:
    """Return how far the centre of the panel rises at a pressure [MPa]: as a plate, as a membrane beyond its range."""
    panel = {"pressure": pressure, "radius": radius_at(case.meridian, "panel edge"), **wall(case)}
    bent = circular.clamped_fixed_large_deflection(**panel)
    return bent if bent.in_range else membrane.membrane_bulge(**panel)


def _rolling(case: Case) -> tuple[Formula, ...]:
    if case.material.hardening is None:
        return ()
    by_name = parts(case.meridian)
    groove, lower = by_name["countersink"], by_name.get("chuck wall") or by_name["lower chuck wall"]
    lean = rounded(RIGHT_ANGLE - by_name["panel radius"].turn - edge_angle(case.meridian, "panel edge"))
    sizes = {
        "ring_radius": radius_at(case.meridian, "countersink"),
        "countersink_radius": groove.radius,
        "panel_radius": by_name["panel radius"].radius,
        "panel_depth": -float(case.meridian.at_s(case.meridian.points["countersink"]).z),
        "panel_wall_angle": lean,
        "chuck_wall_angle": rounded(2.0 * RIGHT_ANGLE - lean - groove.turn),
        "chuck_wall_length": lower.length,
        "thickness": groove.thickness[0],
    }
    if bend := by_name.get("chuck bend"):
        sizes |= {"chuck_bend_radius": bend.radius, "chuck_bend_turn": -bend.curvature * bend.length}
        sizes |= {"upper_chuck_wall_length": by_name["upper chuck wall"].length}
    return (rolling.countersink_rolling(**sizes, **flow(case.material.hardening)),)
