"""Axial force of a cylinder, closed by its ends and with or without inside pressure: what relieves and what limits it.

An outer force F, positive in compression, acts at the ends; the pressure's thrust p pi R^2 acts against it.
"""

import math
from typing import Annotated

from annotated_types import Ge, Gt

from buckle.formulas.arguments import (
    AxialForce,
    InsidePressure,
    PoissonsRatio,
    Radius,
    Thickness,
    YieldStress,
    YoungsModulus,
)
from buckle.formulas.base import Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.formulas.cylinder.buckling import lower_bound_factor
from buckle.formulas.elastic import classical_factor
from buckle.units import Force, NonNegativeLength, Pressure

Amplitude = Annotated[NonNegativeLength, Symbol("w")]
ForceCapacity = Annotated[Force, Symbol("F_c"), Gt(0.0)]
PressureCapacity = Annotated[Pressure, Symbol("p_c"), Gt(0.0)]
OutsidePressure = Annotated[Pressure, Symbol("p"), Ge(0.0)]

_THIN = Interval("R/t", low=10.0)
_CLOSED = "closed ends: the pressure's thrust p pi R^2 acts against the force"
_OPEN = "open ends: p is 0 here, since an inside pressure without thrust leaves buckling in rings as it is"
_BENDING = "bending near the ends"
_ELSEWHERE = "crushing of a neck, of a seam or of the stand, which may come first"
_SP = "M. W. Hilburger, Buckling of Thin-Walled Circular Cylinders, NASA/SP-8007-2020/REV 2, 2020"


def _area(radius: float, thickness: float) -> float:
    return 2.0 * math.pi * radius * thickness


# What the wall sees ---------------------------------------------------------------------------------------------------


@formula(
    Statement(
        name="cylinder.wall_axial_stress",
        unit="MPa",
        expression="sigma = p R / (2 t) - F / (2 pi R t)",
        source="equilibrium of the closed end; elementary",
        kind="theory",
        answers="stress",
        ranges=(_THIN,),
        ignores=(_BENDING, "change of radius under load"),
        conditions=(_CLOSED, "positive in tension"),
    ),
    example={"pressure": 0.62, "axial_force": 785.0, "radius": 33.0, "thickness": 0.105},
)
def wall_axial_stress(
    *, pressure: InsidePressure, axial_force: AxialForce, radius: Radius, thickness: Thickness
) -> Worked:
    """Axial membrane stress of a closed cylinder under inside pressure and an axial compressive force."""
    stress = 0.5 * pressure * radius / thickness - axial_force / _area(radius, thickness)
    return Worked(stress, (Quantity("R/t", radius / thickness),))


@formula(
    Statement(
        name="cylinder.wall_equivalent_stress",
        unit="MPa",
        expression=(
            "sigma = sqrt(sigma_x^2 - sigma_x sigma_t + sigma_t^2), sigma_t = p R / t,"
            " sigma_x = p R / (2 t) - F / (2 pi R t)"
        ),
        source="R. von Mises, 1913, plane stress (from memory), of the two membrane stresses; elementary",
        kind="theory",
        answers="stress",
        ranges=(_THIN,),
        ignores=(_BENDING, "stress through the wall", "change of radius under load"),
        conditions=(_CLOSED,),
    ),
    example={"pressure": 0.62, "axial_force": 785.0, "radius": 33.0, "thickness": 0.105},
)
def wall_equivalent_stress(
    *, pressure: InsidePressure, axial_force: AxialForce, radius: Radius, thickness: Thickness
) -> Worked:
    """Equivalent membrane stress of a closed cylinder under inside pressure and an axial compressive force."""
    around = pressure * radius / thickness
    along = 0.5 * around - axial_force / _area(radius, thickness)
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("sigma_t", around, "MPa"),
        Quantity("sigma_x", along, "MPa"),
    )
    return Worked(math.sqrt(along**2 - along * around + around**2), steps)


@formula(
    Statement(
        name="cylinder.relieving_pressure",
        unit="MPa",
        expression="p = F / (pi R^2)",
        source="equilibrium of the closed end: the thrust p pi R^2 equals the force; elementary",
        kind="theory",
        answers="parameter",
        ranges=(),
        ignores=("that the wall may yield around itself at this pressure", _ELSEWHERE),
        conditions=(
            "closed ends: from this inside pressure on the wall itself is not compressed by the force, and dents in it"
            " can no longer make it buckle along the axis",
        ),
    ),
    example={"axial_force": 785.0, "radius": 33.0},
)
def relieving_pressure(*, axial_force: AxialForce, radius: Radius) -> Worked:
    """Inside pressure at which the axial compression of a closed cylinder's wall vanishes."""
    return Worked(axial_force / (math.pi * radius**2))


