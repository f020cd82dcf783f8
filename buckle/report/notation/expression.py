"""The written formulas of hand calculations as trees: read, worked out with numbers, numbers put in for letters.

The language is that of `Statement.expression`: a blank is a product, products and quotients go from left to right, a
name that touches its bracket is a function, and prose may stand between the parts (`p = chi p_pl with chi = 1`).
"""

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

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
FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "sqrt": math.sqrt,
    "exp": math.exp,
    "ln": math.log,
    "log10": math.log10,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "arccos": math.acos,
    "max": max,
    "min": min,
}
_INDEXED = re.compile(r"[A-Za-z]+_\w+")
RELATIONS = ("<=", ">=", "=", "<", ">")
_CLOSING = {"(": ")", "[": "]", "{": "}"}
_TOKEN = re.compile(
    r"\s*(?:(\d+(?:\.\d+)?(?:e[+-]?\d+)?)|([A-Za-z]\w*(?:-[a-z]{2,})*)(\()?|(<=|>=|[-+*/^=<>(){}\[\],]))"
)


@dataclass(frozen=True)
class Number:
    """A number as it is written."""

    text: str


@dataclass(frozen=True)
class Symbol:
    """A letter with its index."""

    name: str


@dataclass(frozen=True)
class Words:
    """Prose between the parts of a formula."""

    text: str


@dataclass(frozen=True)
class Relation:
    """An equals sign or an inequality."""

    text: str


@dataclass(frozen=True)
class Product:
    """Two or more factors."""

    factors: tuple["Node", ...]


@dataclass(frozen=True)
class Quotient:
    """A numerator over a denominator."""

    over: "Node"
    under: "Node"


@dataclass(frozen=True)
class Sum:
    """Terms, each with its sign '+' or '-'."""

    terms: tuple[tuple[str, "Node"], ...]


@dataclass(frozen=True)
class Power:
    """A base with an exponent."""

    base: "Node"
    exponent: "Node"


@dataclass(frozen=True)
class Call:
    """A function of one or more arguments."""

    name: str
    arguments: tuple["Node", ...]


@dataclass(frozen=True)
class Bracket:
    """Something in brackets; several parts where commas or prose stand inside."""

    opening: str
    parts: tuple["Node", ...]


Node = Number | Symbol | Words | Relation | Product | Quotient | Sum | Power | Call | Bracket
Sentence = tuple[Node, ...]


def read(clause: str, symbols: frozenset[str] = frozenset()) -> Sentence:
    """Return a clause as its parts; `symbols` are names that would else be taken for prose.

    What is no formula comes back as prose with the letters in it, so that nothing of a statement is ever lost.
    """
    try:
        reader = _Reader(_tokens(clause, symbols))
        parts = tuple(reader.sentence())
    except _NoFormulaError:
        return tuple(_prose(clause))
    return parts


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


class _NoFormulaError(Exception):
    """The text does not follow the language; never leaves this file."""


def _tokens(clause: str, symbols: frozenset[str]) -> list[str]:
    """Return the tokens; a function's name keeps its bracket, prose is marked by a leading quote."""
    tokens, at, text = [], 0, clause.strip()
    while at < len(text):
        found = _TOKEN.match(text, at)
        if found is None:
            raise _NoFormulaError
        number, name, call, mark = found.groups()
        if name:
            tokens.append(name + (call or "") if call or _is_symbol(name, symbols) else f'"{name}')
        else:
            tokens.append(number or mark)
        at = found.end()
    return tokens


def _is_symbol(name: str, symbols: frozenset[str]) -> bool:
    """Tell a letter with an index (`p_el`, `w0`, `nu`) from a word."""
    stem = re.split(r"_|(?=\d)", name, maxsplit=1)[0]
    return name in symbols or stem in GREEK or len(stem) == 1


