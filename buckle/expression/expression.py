"""Expressions that people write: filters of a batch, derived keys of a study."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from buckle.errors import CaseError, clipped
from buckle.expression.functions import CONSTANTS, FUNCTIONS, OF_MANY
from buckle.expression.reader import Reader
from buckle.expression.tokens import tokens_of
from buckle.expression.tree import Call, Node, Symbol, walk
from buckle.expression.values import value_of

LONGEST = 1000
"""Longest expression that is read [characters]: enough for any filter, too short to exhaust the reader."""
ALLOWED = "numbers, 'texts', names of quantities, true, false, pi, + - * / ^, < <= > >= = !=, and or not, brackets, "
"""What messages say may be written; the functions follow."""


@dataclass(frozen=True)
class Expression:
    """An expression that was read; `names` are the quantities and keys that it speaks of."""

    text: str
    names: tuple[str, ...]
    tree: Node

    def value(self, known: Mapping[str, Any]) -> Any:
        """Return the value; None if it depends on a name that has none.

        Raises CaseError for a division by zero, a number too large, or a text where a number belongs.
        """
        try:
            return value_of(self.tree, known)
        except CaseError as error:
            raise CaseError(f"{clipped(self.text)}: cannot be worked out: {error}") from error


def read_expression(text: str) -> Expression:
    """Return the expression of a text; raises CaseError for anything but arithmetic and comparisons of named values."""
    try:
        if len(text) > LONGEST:
            raise CaseError(f"is longer than {LONGEST} characters")
        tree = Reader(tokens_of(text)).whole()
        for problem in _problems(tree):
            raise CaseError(problem)
    except CaseError as error:
        raise CaseError(f"{clipped(text)}: {error}; allowed: {ALLOWED}{', '.join(FUNCTIONS)}") from error
    names = dict.fromkeys(node.name for node in walk(tree) if isinstance(node, Symbol) and node.name not in CONSTANTS)
    return Expression(text, tuple(names), tree)


def _problems(tree: Node) -> Iterator[str]:
    """Yield what is wrong with the functions."""
    for call in (node for node in walk(tree) if isinstance(node, Call)):
        if call.name not in FUNCTIONS:
            yield f"no function {call.name!r}"
        elif len(call.arguments) > 1 and call.name not in OF_MANY:
            yield f"{call.name} is a function of one number"
