"""A range of use as people read it: in the letter of the formula and in the unit that the inputs are told in."""

import math
from collections.abc import Callable
from typing import NamedTuple

from buckle.formulas.base import NO_UNIT, Interval, Quantity
from buckle.report.notation.units import METRIC, System
from buckle.units import to_unit


class Reading(NamedTuple):
    """'20 <= a_o <= 30', the value beside it, and their unit; '' is none."""

    text: str
    value: str
    unit: str


def read_range(interval: Interval, value: float, unit: str, system: System = METRIC) -> Reading:
    """Return a range and a value within or beyond it, both given in the formula's unit; angles in degrees."""
    read = _readings(unit, system)
    if read is None:
        return Reading(str(interval), f"{value:.6g}", "" if unit == NO_UNIT else unit)
    ends = (_five(read, end) if math.isfinite(end) else end for end in (interval.low, interval.high))
    shown = Interval(interval.symbol, *ends)
    return Reading(str(shown), f"{_five(read, value):.6g}", read(value).unit)


def _five(read: Callable[[float], Quantity], number: float) -> float:
    """Return a reading in five digits: six of radians leave no more of degrees."""
    return float(f"{read(number).value:.5g}")


def _readings(unit: str, system: System) -> Callable[[float], Quantity] | None:
    """Return what makes a reading of a number of a formula; None of a bare number."""
    if unit == "rad":
        return lambda number: Quantity("", to_unit(number, "angle", "deg"), "deg")
    if unit == NO_UNIT:
        return None
    return lambda number: system.quantity(Quantity("", number, unit))
