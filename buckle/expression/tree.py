"""An expression as a tree, and the prose that may stand between the parts of a written formula."""

from collections.abc import Iterator
from dataclasses import dataclass


@dataclass(frozen=True)
class Number:
    """A number as it is written."""

    text: str


@dataclass(frozen=True)
class Text:
    """A text that stood in quotes."""

    text: str


@dataclass(frozen=True)
class Truth:
    """The word true or false."""

    value: bool


@dataclass(frozen=True)
class Symbol:
    """A name: of a quantity, of a key, or a letter with its index."""

    name: str


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


@dataclass(frozen=True)
class Comparison:
    """Two or more parts with one sign of '<', '<=', '>', '>=', '=', '!=' between any two neighbours."""

    parts: tuple["Node", ...]
    signs: tuple[str, ...]


@dataclass(frozen=True)
class Joined:
    """Conditions that hold 'and' all or 'or' one."""

    word: str
    parts: tuple["Node", ...]


@dataclass(frozen=True)
class Not:
    """The opposite of a condition."""

    part: "Node"


@dataclass(frozen=True)
class Words:
    """Prose between the parts of a written formula."""

    text: str


@dataclass(frozen=True)
class Relation:
    """An equals sign or an inequality between the parts of a written formula."""

    text: str


Node = (
    Number
    | Text
    | Truth
    | Symbol
    | Product
    | Quotient
    | Sum
    | Power
    | Call
    | Bracket
    | Comparison
    | Joined
    | Not
    | Words
    | Relation
)


def parts_of(node: Node) -> tuple[Node, ...]:
    """Return what a node is made of, from left to right."""
    match node:
        case Product(parts) | Bracket(_, parts) | Call(_, parts) | Comparison(parts) | Joined(_, parts):
            return parts
        case Quotient(first, second) | Power(first, second):
            return first, second
        case Sum(terms):
            return tuple(part for _, part in terms)
        case Not(part):
            return (part,)
    return ()


def walk(node: Node) -> Iterator[Node]:
    """Yield a node and everything in it, from left to right."""
    yield node
    for part in parts_of(node):
        yield from walk(part)
