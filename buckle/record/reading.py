"""Reading a record: its rows, lists, pairs and numbers, whatever a value is."""

from collections.abc import Iterator, Mapping, Sequence

from buckle.record.quantities import Fields


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


def texts_of(value: object) -> tuple[str, ...]:
    """Return a list of texts of a record; empty where it has none."""
    return tuple(map(str, list_of(value)))
