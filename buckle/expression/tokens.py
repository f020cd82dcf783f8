"""The words and signs of an expression."""

import math
import re
from collections.abc import Iterator
from typing import NamedTuple

from buckle.errors import CaseError

_TOKEN = re.compile(
    r"""\s*(?:
        (?P<number>(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?(?![\w.]))
      | (?P<text>'[^']*'|"[^"]*")
      | (?P<name>[A-Za-z_]\w*(?:\.[A-Za-z_]\w*|\[[0-9]+\])*)(?P<call>\()?
      | (?P<sign><=|>=|==|!=|\*\*|[-+*/^<>=(),])
    )""",
    re.VERBOSE | re.ASCII,
)
BLANKS = " \t\n\r\f\v"
_SAME = {"==": "=", "**": "^"}


class Token(NamedTuple):
    """A word or sign; its kind is number, text, name, call (a name that touches its bracket), sign, word or end."""

    kind: str
    text: str


END = Token("end", "")


def tokens_of(text: str) -> Iterator[Token]:
    """Yield the tokens of a text. Raises CaseError where something else stands."""
    at, text = 0, text.rstrip(BLANKS)
    while at < len(text):
        found = _TOKEN.match(text, at)
        if found is None:
            raise CaseError(f"{text[at:].lstrip(BLANKS)[:20]!r} is not allowed")
        at = found.end()
        if found["number"]:
            if not math.isfinite(float(found["number"])):
                raise CaseError(f"{found['number']!r} is too large a number")
            yield Token("number", found["number"])
        elif found["text"]:
            yield Token("text", found["text"][1:-1])
        elif found["name"]:
            yield Token("call" if found["call"] else "name", found["name"])
        else:
            yield Token("sign", _SAME.get(found["sign"], found["sign"]))
