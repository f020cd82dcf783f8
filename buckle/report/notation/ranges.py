"""A range of use as people read it: in the letter of the formula and in the unit that the inputs are told in."""

import math
from typing import NamedTuple

from buckle.formulas.base import Interval
from buckle.units import preferred_suffix, to_unit

_DIMENSIONS = {"mm": "length", "MPa": "stress", "rad": "angle"}  # of what formulas calculate in


class Told(NamedTuple):
    """'20 <= a_o <= 30', the value beside it, and their unit; '' is none."""

    text: str
    value: str
    unit: str


def told_range(interval: Interval, value: float, unit: str) -> Told:
    """Return a range and a value within or beyond it, both given in the formula's unit; angles in degrees."""
    dimension = _DIMENSIONS.get(unit)
    if dimension is None:
        return Told(str(interval), f"{value:.6g}", "" if unit == "-" else unit)
    suffix = preferred_suffix(dimension)

    def read(number: float) -> float:  # five digits: six of radians leave no more of degrees
        return float(f"{to_unit(number, dimension, suffix):.5g}") if math.isfinite(number) else number

    shown = Interval(interval.symbol, read(interval.low), read(interval.high))
    return Told(str(shown), f"{read(value):.6g}", suffix)
