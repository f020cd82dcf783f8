"""Which line of a TOML file a key stands on: `tomllib` does not say, and a fault must."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

KeyPath = tuple[str | int, ...]

_STRINGS = r'"""(?:\\[\s\S]|[^\\])*?"""(?:"{0,2})|\'\'\'[\s\S]*?\'\'\'(?:\'{0,2})|"(?:\\.|[^"\\\n])*"|\'[^\'\n]*\''
_TOML = re.compile(
    rf"(?P<comment>#[^\n]*)|(?P<text>{_STRINGS})|(?P<mark>[\[\]{{}},=\n])|(?P<bare>[^\s\[\]{{}},=#\"']+)"
)


@dataclass(frozen=True)
class _Token:
    kind: str
    text: str
    line: int
    start: int  # in characters from the beginning of the text


@dataclass
class _Cursor:
    """Tokens still to be read, the lines found so far, and where values stand: [start, end) in characters."""

    tokens: list[_Token]
    at: int = 0
    lines: dict[KeyPath, int] = field(default_factory=dict)
    spans: dict[KeyPath, tuple[int, int]] = field(default_factory=dict)

    def peek(self) -> str:
        """Return the text of the next token; empty at the end."""
        return self.tokens[self.at].text if self.at < len(self.tokens) else ""

    def take(self) -> _Token:
        """Return the next token and step over it."""
        self.at += 1
        return self.tokens[self.at - 1]

    @property
    def end(self) -> int:
        """Return where the token that was read last ends."""
        last = self.tokens[self.at - 1]
        return last.start + len(last.text)

    def skip_newlines(self) -> None:
        """Step over line ends, which mean nothing inside brackets and between statements."""
        while self.peek() == "\n":
            self.at += 1

    def note(self, path: KeyPath, line: int) -> None:
        """Keep the first line of a key."""
        self.lines.setdefault(path, line)


def toml_lines(text: str) -> dict[KeyPath, int]:
    """Return {key path: line} for every key, table and array entry of a valid TOML text."""
    return _walked(text).lines


def toml_spans(text: str) -> dict[KeyPath, tuple[int, int]]:
    """Return {key path: (start, end)} in characters of every value in a valid TOML text, entries of arrays among them.

    Of a table with a header it is the header.
    """
    return _walked(text).spans


def _walked(text: str) -> _Cursor:
    cursor = _Cursor(list(_tokens(text)))
    table: KeyPath = ()
    counts: dict[KeyPath, int] = {}
    cursor.skip_newlines()
    while cursor.peek():
        if cursor.peek() == "[":
            table = _header(cursor, counts)
        else:
            _pair(cursor, table)
        cursor.skip_newlines()
    return cursor


def nearest_line(lines: Mapping[KeyPath, int], path: KeyPath) -> int | None:
    """Return the line of a key, or of its nearest parent that the file names; None if there is none."""
    return next((lines[path[:end]] for end in range(len(path), 0, -1) if path[:end] in lines), None)


def _tokens(text: str) -> Iterator[_Token]:
    line, reached = 1, 0
    for match in _TOML.finditer(text):
        line += text.count("\n", reached, match.start())
        reached = match.start()
        if match.lastgroup != "comment":
            yield _Token(str(match.lastgroup), match.group(), line, match.start())


def _header(cursor: _Cursor, counts: dict[KeyPath, int]) -> KeyPath:
    """Read `[a.b]` or `[[a.b]]` and return the path of the table that it opens."""
    first = cursor.take()
    line = first.line
    repeated = cursor.peek() == "["
    cursor.at += repeated
    names = _key(cursor, "]")
    cursor.at += 1 + repeated
    parent: KeyPath = ()
    for name in names[:-1]:
        parent = _last_entry((*parent, name), counts)
        cursor.note(parent, line)
    path: KeyPath = (*parent, names[-1])
    cursor.note(path, line)
    if repeated:
        counts[path] = counts.get(path, 0) + 1
    opened = _last_entry(path, counts)
    cursor.note(opened, line)
    cursor.spans[opened] = (first.start, cursor.end)
    return opened


def _last_entry(path: KeyPath, counts: Mapping[KeyPath, int]) -> KeyPath:
    """Return the path of the newest entry if the path is an array of tables, else the path itself."""
    return (*path, counts[path] - 1) if path in counts else path


def _key(cursor: _Cursor, end: str) -> list[str]:
    """Read the parts of a dotted key up to, not including, its end mark."""
    parts: list[str] = []
    while cursor.peek() != end:
        token = cursor.take()
        if token.kind == "text":
            parts.append(tomllib.loads(f"key = {token.text}")["key"])
        else:
            parts.extend(part for part in token.text.split(".") if part)
    return parts


def _pair(cursor: _Cursor, table: KeyPath) -> None:
    """Read `key = value` into the lines, every part of a dotted key with it."""
    line = cursor.tokens[cursor.at].line
    path = table
    for name in _key(cursor, "="):
        path = (*path, name)
        cursor.note(path, line)
    cursor.at += 1
    _value(cursor, path)


def _value(cursor: _Cursor, path: KeyPath) -> None:
    """Step over a value, noting what an array or an inline table holds."""
    first = cursor.take()
    opening = first.text
    if opening == "[":
        _array(cursor, path)
    elif opening == "{":
        _inline_table(cursor, path)
    else:
        while cursor.peek() and cursor.peek() not in "\n,]}":  # a date may be followed by a time of day
            cursor.at += 1
    cursor.spans[path] = (first.start, cursor.end)


def _array(cursor: _Cursor, path: KeyPath) -> None:
    index = 0
    while _more(cursor, "]"):
        entry = (*path, index)
        cursor.note(entry, cursor.tokens[cursor.at].line)
        _value(cursor, entry)
        index += 1


def _inline_table(cursor: _Cursor, path: KeyPath) -> None:
    while _more(cursor, "}"):
        _pair(cursor, path)


def _more(cursor: _Cursor, closing: str) -> bool:
    """Step over commas and line ends; tell whether another entry follows, else step over the closing bracket."""
    while cursor.peek() in ("\n", ","):
        cursor.at += 1
    if cursor.peek() == closing:
        cursor.at += 1
        return False
    return True
