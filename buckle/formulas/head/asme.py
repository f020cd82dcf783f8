"""Torispherical and ellipsoidal heads by the design forms of ASME BPVC section VIII, division 1.

A design form, never a statement of compliance: the code asks for much that no formula here knows.
"""

import math
from typing import Annotated

from buckle.formulas.arguments import AllowableStress, DesignPressure, JointEfficiency, Thickness, YoungsModulus
from buckle.formulas.base import NOT_COMPLIANCE, Answers, Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.units import PositiveLength, PositiveStress

InsideDiameter = Annotated[PositiveLength, Symbol("D")]
InsideCrown = Annotated[PositiveLength, Symbol("L")]
InsideKnuckle = Annotated[PositiveLength, Symbol("r")]
InsideDepth = Annotated[PositiveLength, Symbol("h")]
YieldAtTemperature = Annotated[PositiveStress, Symbol("S_y")]

_IGNORES = (
    f"{NOT_COMPLIANCE}: materials, welds, openings, tests and tolerances of the code are not looked at",
    "fatigue and corrosion",
)
_TORISPHERE = (
    Interval("t/L", 0.002, 0.1),
    Interval("r/(D + 2 t)", low=0.06),
    Interval("r/t", low=3.0),
    Interval("L/(D + 2 t)", high=1.0),
)
_CROWN_FACTOR = "M = (3 + sqrt(L/r)) / 4"
_DEPTH_FACTOR = "K = (2 + (D / (2 h))^2) / 6"
_ELLIPSE = (Interval("D/(2 h)", 1.0, 3.0), Interval("t/D", 0.001, 0.1))
_TORISPHERE_SOURCE = (
    "ASME BPVC section VIII division 1, UG-32(e) and appendix 1-4(d) (read in a public calculation sheet that names no"
    " edition; letters as before 2013, from memory)"
)
_ELLIPSE_SOURCE = (
    "ASME BPVC section VIII division 1, UG-32(d) (read in a public calculation sheet for D/(2 h) = 2 that names no"
    " edition; letters as before 2013, from memory), appendix 1-4(c) for the factor K (from memory)"
)


def _statement(name: str, answers: Answers, expression: str, source: str, ranges: tuple[Interval, ...]) -> Statement:
    return Statement(
        name=f"head.asme_{name}",
        unit="mm" if answers == "least thickness" else "MPa",
        expression=expression,
        source=source,
        kind="design form",
        answers=answers,
        ranges=ranges,
        ignores=_IGNORES,
        conditions=("inside dimensions; z is the joint efficiency",),
    )


@formula(
    _statement(
        "torisphere_thickness",
        "least thickness",
        f"t = P L M / (2 S z - 0.2 P), {_CROWN_FACTOR}",
        _TORISPHERE_SOURCE + "; upper limit of t/L is a judgement",
        _TORISPHERE,
    ),
    example={
        "pressure": 0.8,
        "diameter": 1000.0,
        "crown_radius": 950.0,
        "knuckle_radius": 100.0,
        "allowable_stress": 120.0,
        "joint_efficiency": 0.85,
    },
)
def torisphere_thickness(
    *,
    pressure: DesignPressure,
    diameter: InsideDiameter,
    crown_radius: InsideCrown,
    knuckle_radius: InsideKnuckle,
    allowable_stress: AllowableStress,
    joint_efficiency: JointEfficiency = 1.0,
) -> Worked:
    """Least wall of a torispherical head under inside pressure by the design form of ASME VIII-1."""
    factor = _crown_factor(crown_radius, knuckle_radius)
    wall = _required(pressure, crown_radius * factor, allowable_stress * joint_efficiency)
    steps = (Quantity("M", factor), *_torisphere(diameter, crown_radius, knuckle_radius, wall))
    return Worked(wall, steps)


@formula(
    _statement(
        "torisphere_rating",
        "design pressure",
        f"p = 2 S z t / (L M + 0.2 t), {_CROWN_FACTOR}",
        _TORISPHERE_SOURCE + "; upper limit of t/L is a judgement",
        _TORISPHERE,
    ),
    example={
        "diameter": 1000.0,
        "crown_radius": 950.0,
        "knuckle_radius": 100.0,
        "thickness": 4.0,
        "allowable_stress": 120.0,
        "joint_efficiency": 0.85,
    },
)
def torisphere_rating(
    *,
    diameter: InsideDiameter,
    crown_radius: InsideCrown,
    knuckle_radius: InsideKnuckle,
    thickness: Thickness,
    allowable_stress: AllowableStress,
    joint_efficiency: JointEfficiency = 1.0,
) -> Worked:
    """Greatest inside pressure of a torispherical head by the design form of ASME VIII-1."""
    factor = _crown_factor(crown_radius, knuckle_radius)
    steps = (Quantity("M", factor), *_torisphere(diameter, crown_radius, knuckle_radius, thickness))
    return Worked(_rating(thickness, crown_radius * factor, allowable_stress * joint_efficiency), steps)


