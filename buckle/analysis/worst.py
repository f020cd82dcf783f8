"""A deviated shape, or a set of them: each is computed by itself, and the one that carries least is told."""

from collections.abc import Callable
from dataclasses import replace

from buckle.analysis.setup import Extras
from buckle.case import Case
from buckle.results import Outcome, Status

BARE = Extras(error=False, bracket=False, pictures=False)
"""What the members of a set are compared by is their capacity alone."""


def least(case: Case, kind: str, extras: Extras, one: Callable[[Case, str, Extras], Outcome]) -> Outcome:
    """Return what `one` finds of the deviated body that carries least, and say which it is.

    A body whose path cannot be followed might be that one, so that the whole set is then without an answer.
    """
    if len(case.deviated) == 1:
        return one(replace(case, meridian=case.deviated[0].meridian), kind, extras)
    found = []
    for each in case.deviated:
        outcome = one(replace(case, meridian=each.meridian), kind, BARE)
        if outcome.status is Status.FAILED:
            return replace(outcome, reason=f"{each.words}: {outcome.reason}")
        found.append((_carries(outcome), each))
    worst = min(found, key=lambda pair: pair[0])[1]
    outcome = one(replace(case, meridian=worst.meridian), kind, extras)
    most = max(load for load, _ in found)
    spread = f", the least of {len(found)} deviated shapes, which carry up to {case.loads.increasing.text(most)}"
    return replace(outcome, notes=(f"{worst.words}{spread}", *outcome.notes))


def _carries(outcome: Outcome) -> float:
    """Load that a body is known to carry."""
    return outcome.reached if outcome.capacity is None else outcome.capacity.load
