"""Hand calculations of a spherical cap."""

from buckle.case import Case
from buckle.formulas import cap, capacity
from buckle.formulas.sphere import perfect
from buckle.margins.hand.dimensions import HandSet, edge_angle, of_yield_stress, pressed_from_convex_side, radius, wall
from buckle.margins.hand.sphere import interaction, squashed


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis."""
    shell = {"radius": radius(case.meridian.pieces[0]), **wall(case)}
    if not pressed_from_convex_side(case):
        return {"MNA": squashed(case, shell)}
    angle = edge_angle(case.meridian, "edge")
    hinged = case.supports.outer_edge == "pinned"
    held = case.supports.outer_edge in ("clamped", "pinned")
    clamped_rules = (cap.clamped_bifurcation, cap.clamped_limit_point)
    waves, limit = (cap.hinged_bifurcation, cap.hinged_limit_point) if hinged else clamped_rules
    curve = capacity.dome_hinged if hinged else capacity.dome_clamped
    best = capacity.FINEST_QUALITY
    return {
        "LBA": (perfect.classical_pressure(**shell),),
        "GNA": (waves(half_angle=angle, **shell), limit(half_angle=angle, **shell)) if held else (),
        "MNA": squashed(case, shell),
        "GMNA": (
            *interaction(case, shell),
            *(of_yield_stress(case, lambda y: (curve(yield_stress=y, quality=best, **shell),)) if held else ()),
            cap.lower_bound(half_angle=angle, **shell),
        ),
    }
