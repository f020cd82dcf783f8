"""How values, sizes and errors are written for people."""

from collections.abc import Mapping

from buckle.margins.wording import size_text


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


def size(value: float | None, unit: str) -> str:
    """Return a pressure [bar], a movement [mm] or a strain (unit '') in as many digits as it is worth."""
    if value is None:
        return "–"
    return f"{value:.4g} bar" if unit == "bar" else size_text(value, unit)


def percent(value: float) -> str:
    """Return an error estimate in two digits."""
    return f"{value:.2g} %" if abs(value) >= 0.01 else "less than 0.01 %"