# What it stands -------------------------------------------------------------------------------------------------------


@formula(
    Statement(
        name="cylinder.axial_force",
        unit="N",
        expression="F = 2 pi E t^2 / sqrt(3 (1 - nu^2)) + p pi R^2",
        source="R. Lorenz, 1908, and S. P. Timoshenko, 1910 (from memory); the thrust by equilibrium of the closed end",
        kind="theory",
        answers="linear bifurcation",
        ranges=(Interval("R/t", low=50.0),),
        ignores=(
            "yielding",
            "departures from the perfect shape: real walls buckle at a fifth to a half of it",
            "length: short walls and very long ones",
            _BENDING,
            "full shell theory: 3 % lower at R/t = 100, L/R = 1, where Donnell's equations give this value",
            _ELSEWHERE,
        ),
        conditions=("ends held round and radially", _CLOSED, _OPEN),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105},
)
def axial_force(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    pressure: InsidePressure = 0.0,
) -> Worked:
    """Classical axial buckling force of a perfect cylinder, with the thrust of an inside pressure."""
    force = 2.0 * math.pi * youngs_modulus * thickness**2 * classical_factor(poissons_ratio)
    return Worked(force + pressure * math.pi * radius**2, (Quantity("R/t", radius / thickness),))


@formula(
    Statement(
        name="cylinder.axial_force_lower_bound",
        unit="N",
        expression=(
            "F = 2 pi E t^2 gamma / sqrt(3 (1 - nu^2)) + p pi R^2, gamma = 1 - 0.901 (1 - exp(-sqrt(R/t) / 16))"
        ),
        source=(
            f"{_SP}, equations 9, 10, 48 and 49 (read), with no increment for what pressure does to dents (a chart that"
            " is not at hand): on the low side under pressure"
        ),
        kind="lower bound",
        answers="imperfect elastic buckling",
        ranges=(Interval("R/t", 50.0, 1500.0),),
        ignores=("yielding", "the size of the actual imperfections", _ELSEWHERE),
        conditions=(
            _CLOSED,
            _OPEN,
            "some 200 tests of 1928 to 1960 with R/t 80 to 4150 and L/R 0.5 to 5 are behind it; a wall that was dented"
            " afterwards may carry less",
        ),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105},
)
def axial_force_lower_bound(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    pressure: InsidePressure = 0.0,
) -> Worked:
    """Lower bound to the axial buckling force of a cylinder, with the thrust of an inside pressure."""
    gamma = lower_bound_factor(radius / thickness)
    force = 2.0 * math.pi * youngs_modulus * thickness**2 * gamma * classical_factor(poissons_ratio)
    steps = (Quantity("R/t", radius / thickness), Quantity("gamma", gamma))
    return Worked(force + pressure * math.pi * radius**2, steps)


@formula(
    Statement(
        name="cylinder.axial_squash_force",
        unit="N",
        expression="F = 2 pi R t sqrt(sigma_y^2 - 3 sigma_t^2 / 4), sigma_t = p R / t",
        source=(
            "equilibrium and the von Mises yield condition sigma_x^2 - sigma_x sigma_t + sigma_t^2 = sigma_y^2, its"
            " root in compression: the thrust p pi R^2 takes off sigma_t / 2; derived here"
        ),
        kind="theory",
        answers="plastic limit",
        ranges=(_THIN,),
        ignores=("hardening", "buckling", _BENDING, _ELSEWHERE),
        conditions=(_CLOSED,),
    ),
    example={"yield_stress": 280.0, "radius": 33.0, "thickness": 0.105},
)
def axial_squash_force(
    *, yield_stress: YieldStress, radius: Radius, thickness: Thickness, pressure: InsidePressure = 0.0
) -> Worked:
    """Axial force at which a closed cylinder's wall yields in compression, less for an inside pressure."""
    around = pressure * radius / thickness
    steps = (Quantity("R/t", radius / thickness), Quantity("sigma_t", around, "MPa"))
    left = yield_stress**2 - 0.75 * around**2
    if left <= 0.0:
        return Worked(None, steps, "the pressure alone makes the wall yield: 3 sigma_t^2 / 4 is not below sigma_y^2")
    return Worked(_area(radius, thickness) * math.sqrt(left), steps)


