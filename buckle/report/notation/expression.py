"""The written formulas of hand calculations as trees: read, worked out with numbers, numbers put in for letters.

The language is that of `buckle.expression`, and beyond it that of `Statement.expression`: a blank is a product,
brackets may be of any kind, and prose may stand between the parts (`p = chi p_pl with chi = 1`).
"""

import re
from collections.abc import Iterator, Mapping
from itertools import pairwise

from buckle.errors import CaseError
from buckle.expression.functions import FUNCTIONS
from buckle.expression.reader import COMPARISONS, Reader
from buckle.expression.tokens import END, Token
from buckle.expression.tree import (
    Bracket,
    Call,
    Node,
    Number,
    Power,
    Product,
    Quotient,
    Relation,
    Sum,
    Symbol,
    Words,
)
from buckle.expression.values import value_of as value_in

GREEK = {
    "alpha": "α",
    "beta": "β",
    "gamma": "γ",
    "eps": "ε",
    "eta": "η",
    "nu": "ν",
    "lambda": "λ",
    "omega": "ω",
    "phi": "φ",
    "pi": "π",
    "rho": "ρ",
    "sigma": "σ",
    "chi": "χ",
}
LETTERS = frozenset({"dw"})
"""Letters of formulas that would else be taken for words."""
_INDEXED = re.compile(r"[A-Za-z]+_\w+")
_CLOSING = {"(": ")", "[": "]", "{": "}"}
_TOKEN = re.compile(
    r"\s*(?:(\d+(?:\.\d+)?(?:e[+-]?\d+)?)|([A-Za-z]\w*(?:-[a-z]{2,})*)(\()?|(<=|>=|[-+*/^=<>(){}\[\],]))"
)

Sentence = tuple[Node, ...]


def read(clause: str, symbols: frozenset[str] = frozenset()) -> Sentence:
    """Return a clause as its parts; `symbols` are names that would else be taken for prose.

    What is no formula comes back as prose with the letters in it, so that nothing of a statement is ever lost.
    """
    try:
        return tuple(_ClauseReader(_tokens(clause, symbols)).sentence())
    except CaseError:
        return tuple(_prose(clause))


def _prose(clause: str) -> Iterator[Node]:
    """Yield the words of a clause and its letters: those with an index, and one that stands before an equals sign."""
    words: list[str] = []
    for word, after in pairwise([*clause.split(), ""]):
        if not _INDEXED.fullmatch(word) and not (len(word) == 1 and after == "="):
            words.append(word)
            continue
        if words:
            yield Words(" ".join(words))
        words = []
        yield Symbol(word)
    if words:
        yield Words(" ".join(words))


def _tokens(clause: str, symbols: frozenset[str]) -> Iterator[Token]:
    """Yield the tokens; a name that is neither a letter nor touches its bracket is a word of prose."""
    at, text = 0, clause.strip()
    while at < len(text):
        found = _TOKEN.match(text, at)
        if found is None:
            raise CaseError(f"{text[at:]!r} is no formula")
        number, name, call, mark = found.groups()
        if name:
            yield Token("call" if call else "name" if _is_symbol(name, symbols) else "word", name)
        else:
            yield Token("number", number) if number else Token("sign", mark)
        at = found.end()


def _is_symbol(name: str, symbols: frozenset[str]) -> bool:
    """Tell a letter with an index (`p_el`, `w0`, `nu`) from a word."""
    stem = re.split(r"_|(?=\d)", name, maxsplit=1)[0]
    return name in symbols or stem in GREEK or len(stem) == 1


class _ClauseReader(Reader):
    """The reader of expressions in a language where a blank is a product and prose may stand in any bracket."""

    def sentence(self, end: Token = END) -> Iterator[Node]:
        """Yield the parts up to the closing token."""
        while self.next != end:
            if self.next.kind == "word" or self.next == Token("sign", ","):
                yield Words(self.take().text)
            elif self.next.kind == "sign" and self.next.text in COMPARISONS:
                yield Relation(self.take().text)
            else:
                yield self.sum()

    def bracket(self, opening: str) -> Node:
        """Return what stands in a bracket of any kind: parts of a formula, or prose."""
        parts = tuple(self.sentence(Token("sign", _CLOSING[opening])))
        self.take()
        return Bracket(opening, parts)

    def goes_on(self) -> bool:
        """Tell whether a product goes on; a bracket that holds prose is a remark and no factor."""
        if self.next.kind == "sign":
            return self.next.text in _CLOSING and self.after.kind != "word"
        return self.next.kind in ("number", "name", "call")


# Numbers -------------------------------------------------------------------------------------------------------------


def value_of(node: Node, numbers: Mapping[str, float]) -> float | None:
    """Return the value of a part with numbers for its letters; None where one is not known or there is no value."""
    try:
        value: float | None = value_in(node, numbers)
    except CaseError:
        return None
    return value


def put_in(node: Node, numbers: Mapping[str, float]) -> Node:
    """Return a part with the numbers written in the place of its letters, a negative one in brackets."""
    match node:
        case Symbol(name) if name in numbers:
            return _written(numbers[name])
        case Call(name, arguments):
            if name not in FUNCTIONS:
                return _written(numbers[name]) if name in numbers else node
            return Call(name, tuple(bare(put_in(each, numbers)) for each in arguments))
        case Product(factors):
            return Product(tuple(put_in(each, numbers) for each in factors))
        case Quotient(over, under):
            return Quotient(put_in(over, numbers), put_in(under, numbers))
        case Sum(terms):
            return Sum(tuple((sign, put_in(each, numbers)) for sign, each in terms))
        case Power(base, exponent):
            return Power(put_in(base, numbers), put_in(exponent, numbers))
        case Bracket(opening, parts):
            return Bracket(opening, tuple(put_in(each, numbers) for each in parts))
    return node


def _written(value: float) -> Node:
    number = Number(f"{abs(value):.6g}")
    return number if value >= 0.0 else Bracket("(", (Sum((("-", number),)),))


def bare(node: Node) -> Node:
    """Return what stands in round brackets that another pair around it makes needless."""
    match node:
        case Bracket("(", (inner,)):
            return inner
    return node


def text_of(node: Node) -> str:
    """Return a part as one types it into a calculator, products with a star."""
    match node:
        case Number(text) | Words(text) | Relation(text):
            return text
        case Symbol(name):
            return name
        case Call(name, arguments):
            return f"{name}({', '.join(map(text_of, arguments))})"
        case Product(factors):
            return " * ".join(map(text_of, factors))
        case Quotient(over, under):
            return f"{text_of(over)} / {text_of(under)}"
        case Sum(terms):
            text = "".join(f" {sign} {text_of(each)}" for sign, each in terms)
            return text.removeprefix(" + ").removeprefix(" - ") if text.startswith(" + ") else "-" + text[3:]
        case Power(base, exponent):
            return f"{text_of(base)}^{text_of(exponent)}"
        case Bracket(opening, parts):
            return f"{opening}{' '.join(map(text_of, parts))}{_CLOSING[opening]}"
    raise TypeError(node)


def closing_of(opening: str) -> str:
    """Return the bracket that closes an opening one."""
    return _CLOSING[opening]
