"""Hand calculations of a recessed end: its panel as a plate, and the rolling of its countersink."""

from buckle.case import Case
from buckle.formulas.base import Formula
from buckle.formulas.plate import circular, membrane
from buckle.formulas.stand import rolling
from buckle.margins.hand.dimensions import (
    HandSet,
    curvature,
    edge_angle,
    flow,
    named,
    of_yield_stress,
    radius,
    radius_at,
    rounded,
    thickness,
    turn,
    wall,
)
from buckle.meridian import RIGHT_ANGLE


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis."""
    if named(case.meridian, "countersink") is None:
        return {}
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
    parts = {piece.name: piece for piece in case.meridian.pieces}
    groove, lower = parts["countersink"], parts.get("chuck wall") or parts["lower chuck wall"]
    if case.material.hardening is None:
        return ()
    lean = rounded(RIGHT_ANGLE - turn(parts["panel radius"]) - edge_angle(case.meridian, "panel edge"))
    sizes = {
        "ring_radius": radius_at(case.meridian, "countersink"),
        "countersink_radius": radius(groove),
        "panel_radius": radius(parts["panel radius"]),
        "panel_depth": -float(case.meridian.at_s(case.meridian.points["countersink"]).z),
        "panel_wall_angle": lean,
        "chuck_wall_angle": rounded(2.0 * RIGHT_ANGLE - lean - turn(groove)),
        "chuck_wall_length": lower.length,
        "thickness": groove.thickness[0],
    }
    if bend := parts.get("chuck bend"):
        sizes |= {"chuck_bend_radius": radius(bend), "chuck_bend_turn": -curvature(bend) * bend.length}
        sizes |= {"upper_chuck_wall_length": parts["upper chuck wall"].length}
    return (rolling.countersink_rolling(**sizes, **flow(case.material.hardening)),)
