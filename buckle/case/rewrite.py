"""A case file with other values under some keys: its text edited in place, so that comments and layout stay."""

import json
import re
import tomllib
from collections.abc import Callable, Collection, Iterator, Mapping
from typing import Any

from buckle.case.locator import KeyPath, toml_spans
from buckle.case.validate import value_at
from buckle.units import UNITS, convert, to_unit

FILES = ("file", "case")
"""Keys under which a scan or measured tolerances, and a part of a container, stand in a file of their own."""
Spans = Mapping[KeyPath, tuple[int, int]]
DIGITS = 10
"""Significant digits of a written number: what a drawing could state, without the noise of a conversion."""


def rewritten_case(text: str, changes: Mapping[str, Any], *, is_json: bool = False) -> str:
    """Return the text of a case file, or of a container's, with each key such as `shape.gauge_mm` set to its value.

    A value is a number, a list of numbers or a text. A quantity that the file has in another unit keeps that unit. A
    key that it lacks stands first in its table; a table that it lacks behind what the one that it belongs to says, and
    at the end where it belongs to none.
    """
    for key, value in changes.items():
        text = _in_json(text, key, value) if is_json else _in_toml(text, key, value)
    return text


def with_files(text: str, called: Callable[[KeyPath, str], str], *, is_json: bool = False) -> str:
    """Return the text with each file that it names by what it is called, by its key and its name, from elsewhere."""
    if is_json:
        return json.dumps(_with_files(json.loads(text), called), indent=1, ensure_ascii=False) + "\n"
    tables = tomllib.loads(text)
    named = [(span, path) for path, span in toml_spans(text).items() if path[-1] in FILES]
    for (start, end), path in sorted(named, reverse=True):  # from the end, so that those before stay where they are
        file = value_at(tables, path)
        if isinstance(file, str):
            text = f"{text[:start]}{_written(called(path, file))}{text[end:]}"
    return text


def _with_files(value: Any, called: Callable[[KeyPath, str], str], path: KeyPath = ()) -> Any:
    if isinstance(value, Mapping):
        return {key: _with_files(inner, called, (*path, key)) for key, inner in value.items()}
    return called(path, value) if isinstance(value, str) and path and path[-1] in FILES else value


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


def _inserted(text: str, path: KeyPath, value: Any, spans: Spans) -> str:
    """Put a key that the file lacks into its table."""
    *parents, last = path
    pair = f"{last} = {_written(value)}"
    if tuple(parents) not in spans:
        return _with_table(text, tuple(parents), pair, spans)
    start, end = spans[tuple(parents)]
    if text[start] == "{":
        return f"{text[: start + 1]} {pair},{text[start + 1 :]}"
    return _after_line(text, end, f"\n{pair}")


def _with_table(text: str, path: KeyPath, pair: str, spans: Spans) -> str:
    """Put a key into a table that has neither a header nor braces of its own in the text."""
    headers = _headers(text, spans)
    owner = max((each for each in headers if path[: len(each)] == each), key=len, default=())
    braces = [path[:at] for at in range(len(owner) + 1, len(path)) if path[:at] in spans]
    if braces:
        start, _ = spans[braces[-1]]
        return f"{text[: start + 1]} {_dotted(path[len(braces[-1]) :])}.{pair},{text[start + 1 :]}"
    below = {each for each in headers if each[: len(path)] == path}
    beside = [
        end for each, (_, end) in spans.items() if each[: len(path)] == path and not _is_under(each, below)
    ]  # keys of it with dots, which let no header stand for it
    if beside:
        return _after_line(text, max(beside), f"\n{_dotted(path[len(owner) :])}.{pair}")
    table = f"[{_dotted(path)}]\n{pair}"
    if not owner:
        return f"{text.rstrip()}\n\n{table}\n"
    start = spans[owner][0]
    until = min((spans[each][0] for each in headers if spans[each][0] > start), default=len(text))
    return _after_line(text, max(end for at, end in spans.values() if start <= at < until), f"\n\n{table}")


def _headers(text: str, spans: Spans) -> set[KeyPath]:
    """Return the tables that have a header: it begins its line, and lies within no array."""
    arrays = [each for each in spans.values() if text[each[0]] == "["]
    return {
        path
        for path, (start, end) in spans.items()
        if text[start] == "["
        and not text[text.rfind("\n", 0, start) + 1 : start].strip()
        and not any(first < start and end <= last for first, last in arrays)
    }


def _is_under(path: KeyPath, tables: Collection[KeyPath]) -> bool:
    return any(path[: len(each)] == each for each in tables)


def _dotted(path: KeyPath) -> str:
    return ".".join(map(str, path))


def _after_line(text: str, at: int, added: str) -> str:
    """Put something behind the line on which a character stands."""
    line_end = text.find("\n", at)
    line_end = len(text) if line_end < 0 else line_end
    return f"{text[:line_end]}{added}{text[line_end:]}"


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
    """Return a number, a list of numbers or a text as TOML has it."""
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_written, value))}]"
    return json.dumps(_rounded(value), allow_nan=False)


def _rounded(value: Any) -> Any:
    if isinstance(value, list | tuple):
        return [_rounded(each) for each in value]
    return float(f"{value:.{DIGITS}g}") if isinstance(value, float) else value