class _Reader:
    """A position in a list of tokens."""

    def __init__(self, tokens: Sequence[str]) -> None:
        self._tokens = [*tokens, ""]
        self._at = 0

    @property
    def _next(self) -> str:
        return self._tokens[self._at]

    def _take(self) -> str:
        self._at += 1
        return self._tokens[self._at - 1]

    def sentence(self, end: str = "") -> Iterator[Node]:
        """Yield the parts up to the closing token."""
        while self._next != end:
            if self._next.startswith('"'):
                yield Words(self._take()[1:])
            elif self._next in RELATIONS:
                yield Relation(self._take())
            elif self._next == ",":
                yield Words(self._take())
            else:
                yield self._sum()

    def _sum(self) -> Node:
        terms = [("+" if self._next not in ("+", "-") else self._take(), self._product())]
        while self._next in ("+", "-"):
            terms.append((self._take(), self._product()))
        return terms[0][1] if len(terms) == 1 and terms[0][0] == "+" else Sum(tuple(terms))

    def _product(self) -> Node:
        factors: list[Node] = [self._power()]
        while True:
            if self._next == "/":
                self._take()
                factors = [Quotient(_product_of(factors), self._power())]
            elif self._next == "*":
                self._take()
                factors.append(self._power())
            elif self._starts_a_factor():
                factors.append(self._power())
            else:
                return _product_of(factors)

    def _starts_a_factor(self) -> bool:
        """Tell whether a product goes on; a bracket that holds prose is a remark and no factor."""
        if self._next in _CLOSING:
            return not self._tokens[self._at + 1].startswith('"')
        return self._next[:1].isalnum()

    def _power(self) -> Node:
        base = self._atom()
        if self._next != "^":
            return base
        self._take()
        return Power(base, self._atom())

    def _atom(self) -> Node:
        token = self._take()
        if token in _CLOSING:
            parts = tuple(self.sentence(_CLOSING[token]))
            self._take()
            return Bracket(token, parts)
        if token.endswith("("):
            return Call(token[:-1], tuple(self._arguments()))
        if not token or not token[0].isalnum():
            raise _NoFormulaError
        return Number(token) if token[0].isdigit() else Symbol(token)

    def _arguments(self) -> Iterator[Node]:
        while True:
            yield self._sum()
            closing = self._take()
            if closing == ")":
                return
            if closing != ",":
                raise _NoFormulaError


def _product_of(factors: list[Node]) -> Node:
    return factors[0] if len(factors) == 1 else Product(tuple(factors))


# Numbers -------------------------------------------------------------------------------------------------------------


def value_of(node: Node, numbers: Mapping[str, float]) -> float | None:
    """Return the value of a part with numbers for its letters; None where one is not known or the sum has no value."""
    try:
        return _value(node, {"pi": math.pi, **numbers})
    except (KeyError, ArithmeticError, ValueError):  # a letter unknown; a division by zero; the root of a negative
        return None


def _value(node: Node, numbers: Mapping[str, float]) -> float:
    """Return the value. Raises KeyError for an unknown letter and for prose."""
    match node:
        case Number(text):
            return float(text)
        case Symbol(name):
            return numbers[name]
        case Call(name, arguments):
            known = FUNCTIONS.get(name)
            return numbers[name] if known is None else known(*(_value(each, numbers) for each in arguments))
        case Product(factors):
            return math.prod(_value(each, numbers) for each in factors)
        case Quotient(over, under):
            return _value(over, numbers) / _value(under, numbers)
        case Sum(terms):
            return sum(_value(each, numbers) * (1.0 if sign == "+" else -1.0) for sign, each in terms)
        case Power(base, exponent):
            return math.pow(_value(base, numbers), _value(exponent, numbers))
        case Bracket(_, (inner,)):
            return _value(inner, numbers)
    raise KeyError(node)


def put_in(node: Node, numbers: Mapping[str, float]) -> Node:
    """Return a part with the numbers written in the place of its letters, a negative one in brackets."""
    match node:
        case Symbol(name) if name in numbers:
            return _written(numbers[name])
        case Call(name, arguments):
            if name not in FUNCTIONS:
                return _written(numbers[name]) if name in numbers else node
            return Call(name, tuple(put_in(each, numbers) for each in arguments))
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
            told = "".join(f" {sign} {text_of(each)}" for sign, each in terms)
            return told.removeprefix(" + ").removeprefix(" - ") if told.startswith(" + ") else "-" + told[3:]
        case Power(base, exponent):
            return f"{text_of(base)}^{text_of(exponent)}"
        case Bracket(opening, parts):
            return f"{opening}{' '.join(map(text_of, parts))}{_CLOSING[opening]}"


def closing_of(opening: str) -> str:
    """Return the bracket that closes an opening one."""
    return _CLOSING[opening]
