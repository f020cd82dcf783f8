"""Units of worked formulas: what follows for a letter from the units of the numbers it is worked out with."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from buckle.expression.functions import FUNCTIONS
from buckle.expression.tree import Bracket, Call, Node, Number, Power, Product, Quotient, Sum, Symbol
from buckle.formulas.base import NO_UNIT, Quantity
from buckle.report.notation.expression import value_of
from buckle.units import UNITS, Units

Exponents = tuple[float, float]  # of newton and of millimetre
_BARE: Exponents = (0.0, 0.0)
_FORCE, _LENGTH, _STRESS = (1.0, 0.0), (0.0, 1.0), (1.0, -2.0)
_BASES: Mapping[str, Exponents] = {
    "N": _FORCE,
    "lbf": _FORCE,
    "mm": _LENGTH,
    "in": _LENGTH,
    "MPa": _STRESS,
    "psi": _STRESS,
    "1": _BARE,
}
_NAMED: Mapping[str, Exponents] = {"": _BARE, "-": _BARE, "rad": _BARE}
_SAME = ("abs", "max", "min")
"""Functions whose value has the unit of their arguments."""
_CLOSE = 1e-9
_FACTOR = re.compile(r"([A-Za-z]+|1)(\d*)")


@dataclass(frozen=True)
class System:
    """Units of force, length and stress that go together, so that a formula gives the same in any such system."""

    force: str
    length: str
    stress: str
    newtons: float  # of its force
    millimetres: float  # of its length

    def quantity(self, given: Quantity) -> Quantity:
        """Return a quantity in N, mm, MPa in the units of this system; angles and bare numbers are the same."""
        if self is METRIC or given.unit in _NAMED:
            return given
        force, length = exponents(given.unit)
        value = given.value / self.newtons**force / self.millimetres**length
        return Quantity(given.symbol, value, _unit_text((force, length), self))


METRIC = System("N", "mm", "MPa", 1.0, 1.0)
INCH = System("lbf", "in", "psi", float(UNITS["force"]["lbf"].factor), float(UNITS["length"]["in"].factor))


def system_of(units: Units) -> System:
    """Return the system in which a formula is worked out for a reader of these units: that of the length."""
    return METRIC if units.length == METRIC.length else INCH


def exponents(unit: str) -> Exponents:
    """Return the exponents of 'MPa', 'N/mm', 'mm2', '1/mm' and the like. Raises KeyError for any other unit."""
    if unit in _NAMED:
        return _NAMED[unit]
    over, _, under = unit.partition("/")
    return _sum(_of_factors(over), _times(_of_factors(under), -1.0)) if under else _of_factors(over)


def unit_of(node: Node, units: Mapping[str, str], numbers: Mapping[str, float], system: System = METRIC) -> str | None:
    """Return the unit of what is worked out; None where a letter has none or terms of a sum do not go together."""
    try:
        return _unit_text(_exponents(node, units, numbers), system)
    except KeyError:
        return None


def _of_factors(text: str) -> Exponents:
    total = _BARE
    for word in text.split():
        found = _FACTOR.fullmatch(word)
        if found is None:
            raise KeyError(text)
        total = _sum(total, _times({**_BASES, **_NAMED}[found[1]], float(found[2] or 1)))
    return total


def _exponents(node: Node, units: Mapping[str, str], numbers: Mapping[str, float]) -> Exponents:
    """Return the exponents of a part. Raises KeyError for an unknown letter and for terms that do not go together."""

    def of(part: Node) -> Exponents:
        return _exponents(part, units, numbers)

    match node:
        case Number(_):
            return _BARE
        case Symbol(name):
            return _BARE if name == "pi" else exponents(units[name])
        case Call(name, arguments):  # a function from a table is known by its value
            return _of_function(name, [of(each) for each in arguments]) if name in FUNCTIONS else exponents(units[name])
        case Product(factors):
            return _sum(*map(of, factors))
        case Quotient(over, under):
            return _sum(of(over), _times(of(under), -1.0))
        case Sum(terms):
            return _alike([of(each) for _, each in terms])
        case Power(base, exponent):
            _alike([_BARE, of(exponent)])
            return _times(of(base), value_of(exponent, numbers))
        case Bracket(_, (inner,)):
            return of(inner)
    raise KeyError(node)


def _of_function(name: str, arguments: list[Exponents]) -> Exponents:
    if name == "sqrt":
        return _times(arguments[0], 0.5)
    return _alike(arguments) if name in _SAME else _alike([_BARE, *arguments])


def _alike(parts: list[Exponents]) -> Exponents:
    first = parts[0]
    if any(abs(a - b) > _CLOSE for part in parts for a, b in zip(part, first, strict=True)):
        raise KeyError(parts)
    return first


def _sum(*parts: Exponents) -> Exponents:
    return sum(part[0] for part in parts), sum(part[1] for part in parts)


def _times(part: Exponents, factor: float | None) -> Exponents:
    if factor is None:
        raise KeyError(part)
    return factor * part[0], factor * part[1]


def _unit_text(found: Exponents, system: System) -> str:
    """Return the unit in words: MPa for a force over an area, else newtons and millimetres, or those of a system."""
    force, length = (round(each, 6) for each in found)
    stress = {_STRESS: system.stress, (-1.0, 2.0): f"1/{system.stress}"}.get((force, length))
    if stress is not None:
        return stress
    named = ((system.force, force), (system.length, length))
    over = " ".join(f"{name}{_power(power)}" for name, power in named if power > 0.0)
    under = " ".join(f"{name}{_power(-power)}" for name, power in named if power < 0.0)
    return f"{over or 1}/{under}" if under else over or NO_UNIT


def _power(power: float) -> str:
    return "" if power == 1.0 else f"{power:g}"


def unit_text(unit: str) -> str:
    """Return a unit as it ends a line; a bare number says that it is one."""
    return f"[{NO_UNIT}]" if unit == NO_UNIT else unit
