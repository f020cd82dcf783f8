"""Hand calculations of a domed base: its dome as a cap or sphere, and the rolling of its stand."""

from buckle.case import Case
from buckle.formulas import cap
from buckle.formulas.base import Formula
from buckle.formulas.sphere import perfect
from buckle.formulas.stand import rolling
from buckle.margins.hand.dimensions import (
    HandSet,
    edge_angle,
    elastic,
    flow,
    parts,
    radius_at,
    rounded,
    wall,
)
from buckle.margins.hand.sphere import interaction, squashed
from buckle.meridian import RIGHT_ANGLE


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis."""
    shell = {"radius": parts(case.meridian)["dome"].radius, **wall(case)}
    half_angle = edge_angle(case.meridian, "dome edge")
    bound = cap.lower_bound(half_angle=half_angle, **shell)
    return {
        "LBA": (perfect.classical_pressure(**shell),),
        "GNA": (cap.clamped_bifurcation(half_angle=half_angle, **shell), bound),
        "MNA": squashed(case, shell),
        "GMNA": (*_rolling(case), perfect.classical_pressure(**shell), bound, *interaction(case, shell)),
    }


def _rolling(case: Case) -> tuple[Formula, ...]:
    if case.material.hardening is None:
        return ()
    by_name = parts(case.meridian)
    leg = by_name.get("inner leg") or by_name["upper leg"]
    sizes = {
        "stand_radius": radius_at(case.meridian, "stand"),
        "nose_radius_inner": by_name["nose inner"].radius,
        "nose_radius_outer": by_name["nose outer"].radius,
        "inner_leg_angle": rounded(RIGHT_ANGLE - by_name["nose inner"].turn),
        "leg_length": leg.length,
        "dome_corner_radius": by_name["dome corner"].radius,
        "dome_radius": by_name["dome"].radius,
        "dome_half_angle": edge_angle(case.meridian, "dome edge"),
        "outer_leg_angle": RIGHT_ANGLE - by_name["nose outer"].turn,
        "outer_leg_length": by_name["outer leg"].length,
        "thickness": by_name["nose inner"].thickness[1],
    }
    if groove := by_name.get("reform groove"):
        undercut = by_name["undercut leg"].length
        sizes |= {"reform_radius": groove.radius, "reform_turn": groove.turn, "undercut_length": undercut}
    if chime := by_name.get("chime"):
        sizes |= {"chime_radius": chime.radius, "chime_turn": -chime.curvature * chime.length}
    return (rolling.base_rolling(**sizes, **elastic(case), **flow(case.material.hardening)),)
