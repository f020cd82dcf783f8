"""Hand values beside the computed events that they speak of."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from buckle.case import Case
from buckle.formulas.base import Formula
from buckle.margins.explain import why, why_it_bulges
from buckle.margins.hand import bulge
from buckle.margins.margin import Hand, Margin
from buckle.margins.names import is_passed
from buckle.margins.pair import Pair
from buckle.results import Event, Outcome


def events_of(outcome: Outcome) -> list[Event]:
    """What is told of an analysis: onset of waves, highest load, and a first limit that is not the highest."""
    found = (outcome.bifurcation, outcome.axisymmetric, outcome.lowest_critical)
    events = [event for event in found if event is not None]
    return events if outcome.peak is None or outcome.limit is None else [*events, outcome.limit]


def with_hand(
    case: Case, margin: Margin, outcomes: Mapping[str, Outcome], formulas: Sequence[Formula], *, explained: bool = True
) -> Margin:
    """Put the formulas beside a margin that speak of its event, and why they differ from it if that is asked for."""
    outcome = outcomes[margin.method]
    event = next((event for event in events_of(outcome) if event.load == margin.capacity), None)
    if event is None:
        return margin
    pairs = (
        Pair(case, margin.method, event, formula, outcomes, tuple(formulas))
        for formula in formulas
        if speaks_of(formula, event, outcome)
    )
    return replace(margin, hand=tuple(_hand(pair, explained=explained) for pair in pairs))


def beside_growth(case: Case, margin: Margin, outcomes: Mapping[str, Outcome], *, explained: bool = True) -> Margin:
    """Put the hand value of how far a panel or plate rises beside the computed rise, where there are both."""
    assert margin.demand is not None
    path = outcomes.get(margin.method)
    found = None if path is None else next((each for each in path.growth if each.load == margin.demand), None)
    rise = bulge(case, margin.demand)
    if rise is None or found is None or found.loaded <= 0.0:
        return margin
    why = why_it_bulges(case, rise, found, margin.method, outcomes) if explained else ""
    return replace(margin, hand=(Hand(rise, why, rise.value and rise.value / found.loaded),))


def _hand(pair: Pair, *, explained: bool) -> Hand:
    formula = pair.formula
    if formula.value is None:
        return Hand(formula, f"out of range: {formula.reason}", None)
    return Hand(formula, why(pair) if explained else "", formula.value / pair.computed)


def speaks_of(formula: Formula, event: Event, outcome: Outcome) -> bool:
    """Tell whether a formula belongs beside an event: its own kind of event, else the governing one."""
    if formula.answers == "elastic limit point":
        return event is outcome.axisymmetric
    if formula.answers == "rolling":
        return not is_passed(event, outcome)
    return event is outcome.capacity
