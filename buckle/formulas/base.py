"""What a hand calculation is: a statement with its source and range, the numbers put in, the steps and the value."""

import inspect
import math
import operator
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from types import MappingProxyType
from typing import Any, Generic, Literal, ParamSpec, get_type_hints

from annotated_types import Ge, Gt, Le, Lt, MultipleOf

from buckle.errors import CaseError, Fault
from buckle.units import UNITS, Unit, dimension_of

Standing = Literal["theory", "lower bound", "fit", "mechanism estimate", "design form"]
"""What sort of claim a value is."""

Answers = Literal[
    "linear bifurcation",  # of a perfect elastic body as it was made
    "elastic waves",  # that begin on the path of a perfect elastic body
    "elastic limit point",  # of that path, axisymmetric
    "imperfect elastic buckling",
    "plastic limit",  # at small displacements, without hardening
    "plastic waves",  # of a perfect body
    "imperfect plastic waves",
    "plastic collapse",  # axisymmetric
    "rolling",  # of a stand or countersink, followed to its highest pressure
    "burst",
    "interaction",  # of an elastic and a plastic pressure
    "characteristic resistance",  # those two by a capacity curve, imperfections in it
    "design pressure",
    "least thickness",
    "stress",
    "deflection",
    "parameter",
]
"""What a value is of."""
P = ParamSpec("P")

NOT_COMPLIANCE = "design form, never a statement of compliance"
"""What every form of a standard says of itself."""

LARGEST = 1e9
"""Largest magnitude of an argument, and inverse of the smallest, in mm, N, MPa, rad: keeps every power finite."""


@dataclass(frozen=True)
class Symbol:
    """Mark on an argument's type: the letter that stands for it in the expression."""

    text: str


NO_UNIT = "-"


@dataclass(frozen=True)
class Quantity:
    """One number of a calculation under the symbol that the expression uses."""

    symbol: str
    value: float
    unit: str = NO_UNIT


@dataclass(frozen=True)
class Interval:
    """A range within which a formula may be used, for an argument or step of that symbol; ends included."""

    symbol: str
    low: float = -math.inf
    high: float = math.inf

    def contains(self, value: float) -> bool:
        """Return whether the value lies within; NaN does not."""
        return self.low <= value <= self.high

    def __str__(self) -> str:
        """Return '20 <= R/t <= 3000'."""
        low = f"{self.low:.6g} <= " if self.low > -math.inf else ""
        return f"{low}{self.symbol}" + (f" <= {self.high:.6g}" if self.high < math.inf else "")


@dataclass(frozen=True)
class Statement:
    """What is known of a formula before any number: `ranges` are checked, `conditions` are for the reader to judge.

    `edge` is how the body's edge is held, in the words of [supports]; empty where that does not come in.
    """

    name: str
    unit: str
    expression: str
    source: str
    kind: Standing
    answers: Answers
    ranges: tuple[Interval, ...]
    ignores: tuple[str, ...]
    conditions: tuple[str, ...] = ()
    edge: str = ""

    @property
    def body(self) -> str:
        """Return what it is about, the first word of its name."""
        return self.name.partition(".")[0]

    @property
    def validity(self) -> str:
        """Return all ranges and conditions as one text."""
        return "; ".join((*map(str, self.ranges), *self.conditions))

    @property
    def is_pressure(self) -> bool:
        """Return whether the value is a pressure rather than a stress: the expression then says 'p = ...'."""
        return self.unit == "MPa" and re.search(r"(?:^|[;,] )p = ", self.expression) is not None


@dataclass(frozen=True)
class Worked:
    """What the body of a formula returns: value, intermediate steps, and why there is no value if there is none."""

    value: float | None
    steps: tuple[Quantity, ...] = ()
    reason: str = ""


@dataclass(frozen=True)
class Formula:
    """A formula worked out; `value` is None outside its range, and `reason` then says why."""

    statement: Statement
    value: float | None
    inputs: tuple[Quantity, ...]
    steps: tuple[Quantity, ...]
    reason: str

    @property
    def name(self) -> str:
        """Return the registered name, such as 'sphere.classical_pressure'."""
        return self.statement.name

    @property
    def body(self) -> str:
        """Return what it is about, such as 'sphere'."""
        return self.statement.body

    @property
    def answers(self) -> Answers:
        """Return what the value is of."""
        return self.statement.answers

    @property
    def edge(self) -> str:
        """Return how the body's edge is held, '' where that does not come in."""
        return self.statement.edge

    @property
    def unit(self) -> str:
        """Return the unit of the value; '-' is none."""
        return self.statement.unit

    @property
    def expression(self) -> str:
        """Return the formula as plain text in the symbols of inputs and steps."""
        return self.statement.expression

    @property
    def source(self) -> str:
        """Return author, title, year, equation; says 'from memory' where it was not reread."""
        return self.statement.source

    @property
    def kind(self) -> Standing:
        """Return what sort of claim the value is."""
        return self.statement.kind

    @property
    def validity(self) -> str:
        """Return the range of use as text."""
        return self.statement.validity

    @property
    def ignores(self) -> tuple[str, ...]:
        """Return what the formula leaves out, one phrase each."""
        return self.statement.ignores

    @property
    def in_range(self) -> bool:
        """Return whether the numbers put in lie within the range of use."""
        return not self.reason

    @property
    def numbers(self) -> Mapping[str, float]:
        """Return inputs and steps by symbol."""
        return {quantity.symbol: quantity.value for quantity in (*self.inputs, *self.steps)}

    def number(self, symbol: str) -> float:
        """Return the input or step of that symbol. Raises KeyError if there is none."""
        return self.numbers[symbol]


