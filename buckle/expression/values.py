"""What an expression comes to with values for its names; whatever depends on a name without one has none itself."""

import math
import operator
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from buckle.errors import CaseError
from buckle.expression.functions import CONSTANTS, FUNCTIONS
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
    parts_of,
)

_ORDERS: Mapping[str, Callable[[Any, Any], bool]] = {
    "<": operator.lt,
    "<=": operator.le,
    ">": operator.gt,
    ">=": operator.ge,
}


def value_of(node: Node, known: Mapping[str, Any]) -> Any:
    """Return a number, a text, a truth, or None where it depends on a name that has no value.

    Raises CaseError for a division by zero, a number too large, or a value of another kind than belongs there.
    """
    match node:
        case Number(text):
            return float(text)
        case Text(value) | Truth(value):
            return value
        case Symbol(name):
            return CONSTANTS.get(name, known.get(name))
        case Bracket(_, (inner,)):
            return value_of(inner, known)
        case Call(name) if name not in FUNCTIONS:  # a function from a table is known by its value
            return known.get(name)
    values = [value_of(part, known) for part in parts_of(node)]
    if isinstance(node, Joined):
        return _joined(node.word == "or", values)
    return None if any(value is None for value in values) else _combined(node, values)


def _joined(either: bool, values: Sequence[Any]) -> bool | None:
    """Return the `or` (else `and`) of truths of which some are unknown."""
    truths = [None if value is None else _truth(value) for value in values]
    if either in truths:
        return either
    return None if None in truths else not either


def _combined(node: Node, values: Sequence[Any]) -> Any:
    match node:
        case Not():
            return not _truth(values[0])
        case Comparison(_, signs):
            pairs = zip(signs, values, values[1:], strict=False)
            return all(_compared(sign, one, other) for sign, one, other in pairs)
    numbers = [_number(value) for value in values]
    try:
        result = _calculated(node, numbers)
    except (ArithmeticError, ValueError) as error:  # a division by zero, a number too large, the root of a negative
        raise CaseError(str(error)) from error
    if not math.isfinite(result):
        raise CaseError("the result is not finite")
    return result


def _calculated(node: Node, numbers: Sequence[float]) -> float:
    match node:
        case Sum(terms):
            total: float = 0  # whole numbers stay whole
            for (sign, _), number in zip(terms, numbers, strict=True):
                total = total + number if sign == "+" else total - number
            return total
        case Product():
            return math.prod(numbers)
        case Quotient():
            return numbers[0] / numbers[1]
        case Power():
            return math.pow(*numbers)
        case Call(name):
            return FUNCTIONS[name](*numbers)
    raise CaseError("prose has no value")


def _compared(sign: str, one: Any, other: Any) -> bool:
    """Compare two values; texts and truths have no order, and values of different kinds are never equal."""
    if sign in _ORDERS:
        return _ORDERS[sign](_number(one), _number(other))
    alike = _kind(one) == _kind(other) and bool(one == other)
    return alike == (sign == "=")


def _kind(value: object) -> str:
    return "truth" if isinstance(value, bool) else "number" if isinstance(value, int | float) else "text"


def _number(value: Any) -> float:
    if _kind(value) != "number":
        raise CaseError(f"{value!r} stands where a number belongs")
    return value


def _truth(value: Any) -> bool:
    if not isinstance(value, bool):
        raise CaseError(f"{value!r} stands where a condition belongs")
    return value
