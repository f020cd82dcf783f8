"""A deviated shape, or a set of them: each is computed by itself, and the one that carries least is told."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from buckle.analysis.most import moving_most
from buckle.analysis.setup import Extras
from buckle.case import Case
from buckle.increasing import Increasing
from buckle.results import Outcome, Status

BARE = Extras(error=False, bracket=False, pictures=False)
"""What the members of a set are compared by is their capacity alone."""


CLEARLY = 1.05
"""Times the least capacity that a body must have been seen to carry not to be the one that has it: 5 % is more than
these numbers are off by."""

OneBody = Callable[[Case, str, Extras], Outcome]
"""Runs a kind of analysis of a case's own body."""


@dataclass(frozen=True)
class Member:
    """A deviated shape of a set: the words that tell it from others, and what finds its outcome with some extras."""

    words: str
    outcome: Callable[[Extras], Outcome]


def least(case: Case, kind: str, extras: Extras, one: OneBody) -> Outcome:
    """Return what `one` finds of the deviated body that carries least, and say which it is."""
    members = [Member(each.words, partial(one, replace(case, meridian=each.meridian), kind)) for each in case.deviated]
    return members[0].outcome(extras) if len(members) == 1 else least_of(members, extras, case.loads.increasing)


def least_of(members: Sequence[Member], extras: Extras, increasing: Increasing) -> Outcome:
    """Return the outcome of the member that carries least, and say which it is.

    How far the set moves is that of the member that moves most. A body whose path cannot be followed to its end might
    be the one that carries least, so that the whole set is then without an answer; it is not that one where what it has
    been seen to carry lies clearly above what the least carries.
    """
    if len(members) == 1:
        return _named(members[0], members[0].outcome(extras), ", the one deviated shape of its set")
    found, broken, outcomes = [], [], []
    for each in members:
        outcome = each.outcome(BARE)
        outcomes.append(outcome)
        if outcome.status is not Status.FAILED:
            found.append((_carries(outcome), each))
        elif outcome.carried is None:
            return _named(each, outcome, "")
        else:
            broken.append((outcome.carried, each, outcome))
    lowest = min(found, key=lambda pair: pair[0], default=(math.inf, None))
    for carried, each, outcome in broken:
        if carried < CLEARLY * lowest[0]:
            return _named(each, outcome, "")
    worst = lowest[1]
    assert worst is not None  # else all are broken, and the first of them has been returned
    most = max(load for load, _ in found)
    spread = f", the least of {len(members)} deviated shapes, which carry up to {increasing.text(most)}"
    named = _named(worst, worst.outcome(extras), spread + _broken(broken, increasing))
    return moving_most(named, outcomes)


def _broken(broken: Sequence[tuple[float, Member, Outcome]], increasing: Increasing) -> str:
    """Say how many could not be followed to their end, and what the least of them was seen to carry."""
    if not broken:
        return ""
    carried, each, _ = min(broken, key=lambda one: one[0])
    return (
        f"; {len(broken)} of them could not be followed to their highest load but carry more than this:"
        f" at least {increasing.text(carried)} ({each.words})"
    )


def _named(member: Member, outcome: Outcome, spread: str) -> Outcome:
    """Say of an outcome whose it is: in its reason where it failed, else in a note."""
    if outcome.status is Status.FAILED:
        return replace(outcome, reason=f"{member.words}: {outcome.reason}")
    return replace(outcome, notes=(f"{member.words}{spread}", *outcome.notes))


def _carries(outcome: Outcome) -> float:
    """Load that a body is known to carry."""
    return outcome.reached if outcome.capacity is None else outcome.capacity.load
