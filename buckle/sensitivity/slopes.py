"""Derivatives of one quantity by all numbers, from below and from above, until they are told."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from buckle.sensitivity.numbers import Number
from buckle.sensitivity.sensitivity import Sensitivity

Array = NDArray[np.float64]
APART = 0.02
"""Of the larger: where two one-sided derivatives differ by more they are told apart; their mean is then off by 1 %."""
LITTLE = 2e-3
"""Of the quantity, by the whole of a number: derivatives that differ by less are as good as one."""
MET = 2e-4
"""The same where events are met at once, each of which is known by itself: their mean is off by half of it."""
TOGETHER = 5e-4
"""Of a load: events nearer to each other count as met at once, since so small a change of a number may switch them."""
ONE_SIDE = "there is no such body on one side"


@dataclass(frozen=True, eq=False)
class Slopes:
    """A quantity and its derivatives by every number (numbers,) from below and above; why they may be two."""

    value: float
    left: Array
    right: Array
    why: str = ""
    reasons: dict[int, str] = field(default_factory=dict)

    def times(self, factor: float) -> "Slopes":
        """Return those of the quantity in another unit."""
        return replace(self, value=factor * self.value, left=factor * self.left, right=factor * self.right)

    def among(self, known: Sequence[bool]) -> "Slopes":
        """Return those by more numbers, of which these are the `known` ones; nil by the others."""
        at = np.flatnonzero(known)
        left, right = np.zeros(len(known)), np.zeros(len(known))
        left[at], right[at] = self.left, self.right
        reasons = {int(at[index]): reason for index, reason in self.reasons.items()}
        return replace(self, left=left, right=right, reasons=reasons)

    def recorded(self, numbers: Sequence[Number]) -> tuple[Sensitivity, ...]:
        """Return one row a number."""
        return tuple(self._row(at, number) for at, number in enumerate(numbers))

    def _row(self, at: int, number: Number) -> Sensitivity:
        left, right = float(self.left[at]), float(self.right[at])
        known = [side for side in (left, right) if np.isfinite(side)]
        if len(known) < 2:
            reason = self.reasons.get(at, ONE_SIDE)
            return Sensitivity(number.key, number.value, np.nan, left, right, reason)
        both = 0.5 * (left + right)
        size = max(abs(left), abs(right))
        least = (MET if self.why else LITTLE) * abs(self.value) / (abs(number.value) or 1.0)
        if abs(right - left) <= max(APART * size, least):
            return Sensitivity(number.key, number.value, both, both, both)
        why = self.why or "it has a kink here: metal, mesh or shape changes its kind on one side"
        return Sensitivity(number.key, number.value, np.nan, left, right, why)


def smooth(value: float, slope: Array) -> Slopes:
    """Return slopes that are the same on both sides."""
    return Slopes(value, slope, slope)


def averaged(slopes: Slopes) -> Slopes:
    """Return the mean of both sides for both, where there are two: of what is smooth, but told over finite steps."""
    mean = 0.5 * (slopes.left + slopes.right)
    known = np.isfinite(mean)
    left, right = np.where(known, mean, slopes.left), np.where(known, mean, slopes.right)
    return replace(slopes, left=left, right=right)


def lowest(events: dict[str, Slopes]) -> Slopes | None:
    """Return those of the lowest of several loads, told by what they are called; of several at once both sides.

    Where loads p_i meet, their lowest rises from there as the slowest of them, and has come as the fastest.
    """
    if not events:
        return None
    least = min(event.value for event in events.values())
    met = {name: event for name, event in events.items() if event.value <= (1.0 + TOGETHER) * least}
    left = np.max(np.stack([event.left for event in met.values()]), axis=0)
    right = np.min(np.stack([event.right for event in met.values()]), axis=0)
    first = next(event for event in met.values() if event.value == least)
    why = first.why if len(met) == 1 else f"{' and '.join(met)} are met at once: which comes first may switch"
    return Slopes(least, left, right, why, first.reasons)
