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


def _exact(value: float) -> Fraction:
    """Return the shortest decimal that reads back as this float: 6.2 is 31/5, not its binary neighbour."""
    return Fraction(repr(float(value)))


def _unit(dimension: str, suffix: str) -> Unit:
    units = UNITS[dimension]
    if suffix not in units:
        raise CaseError(f"{dimension}: no unit {suffix!r}; allowed: {', '.join(units)}")
    return units[suffix]


def pressure_text(pressure: float) -> str:
    """Return a pressure [MPa] for a message: '0.62 MPa (6.2 bar)'."""
    return f"{pressure:.4g} MPa ({to_unit(pressure, 'pressure', 'bar'):.4g} bar)"
