"""A case file with other values under some keys: its text edited in place, so that comments and layout stay."""

import json
import re
from collections.abc import Iterator, Mapping
from typing import Any

from buckle.case.locator import KeyPath, toml_spans
from buckle.units import UNITS, convert, to_unit

DIGITS = 10
"""Significant digits of a written number: what a drawing could state, without the noise of a conversion."""


def rewritten_case(text: str, changes: Mapping[str, Any], *, is_json: bool = False) -> str:
    """Return the text of a case file with each key such as `shape.gauge_mm` set to its value.

    A value is a number or a list of numbers. A quantity that the file has in another unit keeps that unit. A key that
    it lacks stands first in its table, and a table that it lacks at the end.
    """
    for key, value in changes.items():
        text = _in_json(text, key, value) if is_json else _in_toml(text, key, value)
    return text


def key_path(key: str) -> KeyPath:
    """Return the path of a key as people write it: shape.pieces[2].arc_mm."""
    return tuple(int(part) if part.isdigit() else part for part in re.findall(r"[^.\[\]]+", key))


def _in_toml(text: str, key: str, value: Any) -> str:
    spans = toml_spans(text)
    for path, known in _spellings(key_path(key), value):
        if path in spans:
            start, end = spans[path]
            return text[:start] + _written(known) + text[end:]
    return _inserted(text, key_path(key), value, spans)


def _inserted(text: str, path: KeyPath, value: Any, spans: Mapping[KeyPath, tuple[int, int]]) -> str:
    """Put a key that the file lacks into its table."""
    *parents, last = path
    pair = f"{last} = {_written(value)}"
    if tuple(parents) not in spans:
        return f"{text.rstrip()}\n\n[{'.'.join(map(str, parents))}]\n{pair}\n"
    start, end = spans[tuple(parents)]
    if text[start] == "{":
        return f"{text[: start + 1]} {pair},{text[start + 1 :]}"
    line_end = text.find("\n", end)
    line_end = len(text) if line_end < 0 else line_end
    return f"{text[:line_end]}\n{pair}{text[line_end:]}"


def _in_json(text: str, key: str, value: Any) -> str:
    tables = json.loads(text)
    *parents, last = key_path(key)
    table: Any = tables
    for parent in parents:
        table = table[parent] if isinstance(parent, int) else table.setdefault(parent, {})
    for (*_, spelling), known in _spellings((last,), value):
        if spelling in table:
            table[spelling] = _rounded(known)
            break
    else:
        table[last] = _rounded(value)
    return json.dumps(tables, indent=1, ensure_ascii=False) + "\n"


def _spellings(path: KeyPath, value: Any) -> Iterator[tuple[KeyPath, Any]]:
    """Yield a key with its value as it is, and in the other units of its dimension."""
    yield path, value
    *parents, last = path
    if not isinstance(last, str) or not isinstance(value, int | float):
        return
    for dimension, units in UNITS.items():
        for suffix in units:
            if last.endswith(f"_{suffix}"):
                internal = convert(float(value), dimension, suffix)
                for other in units:
                    if other != suffix:
                        spelling = f"{last.removesuffix(suffix)}{other}"
                        yield (*parents, spelling), to_unit(internal, dimension, other)


def _written(value: Any) -> str:
    """Return a number, or a list of numbers, as TOML has it."""
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_written, value))}]"
    return json.dumps(_rounded(value), allow_nan=False)


def _rounded(value: Any) -> Any:
    if isinstance(value, list | tuple):
        return [_rounded(each) for each in value]
    return float(f"{value:.{DIGITS}g}") if isinstance(value, float) else value
