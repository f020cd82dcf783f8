"""One variable: where along it the least reserve is what is asked, found by looking everywhere first."""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from scipy.optimize import brentq

from buckle.batch.asked import Designs
from buckle.errors import CaseError
from buckle.size.trial import Trial, lower_decides, trial_of
from buckle.size.variable import Variable
from buckle.store import RowStatus

POINTS = 13
"""Values looked at before any is refined: what changes back and forth between two of them is not seen."""
DIGITS = 5
"""Significant digits of an answer, rounded to the side that holds."""
CLOSE = 1e-6
"""A root is sought until the interval is this share of the value: far below what a reserve is known to."""
JUMP = 2e-3
"""A reserve that differs by more at the two ends of such an interval is one that jumps."""
HALVINGS = 5
"""Times that the distance to a value without a reserve is halved."""
ROUNDED_ON = 40
"""Steps of the last digit that an answer is moved on where the reserve scatters about what is asked."""


@dataclass(frozen=True)
class Crossing:
    """Where the least reserve is what is asked: the value on the side that holds, and what is on the other."""

    value: float
    trial: Trial
    holds_above: bool
    jump: str = ""  # what happens there, where the reserve does not pass through what is asked


@dataclass(frozen=True)
class Scan:
    """What was found along a variable: trials in the order of its values, and every crossing."""

    variable: Variable
    asked: float
    trials: tuple[tuple[float, Trial], ...]
    crossings: tuple[Crossing, ...]
    stopped: tuple[str, ...]  # why a crossing could not be found between two values, of which only one holds

    @property
    def answer(self) -> Crossing | None:
        """The crossing nearest to the case's own value."""
        return min(self.crossings, key=lambda each: abs(each.value - self.variable.value), default=None)

    def holds_to(self, crossing: Crossing) -> float:
        """Return how far from a crossing every value that was tried holds."""
        beyond = [
            each for each in self.trials if (each[0] - crossing.value) * (1 if crossing.holds_above else -1) > 0.0
        ]
        reached = crossing.value
        for value, trial in sorted(beyond, key=lambda each: abs(each[0] - crossing.value)):
            if not _holds(trial, self.asked):
                break
            reached = value
        return reached

    @property
    def judged(self) -> list[tuple[float, Trial]]:
        """The values at which there is a reserve."""
        return [(value, trial) for value, trial in self.trials if trial.judged]


def scan(designs: Designs, variable: Variable, asked: float) -> Scan:
    """Look along a variable for where the least reserve is what is asked. Raises CaseError if nothing is required."""
    seen: dict[float, Trial] = {}
    look = _Looking(designs, variable, seen)
    look.all(_spread(variable))
    look.all([value for pair in look.pairs() for value in look.edge(*pair)])
    look.into_gaps(asked)
    crossings, stopped = [], [each for low, high in look.gaps(asked) for each in [look.gap_words(low, high)]]
    for (low, first), (high, second) in pairwise(sorted(seen.items())):
        if not (first.judged and second.judged) or _holds(first, asked) == _holds(second, asked):
            continue
        try:
            crossings.append(_crossing(look, (low, high), asked))
        except _StoppedError as error:
            stopped.append(str(error))
    return Scan(variable, asked, tuple(sorted(seen.items())), tuple(crossings), tuple(stopped))


class _StoppedError(Exception):
    """There is no reserve at a value between two that have one."""


def _spread(variable: Variable) -> list[float]:
    """Return values over the interval, the case's own among them; in equal ratios where it is wide."""
    low, high, count = variable.low, variable.high, POINTS
    if low > 0.0 and high / low > 2.0:
        values = [low * (high / low) ** (at / (count - 1)) for at in range(count)]
    else:
        values = [low + (high - low) * at / (count - 1) for at in range(count)]
    inside = [variable.value] if low <= variable.value <= high else []
    return [low, *values[1:-1], high, *inside]


