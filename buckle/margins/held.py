"""Up to which temperature a judged container holds what was filled in."""

from collections.abc import Sequence

from buckle.case import Case
from buckle.demand.reached import held_up_to
from buckle.margins.holding import Holding
from buckle.margins.margin import JUDGED, Margin
from buckle.margins.verdict import Word
from buckle.material import Softening, grades, softenings

ROOM = 20.0
"""degC that properties of metal are told at."""


def holding(case: Case, margins: Sequence[Margin], word: Word) -> Holding | None:
    """Return up to where the contents are held; None without contents, without a verdict or for a load from outside.

    The capacity is the lowest of the judged pressures, over the partial factor.
    """
    judged = [each for each in margins if each.verdict in JUDGED and each.size is None and each.capacity]
    if case.demand is None or case.loads.pressure_side != "inside" or word is Word.NO_VERDICT or not judged:
        return None
    lowest = min(judged, key=lambda each: (each.capacity or 0.0) / each.partial_factor)
    factor, capacity = lowest.partial_factor, (lowest.capacity or 0.0) / lowest.partial_factor
    metal, softening, altitude = metal_temperature(case), softening_of(case), case.demand.governing.condition.altitude

    def carried(temperature: float) -> float:
        return capacity * (1.0 if softening is None else softening.at_least(temperature, metal))

    held = held_up_to(case.demand.filling, carried, altitude)
    return Holding(held, capacity, factor, metal, altitude, softening is not None, lowest.at_least)


def metal_temperature(case: Case) -> float:
    """Return the temperature that the analyses take the metal at [degC]."""
    if case.contents is None or case.demand is None or not case.contents.warm_metal:
        return ROOM
    return case.demand.governing.condition.temperature


def softening_of(case: Case) -> Softening | None:
    """Return how the metal of a case softens; None where it is no shipped grade."""
    grade = grades().get(case.material.grade)
    return None if grade is None else softenings()[grade.softens]
