"""Up to which temperature a judged container holds what was filled in."""

from collections.abc import Callable, Sequence

from buckle.case import Case
from buckle.demand.reached import held_up_to
from buckle.margins.holding import Holding
from buckle.margins.limits import is_at_required
from buckle.margins.margin import JUDGED, Margin, Verdict
from buckle.margins.verdict import Word
from buckle.material import Softening, grades, softenings
from buckle.units import pressure_text

ROOM = 20.0
"""degC that properties of metal are told at."""


def holding(case: Case, margins: Sequence[Margin], word: Word) -> Holding | None:
    """Return up to where the contents are held; None without contents, without a verdict or for a load from outside.

    The capacity is the lowest of the judged pressures that the contents must not come to, over the partial factor.
    """
    judged = [each for each in margins if each.verdict in JUDGED and _rises_with(case, each)]
    if case.demand is None or case.loads.pressure_side != "inside" or word is Word.NO_VERDICT or not judged:
        return None
    lowest = min(judged, key=_divided)
    capacity, altitude = _divided(lowest), case.demand.governing.condition.altitude
    held = held_up_to(case.demand.filling, _as_warm(case, capacity), altitude)
    softened = softening_of(case) is not None
    metal, limited_by = metal_temperature(case), lowest.limit_state if lowest.size else ""
    return Holding(held, capacity, lowest.partial_factor, metal, altitude, softened, lowest.at_least, limited_by)


def too_warm(case: Case, margins: Sequence[Margin]) -> tuple[str, ...]:
    """Return a doubt where metal as warm as the contents would not carry them, in words; none if nothing is met."""
    met = [each for each in margins if each.verdict is Verdict.MET and _rises_with(case, each)]
    if case.demand is None or case.loads.pressure_side != "inside" or not met:
        return ()
    lowest = min(met, key=_divided)
    carried = _as_warm(case, _divided(lowest))
    over = [each for each in case.demand.met if each.state.gauge > carried(each.condition.temperature)]
    if not over:
        return ()
    worst = max(over, key=lambda each: each.state.gauge / carried(each.condition.temperature))
    temperature, least = worst.condition.temperature, pressure_text(carried(worst.condition.temperature))
    known = (
        f"{lowest.limit_state} is known to be no more than is allowed up to {least} only"
        if lowest.size
        else f"it is known to carry no more than {least}"
    )
    return (
        f"at {temperature:g} degC the contents make {pressure_text(worst.state.gauge)}, and with its metal as warm as "
        f"they are {known} (contents.warm_metal)",
    )


def _rises_with(case: Case, margin: Margin) -> bool:
    """Tell whether a margin has a pressure, and what it is judged at rises with the demand of the contents.

    A movement at a service pressure is asked there, whatever the contents make. One that is not reached by what the
    body carries limits nothing.
    """
    limited = margin.size is None or (not margin.at_least and is_at_required(case, margin.limit_state))
    return bool(margin.capacity) and limited


def _divided(margin: Margin) -> float:
    """Capacity over the partial factor [MPa]."""
    return (margin.capacity or 0.0) / margin.partial_factor


def _as_warm(case: Case, capacity: float) -> Callable[[float], float]:
    """What of a capacity [MPa] is left where the metal is at a temperature [degC], at least."""
    metal, softening = metal_temperature(case), softening_of(case)
    return lambda temperature: capacity * (1.0 if softening is None else softening.at_least(temperature, metal))


def metal_temperature(case: Case) -> float:
    """Return the temperature that the analyses take the metal at [degC]."""
    if case.contents is None or case.demand is None or not case.contents.warm_metal:
        return ROOM
    return case.demand.governing.condition.temperature


def softening_of(case: Case) -> Softening | None:
    """Return how the metal of a case softens; None where it is no shipped grade."""
    grade = grades().get(case.material.grade)
    return None if grade is None else softenings()[grade.softens]
