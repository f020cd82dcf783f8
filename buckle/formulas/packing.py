"""How densely containers stand: filled shares of plane and space, and how many stand on a pallet."""

import math
from typing import Annotated

from buckle.formulas.base import Quantity, Statement, Symbol, Worked, formula
from buckle.units import NonNegativeLength, PositiveLength

Diameter = Annotated[PositiveLength, Symbol("D")]
Gap = Annotated[NonNegativeLength, Symbol("g")]
PalletLength = Annotated[PositiveLength, Symbol("A")]
PalletWidth = Annotated[PositiveLength, Symbol("B")]

_ENDLESS = ("edges: an endless plane or space",)
_ELEMENTARY = "area or volume of a cell of the pattern; elementary"
_ONTO = 1e-9
"""Round-off up to which a count that should be whole is taken for it."""


def _share(name: str, expression: str, source: str = _ELEMENTARY) -> Statement:
    return Statement(
        name=f"packing.{name}",
        unit="-",
        expression=expression,
        source=source,
        kind="theory",
        answers="parameter",
        ranges=(),
        ignores=_ENDLESS,
        conditions=("all alike, a gap g between neighbours",),
    )


_EXAMPLE = {"diameter": 66.0, "gap": 0.5}


@formula(_share("square_share", "c = pi D^2 / (4 (D + g)^2)"), example=_EXAMPLE)
def square_share(*, diameter: Diameter, gap: Gap = 0.0) -> Worked:
    """Share of the floor that cylinders cover in rows and columns: 79 % without a gap."""
    return Worked(0.25 * math.pi * (diameter / (diameter + gap)) ** 2)


@formula(
    _share(
        "hexagonal_share",
        "c = pi D^2 / (2 sqrt(3) (D + g)^2)",
        "cell of the hexagonal pattern, elementary; that no pattern of circles is denser: A. Thue, 1910 (from memory)",
    ),
    example=_EXAMPLE,
)
def hexagonal_share(*, diameter: Diameter, gap: Gap = 0.0) -> Worked:
    """Share of the floor that cylinders cover in rows set off by half a step: 91 % without a gap."""
    return Worked(math.pi / (2.0 * math.sqrt(3.0)) * (diameter / (diameter + gap)) ** 2)


@formula(
    _share(
        "sphere_share",
        "c = pi D^3 / (3 sqrt(2) (D + g)^3)",
        "cell of the cubic close packing, elementary; that none is denser: J. Kepler's conjecture of 1611, T. C. Hales,"
        " 2005 (from memory)",
    ),
    example=_EXAMPLE,
)
def sphere_share(*, diameter: Diameter, gap: Gap = 0.0) -> Worked:
    """Share of space that spheres fill at their densest: 74 % without a gap."""
    return Worked(math.pi / (3.0 * math.sqrt(2.0)) * (diameter / (diameter + gap)) ** 3)


@formula(_share("cube_share", "c = D^3 / (D + g)^3"), example=_EXAMPLE)
def cube_share(*, diameter: Diameter, gap: Gap = 0.0) -> Worked:
    """Share of space that cubes fill, D their edge: all of it without a gap."""
    return Worked((diameter / (diameter + gap)) ** 3)


# On a pallet ----------------------------------------------------------------------------------------------------------


def _layer(name: str, expression: str) -> Statement:
    return Statement(
        name=f"packing.{name}",
        unit="-",
        expression=expression,
        source="counted along and across; elementary",
        kind="theory",
        answers="parameter",
        ranges=(),
        ignores=("trays, corner posts and overhang", "patterns that mix rows of both kinds, which may hold a few more"),
        conditions=("the first container stands at the pallet's edge; D is the step: diameter and gap",),
    )


_PALLET = {"pallet_length": 1200.0, "pallet_width": 1000.0, "diameter": 66.5}


@formula(_layer("square_per_layer", "n = whole part of A / D times whole part of B / D"), example=_PALLET)
def square_per_layer(*, pallet_length: PalletLength, pallet_width: PalletWidth, diameter: Diameter) -> Worked:
    """Number of containers on a pallet in rows and columns."""
    return _counted(
        _whole(pallet_length / diameter) * _whole(pallet_width / diameter), pallet_length, pallet_width, diameter
    )


@formula(
    _layer(
        "hexagonal_per_layer",
        "n = greater of both ways to lay rows of whole part of A / D, every second of whole part of A / D - 1/2, on a"
        " width of whole part of 1 + (B - D) / (sqrt(3) D / 2) rows",
    ),
    example=_PALLET,
)
def hexagonal_per_layer(*, pallet_length: PalletLength, pallet_width: PalletWidth, diameter: Diameter) -> Worked:
    """Number of containers on a pallet in rows set off by half a step, laid the better way."""
    both = (_rows(pallet_length, pallet_width, diameter), _rows(pallet_width, pallet_length, diameter))
    return _counted(max(both), pallet_length, pallet_width, diameter)


def _rows(along: float, across: float, step: float) -> int:
    """Return how many stand in rows along one side."""
    if min(along, across) < step * (1.0 - _ONTO):
        return 0
    rows = _whole(1.0 + (across - step) / (0.5 * math.sqrt(3.0) * step))
    return (rows + 1) // 2 * _whole(along / step) + rows // 2 * _whole(along / step - 0.5)


def _whole(number: float) -> int:
    return math.floor(number + _ONTO)


def _counted(count: int, length: float, width: float, step: float) -> Worked:
    """Return a count with the share of the pallet that it covers."""
    return Worked(count, (Quantity("c", count * 0.25 * math.pi * step**2 / (length * width)),))
