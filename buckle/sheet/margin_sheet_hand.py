"""A hand calculation as a reviewer follows it: formula, numbers, formula with the numbers put in, value, range."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from buckle.sheet.margin_sheet_expression import Node, Number, Relation, Symbol, Words, put_in, read, text_of, value_of
from buckle.sheet.record import Fields
from buckle.sheet.substitution import clauses, divided

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
class Check:
    """A range or condition of use, and whether the numbers keep to it."""

    text: str
    met: bool | None  # None: for the reader to judge
    value: str = ""


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
    put_in: tuple[str, ...]
    checks: tuple[Check, ...]
    ignores: tuple[str, ...]
    source: str
    why: str
    told_before: bool = False  # the same calculation stands beside an earlier event


def hand_sheet(row: Fields, computed: float, unit: str) -> HandSheet:
    """Return the sheet of a hand row of results.json beside a computed capacity [bar] or size [mm]."""
    name, kind = _name_and_kind(str(row["method"]))
    numbers = _mapping(row.get("numbers"))
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
        numbers=tuple(_put(symbol, text) for symbol, text in numbers.items()),
        put_in=tuple(_worked(parts, {symbol: float(text.split()[0]) for symbol, text in numbers.items()})),
        checks=tuple(_checks(str(row.get("range", "")), numbers)),
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


def _worked(parts: Sequence[str], numbers: Mapping[str, float]) -> Iterator[str]:
    """Yield each clause 'x = ...' as 'x = numbers = value', those that others need first."""
    equations = [equation for part in parts if (equation := _equation(part)) is not None]
    known = dict(_quotients_solved(numbers))
    for _ in equations:  # as many rounds as letters may wait for each other
        for left, right in equations:
            value = value_of(right, known)
            if isinstance(left, Symbol) and left.name not in known and value is not None:
                known[left.name] = value
    for left, right in reversed(equations):
        value = value_of(right, known)
        if value is not None and not isinstance(right, Number | Symbol):
            yield f"{text_of(left)} = {text_of(put_in(right, known))} = {value:.6g}"


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


def _quotients_solved(numbers: Mapping[str, float]) -> Iterator[tuple[str, float]]:
    """Yield all numbers, and x where only 'x/y' and y are given."""
    yield from numbers.items()
    for symbol, value in numbers.items():
        over, slash, under = symbol.partition("/")
        if slash and over.isidentifier() and over not in numbers and under in numbers:
            yield over, value * numbers[under]


def _checks(text: str, numbers: Mapping[str, str]) -> Iterator[Check]:
    """Yield the parts of a range: those about a number that is given are checked, the rest is for the reader."""
    for part in filter(None, divided(text, ";")):
        found = _RANGE.fullmatch(part)
        symbol = found["symbol"] if found else ""
        if found is None or symbol not in numbers or not (found["low"] or found["high"]):
            yield Check(part, None)
            continue
        value = numbers[symbol].split()[0]
        low, high = float(found["low"] or "-inf"), float(found["high"] or "inf")
        yield Check(part, low <= float(value) <= high, value)


def check_text(check: Check) -> str:
    """Return a check as one line, signs as people write them."""
    if check.met is None:
        return f"{check.text}: for the reader to judge"
    return f"{check.text.replace('<=', '≤')}: {'met' if check.met else 'NOT MET'} with {check.value}"


def _float(value: object) -> float | None:
    return float(value) if isinstance(value, int | float) else None


def _mapping(value: object) -> Mapping[str, str]:
    return value if isinstance(value, Mapping) else {}


def _sequence(value: object) -> Sequence[object]:
    return value if isinstance(value, list | tuple) else ()
