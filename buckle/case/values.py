"""What a case says under its keys, in whichever unit it is asked for."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from buckle.case.echo import EchoLine
from buckle.units import UNITS, convert, to_unit


def known_values(tables: Mapping[str, Any], echo: Iterable[EchoLine]) -> dict[str, Any]:
    """Return {dotted key: value} of a case: what the file says, and defaults and grade values under preferred units."""
    return {line.key: line.value for line in echo} | dict(flat(tables))


def value_in(key: str, known: Mapping[str, Any]) -> Any:
    """Return the value of a key, converted where it is known in another unit; None if it is not known."""
    if key in known:
        return known[key]
    for stem, dimension, suffix in _readings(key):
        for other in UNITS[dimension]:
            value = known.get(f"{stem}_{other}")
            if isinstance(value, int | float):
                return to_unit(convert(value, dimension, other), dimension, suffix)
    return None


def same_quantity(one: str, other: str) -> bool:
    """Tell whether two keys name one quantity, in the same or in another unit."""
    spelt = {f"{stem}_{unit}" for stem, dimension, _ in _readings(one) for unit in UNITS[dimension]}
    return one == other or other in spelt


def per_unit(own: str, other: str) -> float:
    """Return what one unit of a key is in units of another key of the same quantity."""
    units = {stem: (UNITS[dimension], suffix) for stem, dimension, suffix in _readings(other)}
    for stem, _, suffix in _readings(own):
        if stem in units:
            table, there = units[stem]
            return float(table[suffix].factor / table[there].factor)
    return 1.0


def _readings(key: str) -> Iterator[tuple[str, str, str]]:
    """Yield (stem, dimension, suffix) for every way to read the end of a key as a unit."""
    for dimension, units in UNITS.items():
        for suffix in units:
            if key.endswith(f"_{suffix}"):
                yield key.removesuffix(f"_{suffix}"), dimension, suffix


def flat(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Yield (dotted key, value) of everything in tables and lists that is neither."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            yield from flat(inner, f"{path}.{key}" if path else key)
    elif isinstance(value, list | tuple):
        for at, inner in enumerate(value):
            yield from flat(inner, f"{path}[{at}]")
    else:
        yield path, value
