"""What a text of a case may not hold: characters that a terminal, a page or a table would obey instead of showing."""

from collections.abc import Iterator, Mapping

from buckle.case.keys import Finding
from buckle.case.locator import KeyPath

SPACES = "\n\t"
"""Allowed beside what can be printed: a long reason or source may have lines."""


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
