"""Hand calculations of a domed base: its dome as a cap or sphere, the rolling of its stand and the crush of it."""

from buckle.case import Case
from buckle.formulas import cap
from buckle.formulas.base import Formula
from buckle.formulas.sphere import perfect
from buckle.formulas.stand import crushing, rolling
from buckle.increasing import PUSH
from buckle.margins.hand.dimensions import (
    HandSet,
    edge_angle,
    elastic,
    flow,
    of_yield_stress,
    parts,
    radius_at,
    rounded,
    wall,
)
from buckle.margins.hand.sphere import interaction, squashed
from buckle.meridian import RIGHT_ANGLE


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis, by the load that increases; of a pull there are none."""
    if not case.loads.increasing.is_pressure:
        crush = _crush(case) if case.loads.increasing == PUSH else ()
        return {"MNA": crush, "GMNA": crush}
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
    return (rolling.base_rolling(**_section(case), **elastic(case), **flow(case.material.hardening)),)


def _crush(case: Case) -> tuple[Formula, ...]:
    """Of a stand that may widen on what it stands on, without pressure or closed under an inside pressure."""
    pressure = case.loads.pressure or 0.0
    known = not pressure or (case.loads.pressure_side == "inside" and case.loads.end_thrust)
    if case.supports.stand != crushing.crush.statement.edge or not known:
        return ()
    by_name = parts(case.meridian)
    outside = {"heel_radius": by_name["heel"].radius, "pressure": pressure}
    if cone := by_name.get("chime cone"):
        outside["cone_length"] = cone.length
    return of_yield_stress(case, lambda y: (crushing.crush(yield_stress=y, **_section(case), **outside),))


def _section(case: Case) -> dict[str, float]:
    """Sizes of the ring that a base stands on, from its dome to its chime."""
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
    return sizes
