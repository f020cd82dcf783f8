"""Elastic cylinders: Batdorf's parameter and buckling pressures, hand forms for lateral pressure, and lower bounds."""

import math
from typing import Annotated

import scipy
from annotated_types import Ge

from buckle.formulas.arguments import AppliedPressure, CylinderLength, PoissonsRatio, Radius, Thickness, YoungsModulus
from buckle.formulas.base import Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.formulas.cylinder.buckling import lower_bound_factor
from buckle.formulas.elastic import bending_stiffness, classical_factor

PressureIncrement = Annotated[float, Symbol("dgamma"), Ge(0.0)]

_LEAVES_OUT = ("yielding", "departures from the perfect shape")
_HELD_ROUND = "ends held round, free to rotate and to warp"
_Z = "Z = L^2 / (R t) sqrt(1 - nu^2)"


def batdorf(nu: float, radius: float, thickness: float, length: float) -> float:
    """Return Z = L^2 / (R t) sqrt(1 - nu^2)."""
    return length**2 / (radius * thickness) * math.sqrt(1.0 - nu**2)


@formula(
    Statement(
        name="cylinder.batdorf_parameter",
        unit="-",
        expression=_Z,
        source="S. B. Batdorf, A simplified method of elastic-stability analysis for thin cylindrical shells, NACA 1947"
        " (from memory)",
        kind="theory",
        answers="parameter",
        ranges=(Interval("R/t", low=20.0),),
        ignores=("everything but geometry and nu",),
    ),
    example={"poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def batdorf_parameter(
    *, poissons_ratio: PoissonsRatio, radius: Radius, thickness: Thickness, length: CylinderLength
) -> Worked:
    """Length of a cylinder against its boundary layer, squared."""
    return Worked(batdorf(poissons_ratio, radius, thickness, length), (Quantity("R/t", radius / thickness),))


def _donnell(name: str, axial: str, side: str) -> Statement:
    return Statement(
        name=f"cylinder.{name}",
        unit="MPa",
        expression=(
            f"p = k pi^2 D / (R L^2), k = min over b of ((1 + b^2)^2 + 12 Z^2 / (pi^4 (1 + b^2)^2)) / {axial},"
            f" b = n L / (pi R) not held to whole n, {_Z}, D = E t^3 / (12 (1 - nu^2))"
        ),
        source=(
            "S. B. Batdorf, A simplified method of elastic-stability analysis for thin cylindrical shells, NACA 1947"
            " (from memory), after L. H. Donnell's equations; derived again here"
        ),
        kind="theory",
        answers="linear bifurcation",
        ranges=(Interval("R/t", 50.0, 3000.0), Interval("Z", low=1.0), Interval("n", low=4.0)),
        ignores=(*_LEAVES_OUT, "terms of the order 1/n^2: up to 7 % high at n = 4", "whole waves: up to 3 % low"),
        edge="diaphragm",
        conditions=(_HELD_ROUND, side),
    )


@formula(
    _donnell("batdorf_lateral", "b^2", "pressure on the side only"),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def batdorf_lateral(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
) -> Worked:
    """Elastic buckling pressure of a cylinder under pressure on its side, by Donnell's equations."""
    return _least((youngs_modulus, poissons_ratio, radius, thickness), length, axial_share=0.0)


@formula(
    _donnell("batdorf_hydrostatic", "(b^2 + 1/2)", "pressure on the side and on closed ends"),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def batdorf_hydrostatic(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
) -> Worked:
    """Elastic buckling pressure of a closed cylinder under outside pressure, by Donnell's equations."""
    return _least((youngs_modulus, poissons_ratio, radius, thickness), length, axial_share=0.5)


def _least(shell: tuple[float, float, float, float], length: float, axial_share: float) -> Worked:
    """Return the least pressure over the wave length; `shell` is (E, nu, R, t)."""
    youngs_modulus, nu, radius, thickness = shell
    Z = batdorf(nu, radius, thickness, length)

    def factor(logarithm: float) -> float:
        square = math.exp(2.0 * logarithm)
        plate = (1.0 + square) ** 2
        return (plate + 12.0 * Z**2 / (math.pi**4 * plate)) / (square + axial_share)

    # Bending and stretching balance near b^4 = 12^(1/2) Z / pi^2, or at b = 1 of a flat plate.
    middle = 0.25 * math.log(max(1.0, math.sqrt(12.0) * Z / math.pi**2))
    found = scipy.optimize.minimize_scalar(
        factor, bounds=(middle - 3.0, middle + 3.0), method="bounded", options={"xatol": 1e-12}
    )
    k, waves = float(found.fun), math.exp(float(found.x)) * math.pi * radius / length
    stiffness = bending_stiffness(youngs_modulus, nu, thickness)
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("Z", Z),
        Quantity("n", waves),
        Quantity("D", stiffness, "N mm"),
        Quantity("k", k),
    )
    return Worked(k * math.pi**2 * stiffness / (radius * length**2), steps)


# Medium length, lower bounds ------------------------------------------------------------------------------------------

_MEDIUM = "0.855 E (t/R)^(5/2) (R/L) / (1 - nu^2)^(3/4)"
_MEDIUM_RANGES = (Interval("R/t", 50.0, 3000.0), Interval("omega", low=20.0), Interval("omega t/R", high=1.63))
_LONG_RANGE = (Interval("R/t", low=20.0),)
_BOUND_SOURCE = (
    "M. W. Hilburger, Buckling of Thin-Walled Circular Cylinders, NASA/SP-8007-2020/REV 2, 2020, external pressure,"
    " equations"
)


def medium_pressure_of(youngs_modulus: float, nu: float, slender: float, length_over_radius: float) -> float:
    """Return 0.855 E (t/R)^(5/2) (R/L) / (1 - nu^2)^(3/4) [MPa]; `slender` is t/R."""
    return float(0.855 * youngs_modulus * slender**2.5 / (length_over_radius * (1.0 - nu**2) ** 0.75))


def _medium_steps(radius: float, thickness: float, length: float) -> tuple[Quantity, ...]:
    omega = length / math.sqrt(radius * thickness)
    return (
        Quantity("R/t", radius / thickness),
        Quantity("omega", omega),
        Quantity("omega t/R", omega * thickness / radius),
    )


@formula(
    Statement(
        name="cylinder.medium_pressure",
        unit="MPa",
        expression=f"p = {_MEDIUM}",
        source=(
            f"{_BOUND_SOURCE} 20 to 25 with gamma = 1 (read); S. B. Batdorf, 1947, long wave limit, after the"
            " equations of L. H. Donnell, NACA report 479, 1933, which is on torsion (both from memory)"
        ),
        kind="theory",
        answers="linear bifurcation",
        ranges=_MEDIUM_RANGES,
        ignores=(*_LEAVES_OUT, "the ends' own length: up to 12 % low at omega = 20", "whole waves"),
        edge="diaphragm",
        conditions=(_HELD_ROUND, "pressure on the side only; omega = L / sqrt(R t)"),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def medium_pressure(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
) -> Worked:
    """Elastic buckling pressure of a moderately long cylinder under pressure on its side, in one line."""
    value = medium_pressure_of(youngs_modulus, poissons_ratio, thickness / radius, length / radius)
    return Worked(value, _medium_steps(radius, thickness, length))


@formula(
    Statement(
        name="cylinder.lateral_lower_bound",
        unit="MPa",
        expression=f"p = 0.75 p_el, p_el = {_MEDIUM}",
        source=f"{_BOUND_SOURCE} 20 to 25 and 28 (read): 0.75 is the root of gamma",
        kind="lower bound",
        answers="imperfect elastic buckling",
        ranges=_MEDIUM_RANGES,
        ignores=("yielding", "the size of the actual imperfections"),
        edge="diaphragm",
        conditions=(_HELD_ROUND, "omega = L / sqrt(R t)"),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def lateral_lower_bound(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
) -> Worked:
    """Lower bound to elastic buckling of moderately long cylinders under outside pressure."""
    elastic = medium_pressure_of(youngs_modulus, poissons_ratio, thickness / radius, length / radius)
    return Worked(0.75 * elastic, (*_medium_steps(radius, thickness, length), Quantity("p_el", elastic, "MPa")))


@formula(
    Statement(
        name="cylinder.long_tube_lower_bound",
        unit="MPa",
        expression="p = 0.9 p_el, p_el = E (t/R)^3 / (4 (1 - nu^2))",
        source=f"{_BOUND_SOURCE} 27 and 29 (read): gamma is 0.90",
        kind="lower bound",
        answers="imperfect elastic buckling",
        ranges=_LONG_RANGE,
        ignores=("yielding", "the size of the actual imperfections", "ends"),
        conditions=("long: omega t/R above 1.63, omega = L / sqrt(R t)",),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105},
)
def long_tube_lower_bound(
    *, youngs_modulus: YoungsModulus, poissons_ratio: PoissonsRatio, radius: Radius, thickness: Thickness
) -> Worked:
    """Lower bound to elastic buckling of long tubes under outside pressure."""
    elastic = 0.25 * youngs_modulus * (thickness / radius) ** 3 / (1.0 - poissons_ratio**2)
    return Worked(0.9 * elastic, (Quantity("R/t", radius / thickness), Quantity("p_el", elastic, "MPa")))


# Axial load with inside pressure --------------------------------------------------------------------------------------

LARGEST_INCREMENT = 0.23


@formula(
    Statement(
        name="cylinder.pressurised_axial_stress",
        unit="MPa",
        expression=(
            "sigma = E t/R (gamma / sqrt(3 (1 - nu^2)) + dgamma) + p R / (2 t), gamma = 1 - 0.901 (1 - exp(-phi)),"
            " phi = sqrt(R/t) / 16"
        ),
        source=(
            "M. W. Hilburger, Buckling of Thin-Walled Circular Cylinders, NASA/SP-8007-2020/REV 2, 2020, equations 48"
            " and 49 (read); dgamma grows with (p/E) (R/t)^2 by a chart that is not at hand, to about 0.23 (from"
            " memory, of medium certainty), and belongs to this gamma alone: 0 if not given"
        ),
        kind="lower bound",
        answers="imperfect elastic buckling",
        ranges=(Interval("R/t", 50.0, 1500.0), Interval("dgamma", high=LARGEST_INCREMENT)),
        ignores=("yielding", "the size of the actual imperfections"),
        conditions=("the pressure's thrust on the closed ends is part of the load carried",),
    ),
    example={
        "pressure": 0.3,
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 33.0,
        "thickness": 0.105,
        "increment": 0.1,
    },
)
def pressurised_axial_stress(
    *,
    pressure: AppliedPressure,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    increment: PressureIncrement = 0.0,
) -> Worked:
    """Lower bound to the axial stress that an outer force may add to a cylinder under inside pressure."""
    phi = math.sqrt(radius / thickness) / 16.0
    gamma = lower_bound_factor(radius / thickness)
    own = youngs_modulus * thickness / radius * (gamma * classical_factor(poissons_ratio) + increment)
    thrust = 0.5 * pressure * radius / thickness
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("p/E (R/t)^2", pressure / youngs_modulus * (radius / thickness) ** 2),
        Quantity("phi", phi),
        Quantity("gamma", gamma),
        Quantity("sigma_thrust", thrust, "MPa"),
        Quantity("N", 2.0 * math.pi * radius * thickness * (own + thrust), "N"),
    )
    return Worked(own + thrust, steps)
