"""Sensitivities as they stand on a margin sheet: per steps that a tool maker or a mill would think in."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from buckle.record.quantities import Fields
from buckle.record.reading import number_of, rows_of
from buckle.units import UNITS, convert, to_unit

GAUGE = ("gauge", "thickness")
"""Words in the keys of thicknesses."""
DEPTH = "deviation.depth_"
"""How the key of a depth begins that is as small as they are."""
STEPS: Mapping[str, tuple[float, str]] = {
    "gauge": (0.01, "mm"),
    "length": (0.1, "mm"),
    "angle": (1.0, "deg"),
    "stress": (10.0, "MPa"),
    "modulus": (1.0, "GPa"),
}
"""Usual steps of numbers and their units."""
PERCENT = 0.01
MOVES = ("growth_mm", "permanent_growth_mm", "stand_drop_mm")


@dataclass(frozen=True)
class Slope:
    """What a step of one number makes of one quantity; from below and from above where these differ.

    All are changes by one step larger, in the unit of the quantity; None where there is none.
    """

    change: float | None
    below: float | None = None
    above: float | None = None
    relative: float | None = None  # d ln quantity / d ln number


@dataclass(frozen=True)
class Effect:
    """What one number does to the capacity, the mass and the growth: its key, value, step and that step's unit."""

    key: str
    value: float
    step: float
    unit: str  # of the step: a length, angle or stress, or '%'
    capacity: Slope
    growth: Slope
    mass: Slope
    reason: str


@dataclass(frozen=True)
class Width:
    """A tolerance and the least reserve factor at its ends, to first order."""

    key: str
    law: str
    low: float
    high: float
    at_low: float | None
    at_high: float | None


@dataclass(frozen=True)
class Sensitivities:
    """The effects on one capacity, largest first, and what tolerances make of the reserve."""

    quantity: str
    unit: str  # of the capacity
    effects: tuple[Effect, ...]
    widths: tuple[Width, ...]
    failed: tuple[str, ...]


def sensitivities_of(recorded: Fields) -> Sensitivities | None:
    """Return what a record tells of sensitivities; None where it tells nothing."""
    rows = list(rows_of(recorded.get("sensitivities")))
    failed = recorded.get("sensitivities_failed")
    reasons = tuple(f"{kind}: {why}" for kind, why in failed.items()) if isinstance(failed, Mapping) else ()
    quantity = _capacity(recorded, rows)
    if not rows or quantity is None:
        return Sensitivities("", "", (), (), reasons) if reasons else None
    by_key = {(str(row["quantity"]), str(row["key"])): row for row in rows}
    effects = [_effect(row, quantity, by_key) for row in rows if row["quantity"] == quantity]
    effects.sort(key=_size, reverse=True)
    widths = tuple(map(_width, rows_of(recorded.get("reserve_at_tolerances"))))
    return Sensitivities(quantity, quantity.rpartition("_")[2], tuple(effects), widths, reasons)


def _capacity(recorded: Fields, rows: Sequence[Fields]) -> str | None:
    """The capacity of the deciding analysis, else the load of any analysis."""
    names = list(dict.fromkeys(str(row["quantity"]) for row in rows))
    kind = str(recorded.get("decided_by", ""))
    loads = [name for name in names if name.split(".")[-1].startswith(("capacity", "critical", "first_yield"))]
    return next((name for name in loads if name.startswith(f"{kind}.")), next(iter(loads), None))


def _effect(row: Fields, quantity: str, by_key: Mapping[tuple[str, str], Fields]) -> Effect:
    key, value = str(row["key"]), number_of(row.get("value")) or 0.0
    step, unit, in_file = step_of(key, value)
    growth = next((by_key[name, key] for name in MOVES if (name, key) in by_key), {})
    return Effect(
        key,
        value,
        step,
        unit,
        _slope(row, in_file),
        _slope(growth, in_file),
        _slope(by_key.get(("mass_g", key), {}), in_file),
        str(row.get("reason", "")),
    )


def _slope(row: Fields, step: float) -> Slope:
    change, below, above = (number_of(row.get(name)) for name in ("derivative", "from_below", "from_above"))
    scaled = [None if each is None else step * each for each in (change, below, above)]
    return Slope(scaled[0], scaled[1], scaled[2], number_of(row.get("relative")))


def step_of(key: str, value: float) -> tuple[float, str, float]:
    """Return the usual step of a number: its size, its unit, and its size in the unit of the key."""
    last = key.rpartition(".")[2].partition("[")[0]
    stem, _, suffix = last.rpartition("_")
    dimension = next((name for name in ("length", "angle", "stress") if stem and suffix in UNITS[name]), None)
    if dimension is None:
        return 1.0, "%", PERCENT * abs(value)
    small = key.startswith(DEPTH) or any(word in stem for word in GAUGE)
    kind = "gauge" if small else "modulus" if "modulus" in stem else dimension
    size, unit = STEPS[kind]
    return size, unit, to_unit(convert(size, dimension, unit), dimension, suffix)


def _size(effect: Effect) -> float:
    sides = (effect.capacity.change, effect.capacity.below, effect.capacity.above)
    return abs(effect.capacity.relative or 0.0) or max((abs(each) for each in sides if each is not None), default=0.0)


def _width(row: Fields) -> Width:
    low, high = (number_of(row.get(name)) or 0.0 for name in ("low", "high"))
    at_low, at_high = (number_of(row.get(f"reserve_at_{end}")) for end in ("low", "high"))
    return Width(str(row["key"]), str(row.get("law", "")) or "bounds", low, high, at_low, at_high)
