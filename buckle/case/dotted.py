"""Keys of a case inside another table, of a study or of tolerances.

They stand there with quotes, "shape.gauge_mm" = ..., or without, which TOML nests.
"""

from collections.abc import Collection, Mapping
from typing import Any

MARKS = frozenset(("from", "to", "count", "step", "distribution", "mean", "deviation", "half_width"))
"""Keys that tell what a study says of a quantity, a range or a spread, from a table of the case."""


def leaves(table: Mapping[str, Any], marks: Collection[str] = MARKS) -> dict[str, tuple[tuple[str, ...], Any]]:
    """Return {dotted key: (its path as written, value)}; a table with one of the marks among its keys is a value."""
    found: dict[str, tuple[tuple[str, ...], Any]] = {}
    for name, value in table.items():
        if isinstance(value, Mapping) and value and not {*marks} & {*value}:
            found |= {f"{name}.{key}": ((name, *path), leaf) for key, (path, leaf) in leaves(value, marks).items()}
        else:
            found[name] = ((name,), value)
    return found