@dataclass
class _Looking:
    """Trials at values of one variable."""

    designs: Designs
    variable: Variable
    seen: dict[float, Trial]

    def all(self, values: Sequence[float]) -> None:
        """Try several values at once."""
        fresh = [value for value in dict.fromkeys(values) if value not in self.seen]
        results = self.designs.results([self.variable.at(value) for value in fresh])
        lower = lower_decides(self.designs.base)
        for value, result in zip(fresh, results, strict=True):
            self.seen[value] = trial_of(self.variable.at(value), result, lower_counts=lower)

    def at(self, value: float) -> Trial:
        """Try one value."""
        self.all([value])
        return self.seen[value]

    def pairs(self) -> Iterator[tuple[float, float]]:
        """Yield a value that can be built and its neighbour that cannot."""
        for (low, first), (high, second) in pairwise(sorted(self.seen.items())):
            if (first.status is RowStatus.NOT_BUILT) != (second.status is RowStatus.NOT_BUILT):
                yield (high, low) if first.status is RowStatus.NOT_BUILT else (low, high)

    def gaps(self, asked: float) -> list[tuple[float, float]]:
        """Return values of which one holds, with others between them that have no reserve and one can make."""
        found = sorted(self.seen.items())
        judged = [at for at, (_, trial) in enumerate(found) if trial.judged]
        return [
            (found[first][0], found[second][0])
            for first, second in pairwise(judged)
            if second > first + 1 and _holds(found[first][1], asked) != _holds(found[second][1], asked)
        ]

    def into_gaps(self, asked: float) -> None:
        """Look closer from both sides where no reserve is known between one value that holds and one that does not."""
        for low, high in self.gaps(asked):
            inside = [value for value in sorted(self.seen) if low < value < high]
            for judged, unjudged in ((low, inside[0]), (high, inside[-1])):
                self._halve(judged, unjudged)

    def _halve(self, judged: float, unjudged: float) -> None:
        for _ in range(HALVINGS):
            middle = 0.5 * (judged + unjudged)
            if self.at(middle).judged:
                judged = middle
            else:
                unjudged = middle

    def gap_words(self, low: float, high: float) -> str:
        """Say what lies between two values of which one holds."""
        unit = self.variable.unit
        reason = next(trial.reason for value, trial in sorted(self.seen.items()) if low < value < high)
        return f"between {low:.5g} and {high:.5g} {unit}, of which one holds, there is no reserve: {reason}"

    def edge(self, good: float, bad: float) -> list[float]:
        """Return the last value that can be built on the way to one that cannot, to a thousandth of their distance."""
        for _ in range(10):
            middle = 0.5 * (good + bad)
            if self._can_be_built(middle):
                good = middle
            else:
                bad = middle
        return [good]

    def _can_be_built(self, value: float) -> bool:
        try:
            self.designs.case(self.variable.at(value))
        except CaseError:
            return False
        return True


def _holds(trial: Trial, asked: float) -> bool:
    return trial.least is not None and trial.least >= asked


def _crossing(look: _Looking, bracket: tuple[float, float], asked: float) -> Crossing:
    """Refine a crossing between two values of which one holds. Raises _StoppedError where no reserve is found."""

    def over(value: float) -> float:
        least = look.at(value).least
        if least is None:
            reason = look.seen[value].reason
            raise _StoppedError(
                f"no reserve at {value:.6g} {look.variable.unit}, on the way to a value that holds: {reason}"
            )
        return least - asked

    low, high = bracket
    brentq(over, low, high, xtol=CLOSE * max(abs(low), abs(high)), rtol=1e-9)
    inside = sorted((value, trial) for value, trial in look.seen.items() if low <= value <= high and trial.judged)
    pairs = [
        (first, second) for first, second in pairwise(inside) if _holds(first[1], asked) != _holds(second[1], asked)
    ]
    first, second = min(pairs, key=lambda pair: pair[1][0] - pair[0][0])
    upward = _holds(second[1], asked)
    good, bad = (second, first) if upward else (first, second)
    value = _rounded(good[0], upward, lambda value: _holds(look.at(value), asked))
    return Crossing(value, look.at(value), upward, _jump(good[1], bad[1]))


def _rounded(value: float, upward: bool, holds: Callable[[float], bool]) -> float:
    """Return a value in few digits, on the side that holds."""
    digit = 10.0 ** (math.floor(math.log10(abs(value))) - DIGITS + 1) if value else 10.0**-DIGITS
    first = math.ceil(value / digit) if upward else math.floor(value / digit)
    for step in range(ROUNDED_ON):
        rounded = float(f"{(first + (step if upward else -step)) * digit:.{DIGITS}g}")
        if holds(rounded):
            return rounded
    return value


def _jump(good: Trial, bad: Trial) -> str:
    """Say what happens where a reserve is not continuous."""
    assert good.least is not None
    assert bad.least is not None
    if good.least - bad.least < JUMP * good.least:
        return "" if good.least_of == bad.least_of else f"{bad.governing} and {good.governing} meet there"
    return (
        f"the least reserve jumps there, from {bad.least:.4g} ({bad.governing}) to {good.least:.4g} ({good.governing})"
    )
