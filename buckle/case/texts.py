"""What tables may not hold, whatever their keys mean.

Characters that a terminal, a page or a table would obey instead of showing, and values too deep to be walked through.
"""

from collections.abc import Iterable, Iterator, Mapping

from buckle.case.keys import Finding
from buckle.case.locator import KeyPath

SPACES = "\n\t"
"""Allowed beside what can be printed: a long reason or source may have lines."""

DEEPEST = 16
"""Levels of tables and lists in each other; a case needs six, and Python's own walks end at some hundred."""


def depth_findings(tables: object) -> Iterator[Finding]:
    """Yield the first place that lies deeper than anything should, level by level: what is deeper cannot be worded."""
    level: list[tuple[KeyPath, object]] = [((), tables)]
    for _ in range(DEEPEST + 1):
        level = [
            (path if len(path) > 1 else (*path, key), item) for path, value in level for key, item in _items(value)
        ]
    for path, _ in level[:1]:
        yield Finding(path, "is nested too deep", allowed=f"up to {DEEPEST} levels of tables and lists")


def _items(value: object) -> Iterable[tuple[str | int, object]]:
    if isinstance(value, Mapping):
        return value.items()
    return enumerate(value) if isinstance(value, list | tuple) else ()


def text_findings(tables: object, path: KeyPath = ()) -> Iterator[Finding]:
    """Yield every text, key or value, that holds a character which cannot be printed."""
    if isinstance(tables, Mapping):
        for key, value in tables.items():
            if isinstance(key, str) and not key.isprintable():
                yield Finding((*path, key), "the key holds a character that cannot be printed", key)
            yield from text_findings(value, (*path, key))
    elif isinstance(tables, list | tuple):
        for index, value in enumerate(tables):
            yield from text_findings(value, (*path, index))
    elif isinstance(tables, str) and not all(each.isprintable() or each in SPACES for each in tables):
        yield Finding(path, "holds a character that cannot be printed", tables, "letters, digits, signs, spaces")
