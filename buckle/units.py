"""Units at the border: inside the code everything is in mm, N, MPa, rad, degC, kg/m3, mm3, min; heights in m.

Sources of the factors: the SI definitions of litre, bar and degree Celsius; the international inch (25.4 mm) and pound
(0.45359237 kg) of 1959; standard gravity 9.80665 m/s2 (CGPM 1901). NIST Special Publication 811 (2008), appendix B,
lists the same. All but the degree of angle are exact fractions, so 0.0106 in and 0.26924 mm become the same float.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Annotated, NamedTuple, get_args

from annotated_types import Ge, Gt

from buckle.errors import CaseError
from buckle.marked import four_digits, mark, rewritten


@dataclass(frozen=True)
class Dimension:
    """Mark on a number's type: which table of units its key may take its suffix from."""

    name: str


Length = Annotated[float, Dimension("length")]
PositiveLength = Annotated[float, Dimension("length"), Gt(0.0)]
NonNegativeLength = Annotated[float, Dimension("length"), Ge(0.0)]
Angle = Annotated[float, Dimension("angle")]
Stress = Annotated[float, Dimension("stress")]
PositiveStress = Annotated[float, Dimension("stress"), Gt(0.0)]
Pressure = Annotated[float, Dimension("pressure")]
PositivePressure = Annotated[float, Dimension("pressure"), Gt(0.0)]
Force = Annotated[float, Dimension("force")]
Temperature = Annotated[float, Dimension("temperature")]
Density = Annotated[float, Dimension("density")]
Volume = Annotated[float, Dimension("volume")]
Altitude = Annotated[float, Dimension("altitude")]
Time = Annotated[float, Dimension("time")]
Compliance = Annotated[float, Dimension("compliance")]


class Unit(NamedTuple):
    """A unit against the internal one: internal = factor * (reading - zero)."""

    factor: Fraction
    zero: Fraction = Fraction(0)


_INCH = Fraction("25.4")  # mm
_POUND = Fraction("0.45359237")  # kg
_POUND_FORCE = _POUND * Fraction("9.80665")  # N
_PSI = _POUND_FORCE / _INCH**2  # MPa, 6.894757293168361e-3

_STRESS = {
    "MPa": Unit(Fraction(1)),
    "GPa": Unit(Fraction(1000)),
    "kPa": Unit(Fraction(1, 1000)),
    "Pa": Unit(Fraction(1, 1_000_000)),
    "bar": Unit(Fraction(1, 10)),
    "mbar": Unit(Fraction(1, 10_000)),
    "psi": Unit(_PSI),
    "ksi": Unit(1000 * _PSI),
}

UNITS: Mapping[str, Mapping[str, Unit]] = MappingProxyType(
    {
        "length": {
            "mm": Unit(Fraction(1)),
            "in": Unit(_INCH),
            "m": Unit(Fraction(1000)),
            "cm": Unit(Fraction(10)),
            "um": Unit(Fraction(1, 1000)),
        },
        "angle": {"deg": Unit(Fraction(math.pi) / 180), "rad": Unit(Fraction(1))},
        "stress": _STRESS,
        "pressure": {suffix: _STRESS[suffix] for suffix in ("bar", "psi", "MPa", "kPa", "Pa", "mbar", "ksi", "GPa")},
        "force": {"N": Unit(Fraction(1)), "kN": Unit(Fraction(1000)), "lbf": Unit(_POUND_FORCE)},
        "temperature": {
            "degC": Unit(Fraction(1)),
            "degF": Unit(Fraction(5, 9), Fraction(32)),
            "K": Unit(Fraction(1), Fraction("273.15")),
        },
        "density": {
            "kg_per_m3": Unit(Fraction(1)),
            "g_per_cm3": Unit(Fraction(1000)),
            "lb_per_in3": Unit(_POUND / (_INCH / 1000) ** 3),
        },
        "volume": {
            "ml": Unit(Fraction(1000)),
            "l": Unit(Fraction(1_000_000)),
            "cm3": Unit(Fraction(1000)),
            "mm3": Unit(Fraction(1)),
            "in3": Unit(_INCH**3),
        },
        "altitude": {"m": Unit(Fraction(1)), "ft": Unit(12 * _INCH / 1000)},
        "time": {"min": Unit(Fraction(1)), "s": Unit(Fraction(1, 60)), "h": Unit(Fraction(60))},
        "compliance": {
            "ml_per_bar": Unit(Fraction(10000)),
            "ml_per_psi": Unit(1000 / _PSI),
            "mm3_per_MPa": Unit(Fraction(1)),
        },
    }
)
"""Dimension name -> {key suffix: unit}; the first suffix of each is the one that messages and echoes prefer."""
COMMON = 3  # first units of a dimension that a slip is looked for among


def preferred_suffix(dimension: str) -> str:
    """Return the suffix in which values of a dimension are told to people, such as 'mm'."""
    return next(iter(UNITS[dimension]))


def dimension_of(annotation: object) -> str | None:
    """Return the dimension name marked on an annotated type, on a member of its union or on its items; else None."""
    parts = get_args(annotation) + getattr(annotation, "__metadata__", ())
    names = [part.name if isinstance(part, Dimension) else dimension_of(part) for part in parts]
    return next((name for name in names if name), None)


def convert(value: float, dimension: str, suffix: str) -> float:
    """Return the internal value of a reading in the unit `suffix`; NaN and infinities pass through.

    Raises CaseError if the dimension has no such unit.
    """
    unit = _unit(dimension, suffix)
    return float(unit.factor * (_exact(value) - unit.zero)) if math.isfinite(value) else float(value)


