"""What is derived: the numbers of an outcome and of its case under the names of results.json."""

from buckle.case import Case
from buckle.margins.judge import judge
from buckle.results import Outcome
from buckle.units import to_unit

RESERVE = "reserve_factor"


def quantities(case: Case, outcome: Outcome) -> dict[str, float]:
    """Return {name: value} of everything that an analysis tells of a case and that is derived."""
    found = {**of_outcome(case, outcome), **of_body(case)}
    reserve = judge(case, [outcome], {}).reserve
    return found if reserve is None else {**found, RESERVE: reserve}


def of_outcome(case: Case, outcome: Outcome) -> dict[str, float]:
    """Return what of it is a load or a movement."""
    return {**_loads(outcome), **_movements(case, outcome)}


def of_body(case: Case) -> dict[str, float]:
    """Return mass [g] and enclosed volume [ml] of a case; no mass without a density."""
    density = case.material.density
    mass = {"mass_g": case.meridian.mass(density)} if density else {}
    return {**mass, "enclosed_volume_ml": to_unit(case.meridian.enclosed_volume, "volume", "ml")}


def _loads(outcome: Outcome) -> dict[str, float]:
    """Capacities and events, in bar or in N as they act."""
    events = {
        "critical": outcome.lowest_critical,
        "limit": outcome.limit,
        "bifurcation": outcome.bifurcation,
        "deformation_theory_bifurcation": outcome.deformation_bifurcation,
        "capacity": outcome.capacity if outcome.kind not in ("LA", "LBA") else None,
    }
    loads = {name: event.load for name, event in events.items() if event is not None}
    if outcome.first_yield is not None:
        loads["first_yield"] = outcome.first_yield
    loads |= {f"{each.quantity}_reached": each.load for each in outcome.allowed if each.load is not None}
    load = outcome.increasing
    return {f"{outcome.kind}.{name}_{load.key}": load.recorded(size) for name, size in loads.items()}


def _movements(case: Case, outcome: Outcome) -> dict[str, float]:
    """Movements [mm] under the service load, else under the required one, and what of them stays."""
    wanted = case.requirements.service_pressure or case.required_load
    at = next((each for each in outcome.growth if each.load == wanted), None)
    if at is None:
        return {}
    movements = {"growth_mm": at.loaded, "permanent_growth_mm": at.permanent, "stand_drop_mm": at.stand_drop}
    return {name: value for name, value in movements.items() if value is not None}
