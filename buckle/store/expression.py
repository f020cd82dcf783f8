"""Arithmetic and comparisons over named values, read from text and worked out without running it as Python."""

import ast
import math
import operator
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from buckle.errors import CaseError

LONGEST = 1000
"""Longest expression that is read [characters]: enough for any filter, too short to exhaust the reader."""
ALLOWED = "numbers, 'texts', names of quantities, + - * / **, < <= > >= == !=, and or not, "
"""What messages say may be written; the functions follow."""

_ARITHMETIC: Mapping[type[ast.operator], Callable[[Any, Any], Any]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: math.pow,
}
_COMPARISONS: Mapping[type[ast.cmpop], Callable[[Any, Any], bool]] = {
    ast.Lt: operator.lt,
    ast.LtE: operator.le,
    ast.Gt: operator.gt,
    ast.GtE: operator.ge,
    ast.Eq: operator.eq,
    ast.NotEq: operator.ne,
}
_SIGNS: Mapping[type[ast.unaryop], Callable[[Any], Any]] = {
    ast.USub: operator.neg,
    ast.UAdd: operator.pos,
    ast.Not: operator.not_,
}
FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "abs": abs,
    "cos": math.cos,
    "exp": math.exp,
    "log": math.log,
    "max": max,
    "min": min,
    "sin": math.sin,
    "sqrt": math.sqrt,
    "tan": math.tan,
}


@dataclass(frozen=True)
class Expression:
    """An expression that was read; `names` are the quantities and keys that it speaks of."""

    text: str
    names: tuple[str, ...]
    tree: ast.expr

    def value(self, known: Mapping[str, Any]) -> Any:
        """Return the value; None if it depends on a name that has none.

        Raises CaseError for a division by zero, a number too large, or a text where a number belongs.
        """
        try:
            value = _value(self.tree, known)
        except (ArithmeticError, ValueError, TypeError) as error:
            raise CaseError(f"{self.text}: cannot be worked out: {error}") from error
        if isinstance(value, float) and not math.isfinite(value):
            raise CaseError(f"{self.text}: cannot be worked out: the result is not finite")
        return value


def read_expression(text: str) -> Expression:
    """Return the expression of a text; raises CaseError for anything but arithmetic and comparisons of named values."""
    if len(text) > LONGEST:
        raise _error(text, f"is longer than {LONGEST} characters")
    try:
        tree = ast.parse(text.strip(), mode="eval").body
        stray = next(_strays(tree), None)
        names = dict.fromkeys(_names(tree))
    except (SyntaxError, ValueError, RecursionError, MemoryError) as error:
        raise _error(text, f"is no expression ({getattr(error, 'msg', error)})") from error
    if stray is not None:
        raise _error(text, f"{stray!r} is not allowed")
    return Expression(text, tuple(names), tree)


def _error(text: str, problem: str) -> CaseError:
    shown = text if len(text) <= 80 else f"{text[:80]}..."
    return CaseError(f"{shown}: {problem}; allowed: {ALLOWED}{', '.join(FUNCTIONS)}")


def _parts(node: ast.expr) -> list[ast.expr] | None:
    """Return what a node is made of; None if such a node is not allowed."""
    match node:
        case ast.Constant(value=value):
            return [] if isinstance(value, bool | int | float | str) else None
        case ast.BinOp(left=left, right=right, op=sign):
            return [left, right] if type(sign) in _ARITHMETIC else None
        case ast.UnaryOp(operand=operand, op=sign):
            return [operand] if type(sign) in _SIGNS else None
        case ast.BoolOp(values=values):
            return values
        case ast.Compare(left=left, ops=signs, comparators=others):
            return [left, *others] if all(type(sign) in _COMPARISONS for sign in signs) else None
        case ast.Call(func=ast.Name(id=name), args=arguments, keywords=[]):
            return arguments if name in FUNCTIONS and arguments else None
    return [] if _is_name(node) else None


def _is_name(node: ast.expr) -> bool:
    """Tell whether a node is the name of a quantity or key: GMNA.limit_pressure_bar, shape.pieces[2].arc_mm."""
    match node:
        case ast.Name():
            return True
        case ast.Attribute(value=inner):
            return _is_name(inner)
        case ast.Subscript(value=inner, slice=ast.Constant(value=int())):
            return _is_name(inner)
    return False


def _strays(node: ast.expr) -> Iterator[str]:
    """Yield what is written but not allowed, outermost first."""
    parts = _parts(node)
    if parts is None:
        yield ast.unparse(node)
        return
    for part in parts:
        yield from _strays(part)


def _names(node: ast.expr) -> Iterator[str]:
    if _is_name(node):
        yield ast.unparse(node)
        return
    for part in _parts(node) or ():
        yield from _names(part)


def _value(node: ast.expr, known: Mapping[str, Any]) -> Any:
    if isinstance(node, ast.Constant):  # whole numbers too: powers of them must overflow, not fill the memory
        return float(node.value) if isinstance(node.value, int) and not isinstance(node.value, bool) else node.value
    if _is_name(node):
        return known.get(ast.unparse(node))
    if isinstance(node, ast.BoolOp):
        return _joined(isinstance(node.op, ast.Or), [_value(part, known) for part in node.values])
    values = [_value(part, known) for part in _parts(node) or ()]
    return None if None in values else _combined(node, values)


def _joined(either: bool, values: list[Any]) -> bool | None:
    """Return the `or` (else `and`) of truths of which some are unknown."""
    if either in [None if value is None else bool(value) for value in values]:
        return either
    return None if None in values else not either


def _combined(node: ast.expr, values: list[Any]) -> Any:
    match node:
        case ast.BinOp(op=sign):
            return _ARITHMETIC[type(sign)](*values)
        case ast.UnaryOp(op=mark):
            return _SIGNS[type(mark)](*values)
        case ast.Compare(ops=signs):
            pairs = zip(signs, values, values[1:], strict=False)
            return all(_COMPARISONS[type(sign)](left, right) for sign, left, right in pairs)
        case ast.Call(func=ast.Name(id=name)):
            return FUNCTIONS[name](*values)
    raise AssertionError(node)
