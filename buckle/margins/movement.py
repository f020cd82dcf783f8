"""Margins of what a body may move, and be strained: the load at which what is allowed is reached."""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from buckle.case import Case
from buckle.margins.beside import beside_growth
from buckle.margins.limits import LIMITS, Limit
from buckle.margins.margin import Margin, Size, Verdict
from buckle.results import Growth, Outcome, Status


def movement_margins(
    case: Case, decided_by: str, lack: str, outcomes: Mapping[str, Outcome], *, with_hands: bool, explained: bool = True
) -> Iterator[Margin]:
    """Yield a margin for each movement or strain that is limited, or that a hand value stands beside."""
    decider = outcomes.get(decided_by)
    for key, limit in LIMITS.items():
        demand = _demand(case, limit)
        if demand is None:
            continue
        allowed = getattr(case.requirements, key)
        row = replace(_unjudged(limit, demand, decider, allowed), increasing=case.loads.increasing)
        row = row if allowed is None else _judged(row, key, decider, lack)
        row = beside_growth(case, row, outcomes, explained=explained) if key == "growth" and with_hands else row
        if allowed is not None or row.hand:
            yield row


def _demand(case: Case, limit: Limit) -> float | None:
    """Load up to which the limit state must not be reached."""
    needs = case.requirements
    first, second = needs.service_pressure, case.required_load
    return (second or first) if limit.at_required else (first or second)


def _unjudged(limit: Limit, demand: float, decider: Outcome | None, allowed: float | None) -> Margin:
    """The margin before it is judged."""
    return Margin(
        limit_state=limit.words,
        method=decider.kind if decider else "none",
        event="after the demand" if limit.after else "under the demand",
        capacity=None,
        demand=demand,
        verdict=Verdict.NO_REQUIREMENT,
        size=Size(_found(decider, limit, demand), allowed, limit.unit),
    )


def _found(decider: Outcome | None, limit: Limit, load: float) -> float | None:
    states: tuple[Growth, ...] = () if decider is None else decider.growth
    at = next((each for each in states if each.load == load), None)
    return None if at is None else getattr(at, limit.attribute)


def _judged(row: Margin, key: str, decider: Outcome | None, lack: str) -> Margin:
    """Judge by the load at which what is allowed is reached, or by what the body carries if that comes first."""
    row = replace(row, verdict=Verdict.NOT_FOUND, reason=lack)
    if lack or decider is None:
        return row
    if decider.status is Status.FAILED:
        return replace(row, reason=decider.reason)
    reached = next((each for each in decider.allowed if each.quantity == key), None)
    carried = decider.capacity.load if decider.capacity else decider.reached
    if reached is None:
        return replace(row, reason=f"the {row.increasing.words} at which it is reached could not be found")
    if reached.load is not None and reached.load <= carried:
        row = replace(row, capacity=reached.load)
    else:
        row = replace(
            row,
            capacity=carried,
            at_least=True,
            reason=f"not reached by the highest {row.increasing.words} that is carried",
        )
    assert row.reserve is not None
    if row.reserve >= 1.0:
        return replace(row, verdict=Verdict.MET)
    if row.at_least and decider.capacity is None:
        return replace(row, reason="the path was not followed so far")
    return replace(row, verdict=Verdict.NOT_MET, at_least=False)
