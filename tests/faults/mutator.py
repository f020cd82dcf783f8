"""Input files changed at random, as a slip of an editor, of a script or of a drive would: bytes of any TOML text."""

import random
import re
from collections.abc import Callable
from itertools import count

Change = Callable[[bytes, random.Random], bytes]

SPECIAL = (
    *(b"0", b"-0.0", b"-1", b"nan", b"-nan", b"inf", b"-inf", b"1e308", b"1e-308", b"5e-324", b"1e999", b"0x7fffffff"),
    *(
        b"9" * 19,
        b"1" + b"0" * 400,
        b"1" + b"0" * 5000,
        b"0." + b"3" * 400,
        b"true",
        b'"7"',
        b"07:32:00",
        b"1979-05-27",
    ),
)
"""What a number is replaced by: ends of ranges, numbers no machine holds, values of another kind."""
_FACTORS = (1e-12, 1e-6, 1e-3, 0.1, 1 / 25.4, -1.0, 1.01, 10.0, 25.4, 1e3, 1e6, 1e12)
"""A slip of the unit, of the decimal point, of the sign."""
_NUMBER = re.compile(rb"(?<![\w.\"'-])[+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?(?![\w.\"'-])")
_VALUE = re.compile(rb"(?<== )[^\n]+")
_TEXT = re.compile(rb"\"[^\"\n]*\"")
_STRANGE = (b"", b" ", b"\\u0000", b"\\u001b[31m", b"..", b"/", b'\\"', b"x" * 1000, "ü€𝄞".encode(), b"=1+1", b"%s{}$x")
_DEPTHS = (1, 3, 90, 3000, 20_000)


def mutated(data: bytes, seed: int) -> tuple[bytes, str]:
    """Return a file with one to three changes, and in words what they were; a seed repeats them.

    Never the file itself. Raises ValueError for a file of fewer than two lines, which leaves nothing to change.
    """
    if data.count(b"\n") < 2:
        raise ValueError("the mutator needs a text of some lines")
    chance = random.Random(seed)
    changed, made = data, []
    for turn in count():
        name = chance.choice(sorted(CHANGES))
        after = CHANGES[name](changed, chance)
        if after != changed:
            made.append(name)
        changed = after
        if made and changed != data and (turn >= 2 or chance.random() < 0.6):
            return changed, ", ".join(made)
    raise AssertionError


def _flip_bytes(data: bytes, chance: random.Random) -> bytes:
    changed = bytearray(data)
    for _ in range(chance.choice((1, 1, 1, 4))):
        changed[chance.randrange(len(changed))] ^= 1 << chance.randrange(8)
    return bytes(changed)


def _cut(data: bytes, chance: random.Random) -> bytes:
    return data[: chance.randrange(len(data))] or data[:1]


def _delete_lines(data: bytes, chance: random.Random) -> bytes:
    lines = data.splitlines(keepends=True)
    at = chance.randrange(len(lines))
    return b"".join(lines[:at] + lines[at + chance.choice((1, 1, 1, 3)) :]) or data[:1]


def _swap_lines(data: bytes, chance: random.Random) -> bytes:
    lines = data.splitlines(keepends=True)
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]
    return b"".join(lines)


def _repeat_a_line(data: bytes, chance: random.Random) -> bytes:
    """Give a key, or a table, twice."""
    lines = data.splitlines(keepends=True)
    at = chance.randrange(len(lines))
    lines.insert(chance.choice((at, chance.randrange(len(lines)))), lines[at])
    return b"".join(lines)


def _scale_a_number(data: bytes, chance: random.Random) -> bytes:
    def scaled(found: bytes) -> bytes:
        value = float(found) * chance.choice(_FACTORS)
        return b"%d" % value if b"." not in found and abs(value) < 1e15 and value == int(value) else b"%r" % value

    return _replaced(_NUMBER, data, chance, scaled)


def _put_a_special_number(data: bytes, chance: random.Random) -> bytes:
    return _replaced(_NUMBER, data, chance, lambda _: chance.choice(SPECIAL))


def _nest_a_value(data: bytes, chance: random.Random) -> bytes:
    depth = chance.choice(_DEPTHS)
    start, end = chance.choice(((b"[", b"]"), (b"{ a = ", b" }")))
    return _replaced(_VALUE, data, chance, lambda found: start * depth + found + end * depth)


def _put_a_strange_text(data: bytes, chance: random.Random) -> bytes:
    return _replaced(_TEXT, data, chance, lambda _: b'"' + chance.choice(_STRANGE) + b'"')


def _misspell(data: bytes, chance: random.Random) -> bytes:
    """Swap two neighbouring letters."""
    at = chance.randrange(max(1, len(data) - 1))
    return data[:at] + data[at + 1 : at + 2] + data[at : at + 1] + data[at + 2 :]


def _begin_with_a_mark(data: bytes, chance: random.Random) -> bytes:
    """Put a byte-order mark before the text: of UTF-8, once or twice, or of UTF-16, which the text then is not."""
    return chance.choice((b"\xef\xbb\xbf", b"\xef\xbb\xbf" * 2, b"\xff\xfe", b"\xfe\xff")) + data


def _encode_otherwise(data: bytes, chance: random.Random) -> bytes:
    return data.decode("utf-8", errors="replace").encode(chance.choice(("utf-16", "utf-16-le", "utf-32")))


def _end_lines_otherwise(data: bytes, chance: random.Random) -> bytes:
    end = chance.choice((b"\r\n", b"\r", b"\n\r", b"\x0b", b"\x0c", b"\x85", "\u2028".encode()))
    parts = data.split(b"\n")
    if chance.random() < 0.5:
        return end.join(parts)
    at = chance.randrange(1, len(parts)) if len(parts) > 1 else 0
    return b"\n".join(parts[:at]) + end + b"\n".join(parts[at:])


def _replaced(
    pattern: re.Pattern[bytes], data: bytes, chance: random.Random, replace: Callable[[bytes], bytes]
) -> bytes:
    """Return the text with one of the places that fit a pattern replaced; as it was where none fits."""
    matches = list(pattern.finditer(data))
    if not matches:
        return data
    match = chance.choice(matches)
    return data[: match.start()] + replace(match[0]) + data[match.end() :]


CHANGES: dict[str, Change] = {
    each.__name__.strip("_").replace("_", " "): each
    for each in (
        *(_flip_bytes, _cut, _delete_lines, _swap_lines, _repeat_a_line, _scale_a_number, _put_a_special_number),
        *(_nest_a_value, _put_a_strange_text, _misspell, _begin_with_a_mark, _encode_otherwise, _end_lines_otherwise),
    )
}