_HOLDS: Mapping[str, Callable[[float, float], bool]] = MappingProxyType(
    {
        ">=": operator.ge,
        ">": operator.gt,
        "<": operator.lt,
        "<=": operator.le,
        "a multiple of": lambda value, step: value % step == 0.0,
    }
)


@dataclass(frozen=True)
class Bound:
    """A limit that an argument must keep to, in words: '> 0'."""

    relation: str
    limit: float

    def holds(self, value: float) -> bool:
        """Return whether the value keeps to it."""
        return _HOLDS[self.relation](value, self.limit)

    def __str__(self) -> str:
        """Return '> 0'."""
        return f"{self.relation} {self.limit:g}"


@dataclass(frozen=True)
class Argument:
    """A keyword of a formula: symbol, dimension (None is a bare number), internal unit, bounds and default."""

    name: str
    symbol: str
    dimension: str | None
    unit: str
    bounds: tuple[Bound, ...]
    default: float | None

    def fault(self, value: float) -> Fault | None:
        """Return what is wrong with a value, or None."""
        if not math.isfinite(value) or (value and not 1.0 / LARGEST <= abs(value) <= LARGEST):
            return Fault(self.name, "not a usable number", value, f"finite, {1 / LARGEST:g} to {LARGEST:g} {self.unit}")
        if all(bound.holds(value) for bound in self.bounds):
            return None
        return Fault(self.name, "out of bounds", value, ", ".join(map(str, self.bounds)))


@dataclass(frozen=True)
class Rule(Generic[P]):
    """A registered formula: call it with keyword numbers in mm, N, MPa, rad to get a `Formula`."""

    statement: Statement
    work: Callable[P, Worked]
    example: Mapping[str, float]  # numbers well inside the range of use, by keyword

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> Formula:
        """Work the formula out. Raises CaseError if a number is not usable, never for leaving the range of use."""
        bound = inspect.signature(self.work).bind(*args, **kwargs)
        bound.apply_defaults()
        faults = [fault for name, value in bound.arguments.items() if (fault := self.arguments[name].fault(value))]
        if faults:
            raise CaseError("\n".join(f"{self.statement.name}: {fault}" for fault in faults), faults)
        return _formula(self.statement, self._inputs(bound.arguments), self.work(*args, **kwargs))

    def gave(self, worked: Formula) -> bool:
        """Return whether a worked formula is one of this rule."""
        return worked.statement == self.statement

    @property
    def about(self) -> str:
        """Return the formula's one-sentence description."""
        return (inspect.getdoc(self.work) or "").partition("\n")[0]

    @cached_property
    def arguments(self) -> Mapping[str, Argument]:
        """Return the keywords by name, in order."""
        hints = get_type_hints(self.work, include_extras=True)
        parameters = inspect.signature(self.work).parameters
        return MappingProxyType({name: _argument(parameter, hints[name]) for name, parameter in parameters.items()})

    def _inputs(self, values: Mapping[str, float]) -> tuple[Quantity, ...]:
        arguments = self.arguments
        return tuple(
            Quantity(arguments[name].symbol, float(value), arguments[name].unit) for name, value in values.items()
        )


def formula(statement: Statement, *, example: Mapping[str, float]) -> Callable[[Callable[P, Worked]], Rule[P]]:
    """Return a decorator that joins a statement, and numbers to try it with, to the function which works it out."""
    return lambda work: Rule(statement, work, MappingProxyType(dict(example)))


def _formula(statement: Statement, inputs: tuple[Quantity, ...], worked: Worked) -> Formula:
    """Return the result, with no value and a reason if a range is left."""
    numbers = {quantity.symbol: quantity.value for quantity in (*inputs, *worked.steps)}
    left = [
        f"{interval.symbol} = {numbers[interval.symbol]:.6g} is outside {interval}"
        for interval in statement.ranges
        if _reached(interval, numbers, worked) and not interval.contains(numbers[interval.symbol])
    ]
    reason = "; ".join(left or ([worked.reason] if worked.reason else []))
    if not reason:
        assert worked.value is not None
        assert math.isfinite(worked.value)
    return Formula(statement, None if reason else worked.value, inputs, worked.steps, reason)


def _reached(interval: Interval, numbers: Mapping[str, float], worked: Worked) -> bool:
    """Return whether the range's step was worked out; a body that gives no value may stop before it."""
    return worked.value is not None or interval.symbol in numbers


def _argument(parameter: inspect.Parameter, annotation: object) -> Argument:
    marks = getattr(annotation, "__metadata__", ())
    dimension = dimension_of(annotation)
    return Argument(
        name=parameter.name,
        symbol=next(mark.text for mark in marks if isinstance(mark, Symbol)),
        dimension=dimension,
        unit=NO_UNIT if dimension is None else _internal_unit(dimension),
        bounds=tuple(bound for mark in marks if (bound := _bound(mark))),
        default=None if parameter.default is parameter.empty else parameter.default,
    )


def _internal_unit(dimension: str) -> str:
    return next(suffix for suffix, unit in UNITS[dimension].items() if unit == Unit(Fraction(1)))


_FIELDS: Mapping[type, tuple[str, str]] = MappingProxyType(
    {Ge: (">=", "ge"), Gt: (">", "gt"), Lt: ("<", "lt"), Le: ("<=", "le"), MultipleOf: ("a multiple of", "multiple_of")}
)


def _bound(mark: object) -> Bound | None:
    """Return the bound that a mark on a type stands for, or None if it stands for none."""
    limit: Any = getattr(mark, _FIELDS[type(mark)][1]) if type(mark) in _FIELDS else None
    return None if limit is None else Bound(_FIELDS[type(mark)][0], float(limit))
