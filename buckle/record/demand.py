"""What the contents of a container make, as plain data: pressures in bar, volumes in ml."""

from collections.abc import Mapping

from buckle.case import Case
from buckle.demand.conditions import Demand, Met
from buckle.demand.steps import PRESSURE, Step, steps
from buckle.demand.swelling import Swelled
from buckle.margins.contents import demand_sentence, metal_words
from buckle.units import bar, pressure_text

Fields = Mapping[str, object]


def demand_fields(case: Case) -> Fields:
    """Return the demand under the names of results.json; nothing without contents."""
    demand = case.demand
    if demand is None:
        return {}
    return {
        "demand_bar": bar(demand.pressure),
        "demand_vacuum_bar": bar(demand.vacuum),
        "demand_conditions": [condition_fields(each) for each in demand.met],
        "demand_assumptions": list(demand.assumptions) or None,
        "demand_cautions": [*demand.cautions, *metal_words(case)] or None,
        "demand_in_words": demand_sentence(case, demand),
    }


def condition_fields(met: Met) -> Fields:
    """Return a condition with its pressure, the parts of it inside, and the other solubility where there is one."""
    condition, state = met.condition, met.state
    other = None if met.by_weiss is None else met.by_weiss.gauge
    parts = {f"{share.name.replace(' ', '_')}_bar": bar(share.pressure) for share in state.shares}
    return {
        "temperature_degC": condition.temperature,
        "altitude_m": condition.altitude,
        "pressure_bar": bar(state.gauge),
        "name": condition.name or None,
        "time_min": condition.time,
        "absolute_pressure_bar": bar(state.absolute),
        "outside_pressure_bar": bar(state.outside),
        "water_vapour_bar": bar(state.vapour),
        **parts,
        "headspace_ml": 1e-3 * state.headspace,
        "by_weiss_bar": None if other is None else bar(other),
    }


def swelling_fields(own: Swelled) -> dict[str, object]:
    """Return what the body of a case gains in volume at the demand, and what a rigid container would see."""
    return {
        "analysis": own.swelling.kind,
        "gained_ml": 1e-3 * own.gained,
        "compliance_ml_per_bar": 1e-4 * own.compliance,
        "rigid_demand_bar": bar(own.rigid),
    }


def swelling_sentence(own: Swelled) -> str:
    """Say what gives way, by how much, what that changes, and what to write into the case to judge by it."""
    governing = own.demand.governing.state
    beyond = governing.gauge > float(own.swelling.pressure[-1])
    return (
        f"COMPLIANCE: by {own.swelling.kind} the body of this case gains {1e-3 * own.gained:.3g} ml at"
        f" {pressure_text(governing.gauge)}; a rigid container would see {pressure_text(own.rigid)}."
        f" contents.compliance_ml_per_bar = {1e-4 * own.compliance:.3g} judges by it. Only this body gives way, up to"
        " the edges of its meridian, perfect in shape, as it is pressed for the first time: the rest is rigid, and what"
        " stays after yielding would add room, both on the safe side."
        + (" The demand lies beyond its capacity, where no more is counted." if beyond else "")
    )


def step_fields(demand: Demand) -> list[Fields]:
    """Return the steps of the governing condition; pressures in bar."""
    return [_step(each) for each in steps(demand.filling, demand.governing.state)]


def _step(step: Step) -> Fields:
    value, unit = (bar(step.value), "bar") if step.unit == PRESSURE else (step.value, step.unit)
    return {"name": step.name, "symbol": step.symbol, "value": value, "unit": unit, "source": step.source or None}
