"""Hand calculations of a cylinder: a tube that bursts, waves under outside pressure, or is crushed along its axis."""

from buckle.case import Case
from buckle.formulas import tube
from buckle.formulas.base import Formula
from buckle.formulas.capacity import FINEST_QUALITY
from buckle.formulas.cylinder import axial, buckling, forms, resistance
from buckle.increasing import PUSH
from buckle.margins.hand.dimensions import HandSet, edge_radius, of_yield_stress, thickness, wall


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis, by the load that increases; of a pull there are none."""
    loads = case.loads
    if loads.increasing.is_pressure:
        return _under_pressure(case)
    return _under_axial_force(case, loads.pressure or 0.0) if loads.increasing == PUSH else {}


def resistances(case: Case, elastic_force: float, plastic_force: float) -> tuple[Formula, Formula]:
    """Return characteristic and design axial force from the limits of the body's own LBA and MNA [N]."""
    found = {
        "elastic_force": elastic_force,
        "plastic_force": plastic_force,
        "quality": FINEST_QUALITY,
        **_size(case),
    }
    factor = case.requirements.partial_factor
    return resistance.cylinder_axial_force(**found), resistance.cylinder_axial_design_force(
        **found, partial_factor=factor
    )


def _size(case: Case) -> dict[str, float]:
    return {"radius": edge_radius(case.meridian), "thickness": thickness(case)}


def _under_pressure(case: Case) -> HandSet:
    size = _size(case)
    if case.loads.pressure_side == "inside":
        rule = tube.closed_limit if case.loads.end_thrust else tube.open_limit
        burst = of_yield_stress(case, lambda y: (rule(yield_stress=y, **size),))
        return {"MNA": burst, "GMNA": burst}
    rule_outside = buckling.hydrostatic_pressure if case.loads.end_thrust else buckling.lateral_pressure
    waves = rule_outside(length=case.meridian.length, radius=size["radius"], **wall(case))
    return {"LBA": (waves,), "GNA": (waves,)}


def _under_axial_force(case: Case, pressure: float) -> HandSet:
    """Of closed ends under inside pressure, of any under none; an outside pressure takes its share of the lower bound.

    Nothing is known here of open ends under inside pressure, whose hoop stress acts without its thrust.
    """
    shell = {"radius": edge_radius(case.meridian), **wall(case)}
    if pressure and case.loads.pressure_side == "outside":
        beside = _beside_outside_pressure(case, shell, pressure)
        return {"GNA": beside, "GMNA": beside}
    if pressure and not case.loads.end_thrust:
        return {}
    classical = axial.axial_force(pressure=pressure, **shell)
    bound = axial.axial_force_lower_bound(pressure=pressure, **shell)
    squash = of_yield_stress(
        case, lambda y: (axial.axial_squash_force(yield_stress=y, pressure=pressure, **_size(case)),)
    )
    return {"LBA": (classical,), "GNA": (classical, bound), "MNA": squash, "GMNA": (bound, *squash)}


def _beside_outside_pressure(case: Case, shell: dict[str, float], pressure: float) -> tuple[Formula, ...]:
    force = axial.axial_force_lower_bound(**shell).value
    side = forms.lateral_lower_bound(length=case.meridian.length, **shell).value
    if force is None or side is None:
        return ()
    found = {"force_capacity": force, "pressure_capacity": side}
    return (axial.axial_force_with_outside_pressure(outside_pressure=pressure, **found),)
