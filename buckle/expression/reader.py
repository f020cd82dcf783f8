"""Tokens in, a tree out: `or` binds least, then `and`, `not`, comparisons, sums, products and quotients, powers."""

from collections.abc import Callable, Iterable
from typing import TypeVar

from buckle.errors import CaseError
from buckle.expression.tokens import END, Token
from buckle.expression.tree import (
    Bracket,
    Call,
    Comparison,
    Joined,
    Node,
    Not,
    Number,
    Power,
    Product,
    Quotient,
    Sum,
    Symbol,
    Text,
    Truth,
)

DEEPEST = 20
"""Most brackets within one another: enough for any formula, too few to exhaust the stack."""
MOST_QUOTIENTS = 30
"""Of one text, since each stands within the next: a / b / c is (a / b) / c."""
COMPARISONS = ("<", "<=", ">", ">=", "=", "!=")
_Read = TypeVar("_Read")


class Reader:
    """A position in a list of tokens. Every method raises CaseError where they are no expression."""

    def __init__(self, tokens: Iterable[Token]) -> None:
        self._tokens = [*tokens, END]
        self._at = 0
        self._depth = 0
        self._quotients = 0

    def whole(self) -> Node:
        """Return the expression that all tokens make."""
        node = self.condition()
        if self.next is not END:
            raise CaseError(f"{self.next.text!r} was not expected")
        return node

    @property
    def next(self) -> Token:
        """Return the token that is read next."""
        return self._tokens[self._at]

    @property
    def after(self) -> Token:
        """Return the token behind the next one."""
        return self._tokens[min(self._at + 1, len(self._tokens) - 1)]

    def take(self) -> Token:
        """Return the next token and step over it."""
        self._at += 1
        return self._tokens[self._at - 1]

    def condition(self) -> Node:
        """Return conditions joined by `or`, or what binds more."""
        return self._joined("or", lambda: self._joined("and", self._negation))

    def sum(self) -> Node:
        """Return terms joined by plus and minus, or what binds more."""
        terms = [("+" if not self._is_sign("+", "-") else self.take().text, self._product())]
        while self._is_sign("+", "-"):
            terms.append((self.take().text, self._product()))
        return terms[0][1] if len(terms) == 1 and terms[0][0] == "+" else Sum(tuple(terms))

    def bracket(self, opening: str) -> Node:
        """Return what stands in a bracket that was opened, up to its end."""
        inner = self.condition()
        self.close(")")
        return Bracket(opening, (inner,))

    def goes_on(self) -> bool:
        """Tell whether another factor follows without a sign: never but in a written formula."""
        return False

    def close(self, closing: str) -> None:
        """Step over a closing bracket."""
        if not self._is_sign(closing):
            raise CaseError(f"a bracket {closing!r} is missing")
        self.take()

    def _joined(self, word: str, part: Callable[[], Node]) -> Node:
        parts = [part()]
        while self.next == Token("name", word):
            self.take()
            parts.append(part())
        return parts[0] if len(parts) == 1 else Joined(word, tuple(parts))

    def _negation(self) -> Node:
        if self.next != Token("name", "not"):
            return self._comparison()
        self.take()
        return Not(self._deeper(self._negation))

    def _comparison(self) -> Node:
        parts, signs = [self.sum()], []
        while self._is_sign(*COMPARISONS):
            signs.append(self.take().text)
            parts.append(self.sum())
        return Comparison(tuple(parts), tuple(signs)) if signs else parts[0]

    def _product(self) -> Node:
        factors: list[Node] = [self._factor()]
        while True:
            if self._is_sign("/"):
                self.take()
                factors = [Quotient(_product_of(factors), self._factor())]
                self._quotients += 1
                if self._quotients > MOST_QUOTIENTS:
                    raise CaseError(f"has more than {MOST_QUOTIENTS} quotients")
            elif self._is_sign("*"):
                self.take()
                factors.append(self._factor())
            elif self.goes_on():
                factors.append(self._factor())
            else:
                return _product_of(factors)

    def _factor(self) -> Node:
        if self._is_sign("+", "-"):
            return Sum(((self.take().text, self._deeper(self._factor)),))
        base = self._atom()
        if not self._is_sign("^"):
            return base
        self.take()
        return Power(base, self._deeper(self._factor))

    def _atom(self) -> Node:
        token = self.take()
        match token.kind:
            case "number":
                return Number(token.text)
            case "text":
                return Text(token.text)
            case "name" if token.text in ("true", "false"):
                return Truth(token.text == "true")
            case "name" if token.text not in ("and", "or", "not"):
                return Symbol(token.text)
            case "call":
                return Call(token.text, self._deeper(self._arguments))
            case "sign" if token.text in ("(", "[", "{"):
                return self._deeper(lambda: self.bracket(token.text))
        raise CaseError(f"{token.text!r} was not expected" if token.text else "something is missing at the end")

    def _arguments(self) -> tuple[Node, ...]:
        arguments = [self.sum()]
        while self._is_sign(","):
            self.take()
            arguments.append(self.sum())
        self.close(")")
        return tuple(arguments)

    def _is_sign(self, *signs: str) -> bool:
        return self.next.kind == "sign" and self.next.text in signs

    def _deeper(self, read: Callable[[], _Read]) -> _Read:
        """Return what is read one level down. Raises CaseError beyond the deepest."""
        self._depth += 1
        if self._depth > DEEPEST:
            raise CaseError(f"is nested more than {DEEPEST} deep")
        node = read()
        self._depth -= 1
        return node


def _product_of(factors: list[Node]) -> Node:
    return factors[0] if len(factors) == 1 else Product(tuple(factors))
