"""A hand calculation as a reviewer follows it: formula, numbers, formula with the numbers put in, value, range."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from buckle.expression.tree import Node, Number, Product, Relation, Symbol, Words
from buckle.formulas.base import Quantity
from buckle.record.sheet.hand import Beside, Check
from buckle.report.notation.expression import LETTERS, put_in, read, text_of, value_of
from buckle.report.notation.ranges import read_range
from buckle.report.notation.substitution import clauses
from buckle.report.notation.units import System, system_of, unit_of
from buckle.units import Units, convert, to_unit

_AFTERWARDS = ("with", "at")  # words behind which a formula only explains its letters


@dataclass(frozen=True)
class Line:
    """A clause with its numbers put in and what comes out, in `unit`; '-' is none, '' is not known."""

    text: str
    unit: str


def numbers_read(hand: Beside, units: Units) -> tuple[Quantity, ...]:
    """Return the numbers of a calculation in the system of units that goes with a reader's, in six digits."""
    system = system_of(units)
    finite = [Quantity(put.symbol, put.value, put.unit) for put in hand.numbers if put.value is not None]
    converted = map(system.quantity, finite)
    return tuple(Quantity(each.symbol, float(f"{each.value:.6g}"), each.unit) for each in converted)


def worked_lines(hand: Beside, units: Units) -> list[Line]:
    """Return each clause 'x = ...' as 'x = numbers = value' with its unit, those that others need first.

    Numbers are those that `numbers_read` gives, so that a reader comes to the same value.
    """
    return list(_worked(clauses(hand.expression), numbers_read(hand, units), system_of(units)))


def _worked(parts: Sequence[str], numbers: Sequence[Quantity], system: System) -> Iterator[Line]:
    equations = [equation for part in parts if (equation := _equation(part)) is not None]
    known, units = _quotients_solved(
        {each.symbol: each.value for each in numbers}, {each.symbol: each.unit for each in numbers}, system
    )
    for _ in equations:  # as many rounds as letters may wait for each other
        for left, right in equations:
            value = value_of(right, known)
            if isinstance(left, Symbol) and left.name not in known and value is not None:
                known[left.name] = value
                units |= _as_unit(left.name, unit_of(right, units, known, system))
    for left, right in reversed(equations):
        value = value_of(right, known)
        if value is not None and not isinstance(right, Number | Symbol):
            given = units.get(text_of(left)) or unit_of(right, units, known, system) or ""
            yield Line(f"{text_of(left)} = {text_of(put_in(right, known))} = {value:.6g}", given)


def _as_unit(name: str, unit: str | None) -> dict[str, str]:
    return {} if unit is None else {name: unit}


def _equation(clause: str) -> tuple[Node, Node] | None:
    """Return the two sides of 'x = ...'; None for prose, inequalities and what holds under a condition only."""
    match read(clause, LETTERS):
        case (left, Relation("="), right):
            return left, right
        case (left, Relation("="), right, Words(word), *_) if word in _AFTERWARDS:
            return left, right
        case (left, Relation("="), Words("min"), Words("over"), *_, Words("of"), right):  # with the n that is least
            return left, right
    return None


def _quotients_solved(
    numbers: Mapping[str, float], units: Mapping[str, str], system: System
) -> tuple[dict[str, float], dict[str, str]]:
    """Return all numbers and units, and x where only 'x/y' and y are given."""
    known, solved = dict(numbers), dict(units)
    for symbol, value in numbers.items():
        over, slash, under = symbol.partition("/")
        if slash and over.isidentifier() and over not in numbers and under in numbers:
            known[over] = value * numbers[under]
            solved |= _as_unit(over, unit_of(Product((Symbol(symbol), Symbol(under))), units, numbers, system))
    return known, solved


def in_system(hand: Beside, units: Units) -> str:
    """Return ' (2.617 MPa)': a pressure as its formula gives it, where a reader's unit is another one; else ''."""
    system = system_of(units)
    if hand.unit != "bar" or hand.value is None or system.stress == units.pressure:
        return ""
    return f" ({to_unit(convert(hand.value, 'pressure', 'bar'), 'stress', system.stress):.6g} {system.stress})"


@dataclass(frozen=True)
class Read:
    """A range of use as a reader sees it: '20 <= R/t', the number beside it, their unit ('': none)."""

    text: str
    value: str
    unit: str
    met: bool | None  # None: the number was not worked out

    @property
    def words(self) -> str:
        """Whether the range is kept to, and by what number."""
        if self.met is None:
            return "not reached"
        return f"{'met' if self.met else 'NOT MET'} with {self.value}{self.unit and f' {self.unit}'}"


def checks_read(hand: Beside, units: Units) -> list[Read]:
    """Return the ranges of use in the units that a reader gives."""
    return [_read(check, system_of(units)) for check in hand.checks]


def _read(check: Check, system: System) -> Read:
    if check.value is None:
        return Read(str(check.interval), "", "", None)
    shown = read_range(check.interval, check.value, check.unit, system)
    return Read(shown.text, shown.value, shown.unit, check.met)