def to_unit(value: float, dimension: str, suffix: str) -> float:
    """Return the reading in the unit `suffix` of an internal value; NaN and infinities pass through.

    Raises CaseError if the dimension has no such unit.
    """
    unit = _unit(dimension, suffix)
    return float(_exact(value) / unit.factor + unit.zero) if math.isfinite(value) else float(value)


def unit_meant(value: float, dimension: str, suffix: str, likely: tuple[float, float]) -> str:
    """Return the common unit in which a reading would lie in the likely interval [internal unit]; '' if there is none.

    `value` is the internal value of the reading as it was taken, in the unit `suffix`.
    """
    reading = to_unit(value, dimension, suffix)
    low, high = likely
    others = (name for name in list(UNITS[dimension])[:COMMON] if name != suffix)
    return next((name for name in others if low <= convert(reading, dimension, name) <= high), "")


def _exact(value: float) -> Fraction:
    """Return the shortest decimal that reads back as this float: 6.2 is 31/5, not its binary neighbour."""
    return Fraction(repr(float(value)))


def _unit(dimension: str, suffix: str) -> Unit:
    units = UNITS[dimension]
    if suffix not in units:
        raise CaseError(f"{dimension}: no unit {suffix!r}; allowed: {', '.join(units)}")
    return units[suffix]


def bar(pressure: float) -> float:
    """Return a pressure [MPa] in bar, the unit of records, as the shortest decimals of both have it: 0.62 is 6.2."""
    return to_unit(pressure, "pressure", "bar")


PER_MPA = 10.0  # bar
"""Rows of margins hold bar that are this product, which may differ from `bar` in the last digit."""


def margin_bar(pressure: float | None) -> float | None:
    """Return a pressure of a margin [MPa] as its row holds it [bar]."""
    return None if pressure is None else PER_MPA * pressure


def margin_pressure(recorded: float | None) -> float | None:
    """Return a pressure of a margin [MPa] from that of its row [bar]."""
    return None if recorded is None else recorded / PER_MPA


def pressure_text(pressure: float) -> str:
    """Return a pressure [MPa] as a part of a text, marked so that a reader may exchange its unit."""
    return mark(bar(pressure), "bar")


def force_text(force: float) -> str:
    """Return a force [N] as a part of a text, marked as any quantity is; every reader has it in N."""
    return mark(force, "N")


def length_text(length: float) -> str:
    """Return a length [mm] as a part of a text, marked so that a reader may exchange its unit."""
    return mark(length, "mm")


# What people read -----------------------------------------------------------------------------------------------------

PRESSURE_UNITS = ("bar", "psi", "MPa", "kPa")
LENGTH_UNITS = ("mm", "in")
NONE = "–"
_DECIMALS = {"mm": 3, "in": 5}
"""Of a movement: a micron, or the hundred-thousandth of an inch, which is the nearest that is no coarser."""
_POWERS = {"mm": 1, "mm2": 2}


@dataclass(frozen=True)
class Units:
    """The units in which a person reads pressures and lengths; records and other machine-readable content keep theirs.

    A value comes with its own unit: 'bar' or 'MPa' of a pressure, 'mm' or 'mm2'. Any other unit is left as it is, that
    of a stress too, which is no pressure.
    """

    pressure: str = PRESSURE_UNITS[0]
    length: str = LENGTH_UNITS[0]

    @property
    def in_words(self) -> str:
        """Both, as a picture tells them of itself."""
        return f"pressures in {self.pressure}, lengths in {self.length}"

    def unit(self, own: str) -> str:
        """Return the unit that a value is read in instead of its own."""
        if own in ("bar", "MPa"):
            return self.pressure
        return self.length + own.removeprefix("mm") if own in _POWERS else own

    def number(self, value: float, own: str) -> float:
        """Return a value in the unit that it is read in."""
        read = self.unit(own)
        if read == own:
            return value
        if own in _POWERS:
            return value / float(UNITS["length"][self.length].factor) ** _POWERS[own]
        return to_unit(convert(value, "pressure", own), "pressure", read)

    def digits(self, value: float | None, own: str) -> str:
        """Return a pressure, a movement or a bare number in as many digits as it is worth, without its unit."""
        if value is None:
            return NONE
        read = self.number(value, own)
        if own == "mm":
            return f"{read:.{_DECIMALS[self.length]}f}"
        return f"{read:.3g}" if own == "" else four_digits(read)

    def text(self, value: float | None, own: str) -> str:
        """Return a pressure, a movement or a bare number with its unit."""
        unit = self.unit(own)
        return self.digits(value, own) + (f" {unit}" if unit and value is not None else "")

    def words(self, text: str) -> str:
        """Return a text with its quantities in these units."""
        return rewritten(text, self.text)

    def quantity(self, key: str) -> str:
        """Return for a reader the name of a quantity that ends in its unit, such as 'GMNA.limit_pressure_bar'."""
        name, _, own = key.rpartition("_")
        return f"{name}_{self.unit(own)}" if name and own in NAMED else key

    def of_quantity(self, key: str, value: float) -> float:
        """Return the value of a quantity of a record for a reader."""
        own = key.rpartition("_")[2]
        return self.number(value, own) if own in NAMED else value


NAMED = ("bar", "mm", "mm2")
"""Units at the end of a name that a reader's take the place of."""
RECORDED = Units()
"""The units of everything machine-readable."""
