"""Hand calculations of a domed base: its dome as a cap or sphere, and the rolling of its stand."""

from buckle.case import Case
from buckle.formulas import cap
from buckle.formulas.base import Formula
from buckle.formulas.sphere import perfect
from buckle.formulas.stand import rolling
from buckle.margins.hand.dimensions import (
    HandSet,
    curvature,
    edge_angle,
    elastic,
    flow,
    named,
    radius,
    radius_at,
    rounded,
    turn,
    wall,
)
from buckle.margins.hand.sphere import interaction, squashed
from buckle.meridian import RIGHT_ANGLE


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis."""
    dome = named(case.meridian, "dome")
    if dome is None:
        return {}
    shell = {"radius": radius(dome), **wall(case)}
    half_angle = edge_angle(case.meridian, "dome edge")
    bound = cap.lower_bound(half_angle=half_angle, **shell)
    return {
        "LBA": (perfect.classical_pressure(**shell),),
        "GNA": (cap.clamped_bifurcation(half_angle=half_angle, **shell), bound),
        "MNA": squashed(case, shell),
        "GMNA": (*_rolling(case), perfect.classical_pressure(**shell), bound, *interaction(case, shell)),
    }


def _rolling(case: Case) -> tuple[Formula, ...]:
    parts = {piece.name: piece for piece in case.meridian.pieces}
    leg = parts.get("inner leg") or parts.get("upper leg")
    outer = parts.get("outer leg")
    if leg is None or outer is None or case.material.hardening is None:
        return ()
    sizes = {
        "stand_radius": radius_at(case.meridian, "stand"),
        "nose_radius_inner": radius(parts["nose inner"]),
        "nose_radius_outer": radius(parts["nose outer"]),
        "inner_leg_angle": rounded(RIGHT_ANGLE - turn(parts["nose inner"])),
        "leg_length": leg.length,
        "dome_corner_radius": radius(parts["dome corner"]),
        "dome_radius": radius(parts["dome"]),
        "dome_half_angle": edge_angle(case.meridian, "dome edge"),
        "outer_leg_angle": RIGHT_ANGLE - turn(parts["nose outer"]),
        "outer_leg_length": outer.length,
        "thickness": parts["nose inner"].thickness[1],
    }
    if groove := parts.get("reform groove"):
        undercut = parts["undercut leg"].length
        sizes |= {"reform_radius": radius(groove), "reform_turn": turn(groove), "undercut_length": undercut}
    if chime := parts.get("chime"):
        sizes |= {"chime_radius": radius(chime), "chime_turn": -curvature(chime) * chime.length}
    return (rolling.base_rolling(**sizes, **elastic(case), **flow(case.material.hardening)),)
