"""Of a set of deviated shapes the one that moves most: it need not be the one that carries least."""

from collections.abc import Sequence
from dataclasses import replace

from buckle.results import MOVEMENTS, Allowed, Growth, Outcome

MOST = "movements and strains under the service and the required load are the most that any of the set has"


def moving_most(outcome: Outcome, others: Sequence[Outcome]) -> Outcome:
    """Return the outcome of the shape that carries least, with the movements of those that move most.

    Each movement is that of the shape that has most of it, and each allowance is met at the lowest load at which any
    shape meets it. `unread` counts those of which that is not known. A body in waves tells of no movement.
    """
    along = [each for each in others if not each.in_waves]
    growth = tuple(_most(each, along) for each in outcome.growth)
    allowed = tuple(_soonest(each, along) for each in outcome.allowed)
    unread = sum(not _tells(each, outcome) for each in along)
    moved = replace(outcome, growth=growth, allowed=allowed, unread=unread)
    same = (growth, allowed) == (outcome.growth, outcome.allowed)
    return moved if same else replace(moved, notes=(*moved.notes, MOST))


def _tells(other: Outcome, outcome: Outcome) -> bool:
    """Tell whether a shape says of everything that is allowed when it is met."""
    return {each.quantity for each in outcome.allowed} <= {each.quantity for each in other.allowed}


def _most(own: Growth, others: Sequence[Outcome]) -> Growth:
    """Return the movements under a load, each the largest."""
    states = [own, *(state for each in others for state in each.growth if state.load == own.load)]
    values = {name: [value for state in states if (value := getattr(state, name)) is not None] for name in MOVEMENTS}
    return replace(own, **{name: max(found) for name, found in values.items() if found})


def _soonest(own: Allowed, others: Sequence[Outcome]) -> Allowed:
    met = [same.load for each in others for same in each.allowed if same.quantity == own.quantity]
    return replace(own, load=min((load for load in (own.load, *met) if load is not None), default=None))
