"""Hand calculations of a cylinder: a tube that bursts, waves under outside pressure, or is crushed along its axis."""

from buckle.case import Case
from buckle.formulas import capacity, tube
from buckle.formulas.base import Formula
from buckle.formulas.capacity import FINEST_QUALITY
from buckle.formulas.cylinder import axial, buckling, forms, resistance
from buckle.increasing import PUSH
from buckle.margins.hand.dimensions import HandSet, edge_radius, of_yield_stress, thickness, wall

SIDE_CURVE = {"alpha": 0.75, "beta": 0.60, "eta": 1.0, "squash_limit": 0.40}
"""EN 1993-1-6:2007, annex D.1.3, circumferential compression in fabrication quality A (from memory)."""
LEAST_FACTOR = 1.1
"""gamma_M1, EN 1993-1-6:2007, clause 8.5.2 (from memory): below it a force is no design force of that standard."""


def calculations(case: Case) -> HandSet:
    """Return the formulas beside each kind of analysis, by the load that increases; of a pull there are none."""
    loads = case.loads
    if loads.increasing.is_pressure:
        return _under_pressure(case)
    return _under_axial_force(case, loads.pressure or 0.0) if loads.increasing == PUSH else {}


def resistances(case: Case, elastic: float, plastic: float) -> tuple[Formula, ...]:
    """Return what EN 1993-1-6 makes of the loads of the body's own LBA and MNA: a force [N] or a pressure [MPa].

    Of a force alone, or of an outside pressure alone; a design force where the partial factor is one of that standard.
    """
    loads = case.loads
    if loads.increasing.is_pressure:
        alone = loads.pressure_side == "outside" and not loads.axial_force
        return (capacity.curve(elastic_pressure=elastic, plastic_pressure=plastic, **SIDE_CURVE),) if alone else ()
    if loads.increasing != PUSH or loads.pressure:
        return ()
    found = {"elastic_force": elastic, "plastic_force": plastic, "quality": FINEST_QUALITY, **_size(case)}
    factor, characteristic = case.requirements.partial_factor, resistance.cylinder_axial_force(**found)
    if factor < LEAST_FACTOR:
        return (characteristic,)
    return characteristic, resistance.cylinder_axial_design_force(**found, partial_factor=factor)


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
    """Of closed ends and of open ones; an outside pressure takes its share of the lower bound.

    Inside open ends a pressure has no thrust, and pulls around only: the wall yields sooner, and what buckles it is as
    without pressure, since the ring mode knows nothing of hoop tension.
    """
    shell = {"radius": edge_radius(case.meridian), **wall(case)}
    if pressure and case.loads.pressure_side == "outside":
        beside = _beside_outside_pressure(case, shell, pressure)
        return {"GNA": beside, "GMNA": beside}
    thrust = pressure if case.loads.end_thrust else 0.0
    classical = axial.axial_force(pressure=thrust, **shell)
    bound = axial.axial_force_lower_bound(pressure=thrust, **shell)
    rule = axial.axial_squash_force if thrust or not pressure else axial.axial_squash_force_open
    squash = of_yield_stress(case, lambda y: (rule(yield_stress=y, pressure=pressure, **_size(case)),))
    return {"LBA": (classical,), "GNA": (classical, bound), "MNA": squash, "GMNA": (bound, *squash)}


def _beside_outside_pressure(case: Case, shell: dict[str, float], pressure: float) -> tuple[Formula, ...]:
    force = axial.axial_force_lower_bound(**shell).value
    side = forms.lateral_lower_bound(length=case.meridian.length, **shell).value
    if force is None or side is None:
        return ()
    found = {"force_capacity": force, "pressure_capacity": side}
    return (axial.axial_force_with_outside_pressure(outside_pressure=pressure, **found),)
