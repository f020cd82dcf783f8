"""Labels of axes and values in words: the one place that says in which unit pictures show pressures and lengths."""

from buckle.units import to_unit

SHOWN = {"pressure": "bar", "length": "mm", "stress": "MPa"}
"""Dimension -> unit in which pictures show it."""


def axis_label(words: str, dimension: str) -> str:
    """Return what an axis says: what it shows and in which unit."""
    return f"{words}  [{SHOWN[dimension]}]"


def shown_pressure(pressure: float) -> float:
    """Return a pressure [MPa] as pictures show it."""
    return to_unit(pressure, "pressure", SHOWN["pressure"])


def pressure_number(pressure: float) -> str:
    """Return a pressure [MPa] in digits as a graph gives it, without its unit."""
    return digits(shown_pressure(pressure))


def pressure_text(pressure: float) -> str:
    """Return a pressure [MPa] with its unit."""
    return f"{pressure_number(pressure)} {SHOWN['pressure']}"


def length_text(length: float) -> str:
    """Return a length [mm] with its unit, three digits."""
    return f"{to_unit(length, 'length', SHOWN['length']):.3g} {SHOWN['length']}"


def digits(value: float) -> str:
    """Return a pressure in the unit shown with two decimals, with three digits below 1."""
    return f"{value:.2f}" if value >= 1.0 else f"{value:#.3g}"
