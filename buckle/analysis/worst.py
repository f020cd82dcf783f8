"""A deviated shape, or a set of them: each is computed by itself, and the one that carries least is told."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

from buckle.analysis.setup import Extras
from buckle.case import Case
from buckle.increasing import Increasing
from buckle.results import Outcome, Status

BARE = Extras(error=False, bracket=False, pictures=False)
"""What the members of a set are compared by is their capacity alone."""


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

    A body whose path cannot be followed might be that one, so that the whole set is then without an answer.
    """
    if len(members) == 1:
        return _named(members[0], members[0].outcome(extras), ", the one deviated shape of its set")
    found = []
    for each in members:
        outcome = each.outcome(BARE)
        if outcome.status is Status.FAILED:
            return _named(each, outcome, "")
        found.append((_carries(outcome), each))
    worst = min(found, key=lambda pair: pair[0])[1]
    most = max(load for load, _ in found)
    spread = f", the least of {len(found)} deviated shapes, which carry up to {increasing.text(most)}"
    return _named(worst, worst.outcome(extras), spread)


def _named(member: Member, outcome: Outcome, spread: str) -> Outcome:
    """Say of an outcome whose it is: in its reason where it failed, else in a note."""
    if outcome.status is Status.FAILED:
        return replace(outcome, reason=f"{member.words}: {outcome.reason}")
    return replace(outcome, notes=(f"{member.words}{spread}", *outcome.notes))


def _carries(outcome: Outcome) -> float:
    """Load that a body is known to carry."""
    return outcome.reached if outcome.capacity is None else outcome.capacity.load
