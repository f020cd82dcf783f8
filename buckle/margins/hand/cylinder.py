"""Hand calculations of a cylinder: a tube that bursts, or waves around under outside pressure."""

from buckle.case import Case
from buckle.formulas import tube
from buckle.formulas.cylinder import buckling
from buckle.margins.hand.dimensions import HandSet, edge_radius, of_yield_stress, thickness, wall


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis."""
    size = {"radius": edge_radius(case.meridian), "thickness": thickness(case)}
    if case.loads.pressure_side == "inside":
        rule = tube.closed_limit if case.loads.end_thrust else tube.open_limit
        burst = of_yield_stress(case, lambda y: (rule(yield_stress=y, **size),))
        return {"MNA": burst, "GMNA": burst}
    rule_outside = buckling.hydrostatic_pressure if case.loads.end_thrust else buckling.lateral_pressure
    waves = rule_outside(length=case.meridian.length, radius=size["radius"], **wall(case))
    return {"LBA": (waves,), "GNA": (waves,)}