@formula(
    _statement(
        "ellipsoid_thickness",
        "least thickness",
        f"t = P D K / (2 S z - 0.2 P), {_DEPTH_FACTOR}",
        _ELLIPSE_SOURCE,
        _ELLIPSE,
    ),
    example={"pressure": 0.5, "diameter": 1000.0, "depth": 250.0, "allowable_stress": 120.0},
)
def ellipsoid_thickness(
    *,
    pressure: DesignPressure,
    diameter: InsideDiameter,
    depth: InsideDepth,
    allowable_stress: AllowableStress,
    joint_efficiency: JointEfficiency = 1.0,
) -> Worked:
    """Least wall of an ellipsoidal head under inside pressure by the design form of ASME VIII-1."""
    factor = _depth_factor(diameter, depth)
    wall = _required(pressure, diameter * factor, allowable_stress * joint_efficiency)
    return Worked(wall, (Quantity("K", factor), *_ellipse(diameter, depth, wall)))


@formula(
    _statement(
        "ellipsoid_rating",
        "design pressure",
        f"p = 2 S z t / (D K + 0.2 t), {_DEPTH_FACTOR}",
        _ELLIPSE_SOURCE,
        _ELLIPSE,
    ),
    example={"diameter": 1000.0, "depth": 250.0, "thickness": 4.0, "allowable_stress": 120.0},
)
def ellipsoid_rating(
    *,
    diameter: InsideDiameter,
    depth: InsideDepth,
    thickness: Thickness,
    allowable_stress: AllowableStress,
    joint_efficiency: JointEfficiency = 1.0,
) -> Worked:
    """Greatest inside pressure of an ellipsoidal head by the design form of ASME VIII-1."""
    factor = _depth_factor(diameter, depth)
    steps = (Quantity("K", factor), *_ellipse(diameter, depth, thickness))
    return Worked(_rating(thickness, diameter * factor, allowable_stress * joint_efficiency), steps)


def _required(pressure: float, size: float, stress: float) -> float:
    """Return P size / (2 stress - 0.2 P) [mm]; infinite where no wall would do."""
    rest = 2.0 * stress - 0.2 * pressure
    return pressure * size / rest if rest > 0.0 else math.inf


def _rating(wall: float, size: float, stress: float) -> float:
    return 2.0 * stress * wall / (size + 0.2 * wall)


def _crown_factor(crown: float, knuckle: float) -> float:
    return 0.25 * (3.0 + math.sqrt(crown / knuckle))


def _depth_factor(diameter: float, depth: float) -> float:
    return (2.0 + (0.5 * diameter / depth) ** 2) / 6.0


def _torisphere(diameter: float, crown: float, knuckle: float, wall: float) -> tuple[Quantity, ...]:
    outside = diameter + 2.0 * wall
    return (
        Quantity("t/L", wall / crown),
        Quantity("r/(D + 2 t)", knuckle / outside),
        Quantity("r/t", knuckle / wall),
        Quantity("L/(D + 2 t)", crown / outside),
    )


def _ellipse(diameter: float, depth: float, wall: float) -> tuple[Quantity, ...]:
    return (Quantity("D/(2 h)", 0.5 * diameter / depth), Quantity("t/D", wall / diameter))


# Outside pressure -----------------------------------------------------------------------------------------------------


@formula(
    _statement(
        "outside_rating",
        "design pressure",
        "p = min(P_in / 1.67, P_a), P_in = 2 S t / (L M + 0.2 t), M = (3 + sqrt(L/r)) / 4,"
        " P_a = 0.0625 E (t / R_o)^2, R_o = L + t",
        "ASME BPVC section VIII division 1, UG-33 (read in a public calculation sheet that names no edition): 1.67 P in"
        " the form for inside pressure, and P_a = B / (R_o/t) at A = 0.125 / (R_o/t); here B = A E / 2, the elastic"
        " line of the charts, up to B/S_y = 0.4, a judgement without a source",
        (*_TORISPHERE, Interval("B/S_y", high=0.4)),
    ),
    example={
        "youngs_modulus": 200e3,
        "yield_stress": 250.0,
        "diameter": 1000.0,
        "crown_radius": 950.0,
        "knuckle_radius": 100.0,
        "thickness": 4.0,
        "allowable_stress": 120.0,
    },
)
def outside_rating(
    *,
    youngs_modulus: YoungsModulus,
    yield_stress: YieldAtTemperature,
    diameter: InsideDiameter,
    crown_radius: InsideCrown,
    knuckle_radius: InsideKnuckle,
    thickness: Thickness,
    allowable_stress: AllowableStress,
) -> Worked:
    """Greatest outside pressure of a torispherical head by the design form of ASME VIII-1, where it is elastic."""
    inside = _rating(thickness, crown_radius * _crown_factor(crown_radius, knuckle_radius), allowable_stress)
    slender = thickness / (crown_radius + thickness)
    elastic = 0.0625 * youngs_modulus * slender**2
    steps = (
        Quantity("M", _crown_factor(crown_radius, knuckle_radius)),
        Quantity("P_in", inside, "MPa"),
        Quantity("R_o", crown_radius + thickness, "mm"),
        Quantity("P_a", elastic, "MPa"),
        Quantity("B/S_y", 0.0625 * youngs_modulus * slender / yield_stress),
        *_torisphere(diameter, crown_radius, knuckle_radius, thickness),
    )
    return Worked(min(inside / 1.67, elastic), steps)
