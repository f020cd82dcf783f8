"""The functions and constants of expressions; `log` is the natural logarithm, as `ln` is."""

import math
from collections.abc import Callable, Mapping

FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "abs": abs,
    "arccos": math.acos,
    "cos": math.cos,
    "exp": math.exp,
    "ln": math.log,
    "log": math.log,
    "log10": math.log10,
    "max": lambda *numbers: max(numbers),
    "min": lambda *numbers: min(numbers),
    "sin": math.sin,
    "sqrt": math.sqrt,
    "tan": math.tan,
}
OF_MANY = frozenset(("max", "min"))
"""Functions of one or more numbers; the others are of one."""
CONSTANTS: Mapping[str, float] = {"pi": math.pi}
