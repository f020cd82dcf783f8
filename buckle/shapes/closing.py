"""In which interval of one dimension, all others kept, a shape closes."""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

_SPAN = 30.0  # lengths are tried from value / 30 to value * 30
_HALF_STEPS = 20  # trials on either side, close together near the value


@dataclass(frozen=True)
class Interval:
    """An open interval of a length [mm] or angle [rad]; an end is infinite where no bound was met."""

    low: float
    high: float
    dimension: str

    def change_from(self, value: float) -> float:
        """Return how far the interval is from a value: logarithm of the ratio of lengths, radians of angles."""
        nearest = min(max(value, self.low), self.high)
        return abs(math.log(nearest / value)) if self.dimension == "length" else abs(nearest - value)

    def __str__(self) -> str:
        """Return the interval in mm or deg, its ends rounded inward so that they still close."""
        factor, unit = (1.0, "mm") if self.dimension == "length" else (180.0 / math.pi, "deg")
        low, high = _rounded(self.low * factor, math.ceil), _rounded(self.high * factor, math.floor)
        if math.isinf(low) and math.isinf(high):
            return "any"
        if math.isinf(low) or math.isinf(high):
            return f"at most {high:g} {unit}" if math.isinf(low) else f"at least {low:g} {unit}"
        return f"[{low:g}, {high:g}] {unit}"


def closing_interval(closes: Callable[[float], bool], value: float, dimension: str) -> Interval | None:
    """Return the interval nearest to the value in which the shape closes, its ends by bisection; None if none is found.

    Trials lie on a grid, so that an interval narrower than the grid may be missed.
    """
    trials = _trials(value, dimension)
    fits = np.array([closes(trial) for trial in trials])
    if not fits.any():
        return None
    middle = len(trials) // 2
    nearest = min(np.flatnonzero(fits), key=lambda i: abs(int(i) - middle))
    first, last = int(nearest), int(nearest)
    while first > 0 and fits[first - 1]:
        first -= 1
    while last < len(trials) - 1 and fits[last + 1]:
        last += 1
    low = _bound(closes, trials[first], trials[first - 1]) if first else -math.inf
    high = _bound(closes, trials[last], trials[last + 1]) if last < len(trials) - 1 else math.inf
    return Interval(low, high, dimension)


def _trials(value: float, dimension: str) -> list[float]:
    steps = np.linspace(-1.0, 1.0, 2 * _HALF_STEPS + 1)
    steps = steps * np.abs(steps)
    if dimension == "length":
        return [float(trial) for trial in value * _SPAN**steps]
    return [float(trial) for trial in value + 0.5 * np.pi * steps]


def _bound(closes: Callable[[float], bool], inside: float, outside: float) -> float:
    """Return the last value that closes between one that does and one that does not."""
    while abs(outside - inside) > 1e-7 * abs(inside) + 1e-12:
        middle = 0.5 * (inside + outside)
        inside, outside = (middle, outside) if closes(middle) else (inside, middle)
    return inside


def _rounded(value: float, towards: Callable[[float], int]) -> float:
    """Return the value at six significant digits, rounded by floor or ceil."""
    if value == 0.0 or math.isinf(value):
        return value
    scale = 10.0 ** (5 - math.floor(math.log10(abs(value))))
    return towards(value * scale) / scale
