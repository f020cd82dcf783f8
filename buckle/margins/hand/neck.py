"""Hand calculations of a neck that is pressed along its axis: its cone as it buckles, its bends as they yield."""

from buckle.case import Case
from buckle.formulas import neck
from buckle.formulas.base import Formula
from buckle.increasing import PUSH
from buckle.margins.hand.dimensions import HandSet, elastic, of_yield_stress, parts


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis, as an axial force presses; of any other load there are none."""
    if case.loads.increasing != PUSH:
        return {}
    crush, pressed = _crush(case), not case.loads.pressure
    cone, bound = _cone(case) if pressed else ((), ())
    return {"LBA": cone, "GNA": (*cone, *bound), "MNA": crush, "GMNA": (*crush, *bound)}


def _cone(case: Case) -> tuple[tuple[Formula, ...], tuple[Formula, ...]]:
    """Classical force and lower bound of the cone, none of an ogee, which has no cone."""
    cone = parts(case.meridian).get("cone")
    if cone is None:
        return (), ()
    size = {
        "thickness": min(cone.thickness),
        "wall_radius": case.dimensions["wall_radius"],
        "cone_angle": case.dimensions["cone_angle"],
    }
    return (neck.cone_axial_force(**elastic(case), **size),), (
        neck.cone_axial_force_lower_bound(**elastic(case), **size),
    )


def _crush(case: Case) -> tuple[Formula, ...]:
    """Of a neck without pressure, or closed under an inside pressure."""
    pressure, shoulder = case.loads.pressure or 0.0, parts(case.meridian)["shoulder"]
    if pressure and not (case.loads.pressure_side == "inside" and case.loads.end_thrust):
        return ()
    names = ("wall_radius", "neck_radius", "shoulder_radius", "throat_radius", "wall_height", "edge_height")
    sizes = {name: case.dimensions[name] for name in names}
    sizes |= {"cone_angle": shoulder.turn, "thickness": min(shoulder.thickness), "pressure": pressure}
    return of_yield_stress(case, lambda y: (neck.crush(yield_stress=y, **sizes),))