@formula(
    Statement(
        name="cylinder.axial_squash_force_open",
        unit="N",
        expression="F = 2 pi R t (sqrt(sigma_y^2 - 3 sigma_t^2 / 4) - sigma_t / 2), sigma_t = p R / t",
        source=(
            "equilibrium and the von Mises yield condition sigma_x^2 - sigma_x sigma_t + sigma_t^2 = sigma_y^2, its"
            " root in compression, without thrust; derived here"
        ),
        kind="theory",
        answers="plastic limit",
        ranges=(_THIN,),
        ignores=("hardening", "buckling", _BENDING, _ELSEWHERE),
        conditions=("open ends: the pressure pulls around only, as between a piston and a sleeve",),
    ),
    example={"yield_stress": 280.0, "radius": 33.0, "thickness": 0.105},
)
def axial_squash_force_open(
    *, yield_stress: YieldStress, radius: Radius, thickness: Thickness, pressure: InsidePressure = 0.0
) -> Worked:
    """Axial force at which the wall of a cylinder with open ends yields in compression under an inside pressure."""
    around = pressure * radius / thickness
    steps = (Quantity("R/t", radius / thickness), Quantity("sigma_t", around, "MPa"))
    if around >= yield_stress:
        return Worked(None, steps, "the pressure alone makes the wall yield: sigma_t is not below sigma_y")
    left = math.sqrt(yield_stress**2 - 0.75 * around**2) - 0.5 * around
    return Worked(_area(radius, thickness) * left, steps)


@formula(
    Statement(
        name="cylinder.axial_force_with_outside_pressure",
        unit="N",
        expression="F = F_c (1 - p / p_c)",
        source=f"{_SP}, equation 44 (read): R_c + R_p = 1, each a load over what the cylinder stands of it alone",
        kind="lower bound",
        answers="imperfect elastic buckling",
        ranges=(Interval("p/p_c", high=1.0),),
        ignores=("yielding", _ELSEWHERE),
        conditions=("both capacities are lower bounds of the same wall, each with its own factor",),
    ),
    example={"force_capacity": 1160.0, "pressure_capacity": 0.009, "outside_pressure": 0.004},
)
def axial_force_with_outside_pressure(
    *, force_capacity: ForceCapacity, pressure_capacity: PressureCapacity, outside_pressure: OutsidePressure
) -> Worked:
    """Axial force that a cylinder stands beside an outside pressure or vacuum."""
    share = outside_pressure / pressure_capacity
    return Worked(force_capacity * (1.0 - share), (Quantity("p/p_c", share),))


@formula(
    Statement(
        name="cylinder.axial_knock_down_of_ripples",
        unit="-",
        expression="gamma = 1 + a e - sqrt(a e (2 + a e)), a = (3/4) sqrt(3 (1 - nu^2)), e = w / t",
        source=(
            f"{_SP}, equation 138 (read), of W. T. Koiter, 1963; the line that defines a is missing in the copy, this a"
            " is from memory of Koiter's law (1 - gamma)^2 = (3/2) sqrt(3 (1 - nu^2)) e gamma"
        ),
        kind="theory",
        answers="parameter",
        ranges=(Interval("e", high=1.5),),
        ignores=("yielding", "local dents: these ripples run all around and all along the wall, the worst of shapes"),
        conditions=(
            "axisymmetric ripples in the classical mode; the limit of e is a choice, the theory is of small e",
        ),
    ),
    example={"poissons_ratio": 0.33, "amplitude": 0.04, "thickness": 0.105},
)
def axial_knock_down_of_ripples(*, poissons_ratio: PoissonsRatio, amplitude: Amplitude, thickness: Thickness) -> Worked:
    """Share of the classical axial buckling load that axisymmetric ripples of an amplitude leave."""
    a, e = 0.75 / classical_factor(poissons_ratio), amplitude / thickness
    return Worked(1.0 + a * e - math.sqrt(a * e * (2.0 + a * e)), (Quantity("a", a), Quantity("e", e)))
