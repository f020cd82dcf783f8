"""Hand values beside the margins that they speak of."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from buckle.case import Case
from buckle.formulas.base import Formula
from buckle.margins.explain import why
from buckle.margins.hand import bulge
from buckle.margins.margin import Hand, Margin
from buckle.margins.names import is_passed
from buckle.results import Event, Outcome


def with_hand(case: Case, margin: Margin, outcomes: Mapping[str, Outcome], formulas: Sequence[Formula]) -> Margin:
    """Put the formulas beside a margin that speak of its event."""
    outcome = outcomes[margin.method]
    found = (outcome.bifurcation, outcome.axisymmetric, outcome.lowest_critical, outcome.limit)
    event = next((each for each in found if each is not None and each.pressure == margin.capacity), None)
    if event is None:
        return margin
    hand = tuple(
        Hand(
            formula,
            why(case, margin.method, event, formula, outcomes),
            None if formula.value is None else formula.value / event.pressure,
        )
        for formula in formulas
        if _speaks_of(formula, event, outcome)
    )
    return replace(margin, hand=hand)


def beside_growth(case: Case, margin: Margin) -> Margin:
    """Put the bulge of a plate beside the growth of a panel."""
    assert margin.demand is not None
    found, rise = margin.compared, bulge(case, margin.demand)
    if rise is None or not found:
        return margin
    return replace(margin, hand=(Hand(rise, _bulge_reason(rise.value, found), rise.value and rise.value / found),))


def _speaks_of(formula: Formula, event: Event, outcome: Outcome) -> bool:
    """Tell whether a formula belongs beside an event: its own kind of event, else the governing one."""
    if formula.name.endswith("limit_point"):
        return event is outcome.axisymmetric
    if formula.kind == "mechanism estimate":
        return not is_passed(event, outcome)
    return event is outcome.capacity


def _bulge_reason(hand: float | None, size: float) -> str:
    if hand is None:
        return "out of the formula's range"
    if abs(hand / size - 1.0) < 0.05:
        return "agree within 5 %"
    return "a plate held rigidly at its edge; the panel's edge turns and moves, and the metal yields"
