"""A hand calculation as a reviewer follows it: formula, numbers, formula with the numbers put in, value, range."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from buckle.expression.tree import Node, Number, Product, Relation, Symbol, Words
from buckle.formulas.base import Interval
from buckle.record.quantities import Fields
from buckle.report.notation.expression import put_in, read, text_of, value_of
from buckle.report.notation.ranges import told_range
from buckle.report.notation.substitution import clauses, divided
from buckle.report.notation.units import NO_UNIT, unit_of

LETTERS = frozenset({"dw"})
"""Letters of formulas that would else be taken for words."""
_AFTERWARDS = ("with", "at")  # words behind which a formula only explains its letters
_RANGE = re.compile(r"(?:(?P<low>-?[\d.e+-]+) <= )?(?P<symbol>.+?)(?: <= (?P<high>-?[\d.e+-]+))?")


@dataclass(frozen=True)
class Put:
    """A number under its letter."""

    symbol: str
    value: str
    unit: str


@dataclass(frozen=True)
class Line:
    """A clause with its numbers put in and what comes out, in `unit`; '-' is none, '' is not known."""

    text: str
    unit: str


@dataclass(frozen=True)
class Check:
    """A range or condition of use in the unit of the inputs, and whether the numbers keep to it."""

    text: str
    met: bool | None  # None: for the reader to judge
    value: str = ""
    unit: str = ""


@dataclass(frozen=True)
class HandSheet:
    """One hand calculation beside a computed value; sizes in `unit`, None outside the formula's range."""

    name: str
    kind: str
    limit_state: str
    beside: str
    unit: str
    computed: float
    value: float | None
    ratio: float | None
    formula: tuple[str, ...]
    numbers: tuple[Put, ...]
    put_in: tuple[Line, ...]
    checks: tuple[Check, ...]
    ignores: tuple[str, ...]
    source: str
    why: str
    told_before: bool = False  # the same calculation stands beside an earlier event


def hand_sheet(row: Fields, computed: float, unit: str) -> HandSheet:
    """Return the sheet of a hand row of results.json beside a computed capacity [bar] or size [mm]."""
    name, kind = _name_and_kind(str(row["method"]))
    numbers = _mapping(row.get("numbers"))
    puts = tuple(_put(symbol, text) for symbol, text in numbers.items())
    parts = clauses(str(row.get("expression", "")))
    return HandSheet(
        name=name,
        kind=kind,
        limit_state=str(row["limit_state"]),
        beside=str(row.get("beside", "")),
        unit=unit,
        computed=computed,
        value=_float(row.get("capacity_bar" if unit == "bar" else f"found_{unit}")),
        ratio=_float(row.get("ratio_hand_to_computed")),
        formula=tuple(parts),
        numbers=puts,
        put_in=tuple(_worked(parts, puts)),
        checks=tuple(_checks(str(row.get("range", "")), {put.symbol: put for put in puts})),
        ignores=tuple(map(str, _sequence(row.get("ignores")))),
        source=str(row["source"]),
        why=str(row.get("reason", "")),
    )


def _name_and_kind(method: str) -> tuple[str, str]:
    """Return the parts of 'hand calculation: NAME (KIND)'."""
    found = re.fullmatch(r"hand calculation: (\S+) \((.*)\)", method)
    return (found[1], found[2]) if found else (method, "")


def _put(symbol: str, text: str) -> Put:
    value, _, unit = text.partition(" ")
    return Put(symbol, value, "" if unit == "-" else unit)


def _worked(parts: Sequence[str], numbers: Sequence[Put]) -> Iterator[Line]:
    """Yield each clause 'x = ...' as 'x = numbers = value' with its unit, those that others need first."""
    equations = [equation for part in parts if (equation := _equation(part)) is not None]
    known, units = _quotients_solved({put.symbol: float(put.value) for put in numbers}, _units(numbers))
    for _ in equations:  # as many rounds as letters may wait for each other
        for left, right in equations:
            value = value_of(right, known)
            if isinstance(left, Symbol) and left.name not in known and value is not None:
                known[left.name] = value
                units |= _as_unit(left.name, unit_of(right, units, known))
    for left, right in reversed(equations):
        value = value_of(right, known)
        if value is not None and not isinstance(right, Number | Symbol):
            given = units.get(text_of(left)) or unit_of(right, units, known) or ""
            yield Line(f"{text_of(left)} = {text_of(put_in(right, known))} = {value:.6g}", given)


def _units(numbers: Sequence[Put]) -> dict[str, str]:
    return {put.symbol: put.unit or NO_UNIT for put in numbers}


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
    numbers: Mapping[str, float], units: Mapping[str, str]
) -> tuple[dict[str, float], dict[str, str]]:
    """Return all numbers and units, and x where only 'x/y' and y are given."""
    known, told = dict(numbers), dict(units)
    for symbol, value in numbers.items():
        over, slash, under = symbol.partition("/")
        if slash and over.isidentifier() and over not in numbers and under in numbers:
            known[over] = value * numbers[under]
            told |= _as_unit(over, unit_of(Product((Symbol(symbol), Symbol(under))), units, numbers))
    return known, told


def _checks(text: str, numbers: Mapping[str, Put]) -> Iterator[Check]:
    """Yield the parts of a range: those about a number that is given are checked, the rest is for the reader."""
    for part in filter(None, divided(text, ";")):
        found = _RANGE.fullmatch(part)
        symbol = found["symbol"] if found else ""
        if found is None or symbol not in numbers or not (found["low"] or found["high"]):
            yield Check(part, None)
            continue
        put = numbers[symbol]
        low, high = float(found["low"] or "-inf"), float(found["high"] or "inf")
        interval = Interval(symbol, low, high)
        shown = told_range(interval, float(put.value), put.unit)
        yield Check(shown.text, interval.contains(float(put.value)), shown.value, shown.unit)


def unit_text(unit: str) -> str:
    """Return a unit as it ends a line; a bare number says that it is one."""
    return f"[{NO_UNIT}]" if unit == NO_UNIT else unit


def check_text(check: Check) -> str:
    """Return a check as one line, signs as people write them."""
    if check.met is None:
        return f"{check.text}: for the reader to judge"
    unit = f" {check.unit}" if check.unit else ""
    return f"{check.text.replace('<=', '≤')}{unit}: {'met' if check.met else 'NOT MET'} with {check.value}{unit}"


def _float(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None


def _mapping(value: object) -> Mapping[str, str]:
    return value if isinstance(value, Mapping) else {}


def _sequence(value: object) -> Sequence[object]:
    return value if isinstance(value, list | tuple) else ()
