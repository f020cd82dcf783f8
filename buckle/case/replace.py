"""A copy of a case's tables with other values under some keys, for sweeps and sizing."""

import re
from collections.abc import Iterator, Mapping
from copy import deepcopy
from typing import Any

from buckle.errors import CaseError
from buckle.units import UNITS


def replace_keys(tables: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return a copy of the tables with each key such as `shape.gauge_mm` or `shape.pieces[2].arc_mm` set to its value.

    The same quantity in another unit is removed; a table that is not there is made. Whether the keys and values are
    allowed is judged when the case is read. Raises CaseError for a key that leads through something that is no table.
    """
    changed = deepcopy(dict(tables))
    for key, value in changes.items():
        *parents, last = re.findall(r"[^.\[\]]+", key) or [key]  # a key without a name is judged like any other
        table: Any = changed
        for parent in parents:
            table = _inside(table, parent, key)
        _put(table, last, value, key)
    return changed


def _put(table: Any, name: str, value: Any, key: str) -> None:
    """Put a value under a name of a table or at an index of a list."""
    if isinstance(table, list) and name.isdigit() and int(name) < len(table):
        table[int(name)] = deepcopy(value)
        return
    if not isinstance(table, dict):
        raise _astray(key, name)
    for spelling in other_spellings(name):
        table.pop(spelling, None)
    table[name] = deepcopy(value)


def _inside(table: Any, name: str, key: str) -> Any:
    """Return what stands under a name of a table or at an index of a list."""
    if isinstance(table, list) and name.isdigit() and int(name) < len(table):
        return table[int(name)]
    if isinstance(table, dict):
        return table.setdefault(name, {})
    raise _astray(key, name)


def _astray(key: str, name: str) -> CaseError:
    return CaseError(f"{key}: leads nowhere at {name!r}; allowed: table.key or table.list[index].key")


def other_spellings(key: str) -> Iterator[str]:
    """Yield the keys of the same quantity in the other units of its dimension."""
    for units in UNITS.values():
        for suffix in units:
            if key.endswith(f"_{suffix}"):
                yield from (f"{key.removesuffix(suffix)}{other}" for other in units if other != suffix)
