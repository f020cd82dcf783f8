"""How values, quantities and errors are written for people."""

from collections.abc import Mapping

from buckle.increasing import PRESSURE, PUSH
from buckle.marked import mark
from buckle.units import Units


def value_text(value: object) -> str:
    """Return an input as people read it: lists and tables without their brackets."""
    if isinstance(value, Mapping):
        return ", ".join(f"{key} = {value_text(item)}" for key, item in value.items())
    if isinstance(value, list | tuple):
        flat = not any(isinstance(item, list | tuple) for item in value)
        return (", " if flat else "; ").join(value_text(item) for item in value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.10g}" if isinstance(value, float) else str(value)


def quantity_value(key: str, value: object, units: Units) -> str:
    """Return the value of a quantity of a record as printed, to five digits; of several allowed ones all."""
    if value is None:
        return "not found"
    if isinstance(value, tuple | list):
        return " or ".join(quantity_value(key, each, units) for each in value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return str(value)
    return f"{units.of_quantity(key, value):.5g}"


def load_words(unit: str) -> str:
    """Return what a load is called by the unit that it is recorded in."""
    return (PUSH if unit == PUSH.unit else PRESSURE).words


def load_text(value: float | None, unit: str) -> str:
    """Return a load [bar] or [N] as a part of a text, marked as a quantity; without one that there is none."""
    return f"no {load_words(unit)}" if value is None else mark(value, unit)


def percent(value: float) -> str:
    """Return an error estimate in two digits."""
    return f"{value:.2g} %" if abs(value) >= 0.01 else "< 0.01 %"
