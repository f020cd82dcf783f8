"""What may move: a key of the case with a number under it, and the interval in which it may lie."""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from buckle.batch.asked import Designs
from buckle.case import Case
from buckle.case.internal import is_number
from buckle.case.keys import unknown_word
from buckle.case.values import known_values, value_in
from buckle.container.container import Container
from buckle.errors import CaseError
from buckle.units import UNITS

DIGITS = 9
"""Significant digits of a value that is tried: two that differ by less are one design."""
WIDE = 2.0
"""By this factor a value moves down and up where nothing says how far it may."""
WIDER = 8.0
"""And by this where it is not met within that."""


@dataclass(frozen=True)
class Variable:
    """A key, its value in the case in the unit of the key, and the lowest and highest that it may have."""

    key: str
    value: float
    low: float
    high: float
    entries: tuple[float, ...] = ()  # of a list of temperatures, the highest of which moves

    def at(self, value: float) -> dict[str, Any]:
        """Return what the case says at a value; of a list no entry is above it."""
        rounded = float(f"{value:.{DIGITS}g}")
        if not self.entries:
            return {self.key: rounded}
        return {self.key: [*[each for each in self.entries if each < rounded], rounded]}

    @property
    def unit(self) -> str:
        """The unit at the end of the key."""
        return unit_of(self.key)


def unit_of(key: str) -> str:
    """Return the unit at the end of a key, '' where a plain number stands under it."""
    found = [suffix for units in UNITS.values() for suffix in units if key.endswith(f"_{suffix}")]
    return max(found, key=len, default="")


def example_key(base: Case | Container) -> str:
    """Return a key such as a case, or a container, has."""
    return f"parts.{next(iter(base.parts))}.shape.gauge_mm" if isinstance(base, Container) else "shape.gauge_mm"


def variable(
    base: Case | Container, key: str, between: tuple[float, float] | None = None, factor: float = WIDE
) -> Variable:
    """Return a key of a case, or of a container, as something that may move.

    Raises CaseError where no number stands under it.
    """
    known = known_values(base.tables, base.echo)
    value = value_in(key, known)
    if value is None:
        value = _table_value(base.tables, key)
    entries: tuple[float, ...] = ()
    if isinstance(value, list | tuple) and value and all(map(is_number, value)) and "temperatures" in key:
        entries = tuple(sorted(float(each) for each in value))
        value = entries[-1]
    if not is_number(value):
        numbers = {name: each for name, each in known.items() if is_number(each)}
        raise CaseError(
            f"{key}: {'no number that could move' if key in known else unknown_word('key', key, numbers)}; allowed: a "
            f"key of the {'container' if isinstance(base, Container) else 'case'} with a number under it, such as "
            f"{example_key(base)}, {example_key(base).replace('shape.gauge_mm', 'material.yield_stress_MPa')}"
        )
    low, high = between or _about(key, float(value), factor)
    if not (math.isfinite(low) and math.isfinite(high) and low < high):
        raise CaseError(f"{key}: is to move from {low:g} to {high:g}; allowed: a lower and a higher value")
    return Variable(key, float(value), low, high, entries)


def _table_value(tables: Mapping[str, Any], key: str) -> Any:
    """Return what the file itself says under a key, a list among it; None where it says nothing."""
    value: Any = tables
    for name in key.split("."):
        value = value.get(name) if isinstance(value, Mapping) else None
    return None if isinstance(value, Mapping) else value


def check_matters(designs: Designs, variables: Iterable[Variable]) -> None:
    """Raise CaseError for a key that no part of a container takes: what the whole says counts instead."""
    if not isinstance(designs.base, Container):
        return
    for each in variables:
        try:
            ends = [designs.case(each.at(value)) for value in (each.low, each.high)]
        except CaseError:
            continue
        low, high = ([part.case.input_hash for part in end.loaded] for end in ends if isinstance(end, Container))
        if low == high:
            raise CaseError(f"{each.key}: changes nothing that is analysed; allowed: a key that a part goes by")


def _about(key: str, value: float, factor: float) -> tuple[float, float]:
    """Return how far a value may move where nothing says it."""
    if key.endswith("_degC"):
        return 0.0, 99.0  # water is liquid
    if value > 0.0:
        return value / factor, value * factor
    return (value * factor, value / factor) if value < 0.0 else (-1.0, 1.0)


def inputs_of(variables: "tuple[Variable, ...]", values: Mapping[str, float]) -> dict[str, Any]:
    """Return what the case says at values of several variables, by key."""
    return {key: value for each in variables for key, value in each.at(values[each.key]).items()}
