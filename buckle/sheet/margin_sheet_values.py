"""Reading a record: its rows, lists and numbers, whatever a value is, and how people read them."""

from collections.abc import Iterator, Mapping, Sequence

from buckle.margins.wording import size_text
from buckle.sheet.record import Fields


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


def rows_of(value: object) -> Iterator[Fields]:
    """Yield the rows of a list in a record; none where it has no such list."""
    yield from (row for row in list_of(value) if isinstance(row, Mapping))


def list_of(value: object) -> Sequence[object]:
    """Return a list of a record; empty where it has none."""
    return value if isinstance(value, list | tuple) else ()


def pairs_of(value: object) -> Iterator[tuple[str, object]]:
    """Yield the pairs of an object of a record; none where it has none."""
    yield from value.items() if isinstance(value, Mapping) else ()


def number_of(value: object) -> float | None:
    """Return a number of a record, None where it has none."""
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None
