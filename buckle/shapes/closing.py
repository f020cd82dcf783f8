"""In which interval of one dimension, all others kept, a shape closes."""

import math
from collections.abc import Callable
from dataclasses import dataclass

_SPAN = 30.0  # lengths are tried from value / 30 to value * 30
_STEPS = 20  # trials on either side, close together near the value


_COARSE = 1e-3  # of the value: enough to compare dimensions by
_FINE = 1e-7


@dataclass(frozen=True)
class Interval:
    """An open interval of a length [mm] or angle [rad]; an end is infinite where no bound was met."""

    low: float
    high: float
    dimension: str

    def __str__(self) -> str:
        """Return the interval in mm or deg, its ends rounded inward so that they still close."""
        factor, unit = (1.0, "mm") if self.dimension == "length" else (180.0 / math.pi, "deg")
        low, high = _rounded(self.low * factor, math.ceil), _rounded(self.high * factor, math.floor)
        if math.isinf(low) and math.isinf(high):
            return "any"
        if math.isinf(low) or math.isinf(high):
            return f"at most {high:g} {unit}" if math.isinf(low) else f"at least {low:g} {unit}"
        return f"[{low:g}, {high:g}] {unit}"


@dataclass(frozen=True)
class Closing:
    """Where a shape that does not close at a value of one dimension would do so, on a grid of trials around it."""

    closes: Callable[[float], bool]
    value: float
    dimension: str
    step: int  # number of the nearest trial that closes, counted from the value: positive upward

    @property
    def change(self) -> float:
        """Smallest change that does: logarithm of the ratio of lengths, radians of angles."""
        nearest = _bound(self.closes, self._trial(self.step), self._trial(self.step - self._side), _COARSE)
        return _change(self.value, nearest, self.dimension)

    @property
    def interval(self) -> Interval:
        """Whole interval around that trial, its ends by bisection."""
        last = self.step
        while abs(last) < _STEPS and self.closes(self._trial(last + self._side)):
            last += self._side
        near = _bound(self.closes, self._trial(self.step), self._trial(self.step - self._side), _FINE)
        far = math.inf * self._side
        if abs(last) < _STEPS:
            far = _bound(self.closes, self._trial(last), self._trial(last + self._side), _FINE)
        return Interval(min(near, far), max(near, far), self.dimension)

    @property
    def _side(self) -> int:
        return 1 if self.step > 0 else -1

    def _trial(self, step: int) -> float:
        return _trial(self.value, self.dimension, step)


def nearest_closing(
    closes: Callable[[float], bool], value: float, dimension: str, within: float = math.inf
) -> Closing | None:
    """Return the nearest trial at which the shape closes; None if none is found whose change may be less than `within`.

    Trials lie on a grid, so that an interval narrower than the grid may be missed.
    """
    for step in range(1, _STEPS + 1):
        if _change(value, _trial(value, dimension, step - 1), dimension) >= within:
            return None
        for signed in (-step, step):
            if closes(_trial(value, dimension, signed)):
                return Closing(closes, value, dimension, signed)
    return None


def _trial(value: float, dimension: str, step: int) -> float:
    """Trials on either side of a value, close together near it."""
    share = step * abs(step) / _STEPS**2
    return value * _SPAN**share if dimension == "length" else value + 0.5 * math.pi * share


def _change(value: float, other: float, dimension: str) -> float:
    return abs(math.log(other / value)) if dimension == "length" else abs(other - value)


def _bound(closes: Callable[[float], bool], inside: float, outside: float, tolerance: float) -> float:
    """Return the last value that closes between one that does and one that does not."""
    while abs(outside - inside) > tolerance * abs(inside) + 1e-12:
        middle = 0.5 * (inside + outside)
        inside, outside = (middle, outside) if closes(middle) else (inside, middle)
    return inside


def _rounded(value: float, towards: Callable[[float], int]) -> float:
    """Return the value at six significant digits, rounded by floor or ceil."""
    if value == 0.0 or math.isinf(value):
        return value
    scale = 10.0 ** (5 - math.floor(math.log10(abs(value))))
    return towards(value * scale) / scale
