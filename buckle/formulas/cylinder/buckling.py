"""Thin cylinder: membrane stresses, buckling under axial load and under external pressure."""

import math

import numpy as np

from buckle.formulas.arguments import (
    AppliedPressure,
    CylinderLength,
    PoissonsRatio,
    Radius,
    Thickness,
    WaveNumber,
    YoungsModulus,
)
from buckle.formulas.base import Interval, Quantity, Statement, Worked, formula
from buckle.formulas.elastic import bending_stiffness, classical_factor

_THIN = Interval("R/t", low=20.0)
_SHORT_TO_LONG = (Interval("L/R", low=0.5), Interval("R/t", 50.0, 3000.0))
_LEAVES_OUT = ("yielding", "departures from the perfect shape")
_HELD_ROUND = "ends held round, free to rotate and to warp"
_VON_MISES = (
    "R. von Mises, 1914 and 1929, in the form of D. F. Windenburg and C. Trilling, Trans. ASME 56, 1934"
    " (from memory); within 0.3 % of Sanders-Koiter solutions computed for this project"
)


@formula(
    Statement(
        name="cylinder.circumferential_stress",
        unit="MPa",
        expression="sigma = p R / t",
        source="equilibrium of half a ring; elementary",
        kind="theory",
        answers="stress",
        ranges=(Interval("R/t", low=10.0),),
        ignores=("bending near the ends", "change of radius under load"),
    ),
    example={"pressure": 0.62, "radius": 33.0, "thickness": 0.105},
)
def circumferential_stress(*, pressure: AppliedPressure, radius: Radius, thickness: Thickness) -> Worked:
    """Circumferential membrane stress of a cylinder under pressure."""
    return Worked(pressure * radius / thickness, (Quantity("R/t", radius / thickness),))


@formula(
    Statement(
        name="cylinder.meridional_stress",
        unit="MPa",
        expression="sigma = p R / (2 t)",
        source="equilibrium of the closed end; elementary",
        kind="theory",
        answers="stress",
        ranges=(Interval("R/t", low=10.0),),
        ignores=("bending near the ends", "any axial force besides the closed end's"),
    ),
    example={"pressure": 0.62, "radius": 33.0, "thickness": 0.105},
)
def meridional_stress(*, pressure: AppliedPressure, radius: Radius, thickness: Thickness) -> Worked:
    """Meridional membrane stress of a closed cylinder under pressure."""
    return Worked(0.5 * pressure * radius / thickness, (Quantity("R/t", radius / thickness),))


@formula(
    Statement(
        name="cylinder.axial_stress",
        unit="MPa",
        expression="sigma = E t / (R sqrt(3 (1 - nu^2)))",
        source=(
            "R. Lorenz, 1908, and S. P. Timoshenko, 1910 (from memory); range of omega = L / sqrt(R t) for which the"
            " ends do not matter from EN 1993-1-6:2007, annex D, medium-length cylinders (read in a public copy)"
        ),
        kind="theory",
        answers="linear bifurcation",
        ranges=(Interval("R/t", low=50.0), Interval("omega", low=1.7), Interval("omega t/R", high=0.5)),
        ignores=(
            *_LEAVES_OUT,
            "bending near the ends before buckling",
            "full shell theory: 3 % lower at R/t = 100, L/R = 1, where Donnell's equations give this value",
            "pressure",
        ),
        conditions=("ends held round and radially",),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def axial_stress(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
) -> Worked:
    """Classical axial buckling stress of a perfect cylinder of medium length."""
    omega = length / math.sqrt(radius * thickness)
    stress = youngs_modulus * thickness / radius * classical_factor(poissons_ratio)
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("omega", omega),
        Quantity("omega t/R", omega * thickness / radius),
        Quantity("N", 2.0 * math.pi * radius * thickness * stress, "N"),
    )
    return Worked(stress, steps)


def lower_bound_factor(ratio: float) -> float:
    """Return gamma of axial compression; `ratio` is R/t. Source: NASA/SP-8007-2020/REV 2, equations 9 and 10 (read)."""
    return 1.0 - 0.901 * (1.0 - math.exp(-math.sqrt(ratio) / 16.0))


@formula(
    Statement(
        name="cylinder.axial_knock_down",
        unit="-",
        expression="gamma = 1 - 0.901 (1 - exp(-sqrt(R/t) / 16))",
        source=(
            "M. W. Hilburger, Buckling of Thin-Walled Circular Cylinders, NASA/SP-8007-2020/REV 2, 2020, equations 9"
            " and 10 (read), unchanged since V. I. Weingarten, P. Seide and J. P. Peterson, NASA SP-8007, 1968"
        ),
        kind="lower bound",
        answers="parameter",
        ranges=(Interval("R/t", 50.0, 1500.0),),
        ignores=("yielding", "the size of the actual imperfections", "relief by internal pressure"),
        conditions=(
            "unstiffened isotropic cylinder; lower end of R/t is a choice, the source gives only the upper; some 200"
            " tests of 1928 to 1960 with R/t 80 to 4150 and L/R 0.5 to 5 are behind it, caution beyond L/R = 5",
        ),
    ),
    example={"radius": 33.0, "thickness": 0.105},
)
def axial_knock_down(*, radius: Radius, thickness: Thickness) -> Worked:
    """Lower-bound factor on the classical axial buckling stress."""
    return Worked(lower_bound_factor(radius / thickness), (Quantity("R/t", radius / thickness),))


@formula(
    Statement(
        name="cylinder.hydrostatic_pressure",
        unit="MPa",
        expression=(
            "p = min over whole n >= 2 of (E t/R) / (n^2 - 1 + a1^2/2)"
            " {1 / (n^2/a1^2 + 1)^2 + t^2 (n^2 - 1 + a1^2)^2 / (12 R^2 (1 - nu^2))}, a1 = pi R / L"
        ),
        source=_VON_MISES,
        kind="theory",
        answers="linear bifurcation",
        ranges=_SHORT_TO_LONG,
        ignores=_LEAVES_OUT,
        edge="diaphragm",
        conditions=(_HELD_ROUND, "pressure on the side and on closed ends"),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def hydrostatic_pressure(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
) -> Worked:
    """Elastic buckling pressure of a closed cylinder under external pressure, with its wave number n."""
    waves, load = _fewest(poissons_ratio, thickness / radius, math.pi * radius / length, axial_share=0.5)
    return Worked(youngs_modulus * load, _pressure_steps(radius, thickness, length, waves))


@formula(
    Statement(
        name="cylinder.lateral_pressure",
        unit="MPa",
        expression=(
            "p = min over whole n >= 2 of (E t/R) / (n^2 - 1)"
            " {1 / (n^2/a1^2 + 1)^2 + t^2 (n^2 - 1 + a1^2)^2 / (12 R^2 (1 - nu^2))}, a1 = pi R / L"
        ),
        source=_VON_MISES + "; the axial term of the hydrostatic form left out",
        kind="theory",
        answers="linear bifurcation",
        ranges=_SHORT_TO_LONG,
        ignores=_LEAVES_OUT,
        edge="diaphragm",
        conditions=(_HELD_ROUND, "pressure on the side only"),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def lateral_pressure(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
) -> Worked:
    """Elastic buckling pressure of an open cylinder under external pressure on its side, with its wave number n."""
    waves, load = _fewest(poissons_ratio, thickness / radius, math.pi * radius / length, axial_share=0.0)
    return Worked(youngs_modulus * load, _pressure_steps(radius, thickness, length, waves))


def _fewest(nu: float, ratio: float, a1: float, axial_share: float) -> tuple[int, float]:
    """Return the wave number of the least p/E, and that value; `ratio` is t/R, `axial_share` N_x / (p R)."""
    # Beyond n = 5 (R/t)^(1/2) bending alone exceeds any minimum for cylinders longer than half a radius.
    waves = np.arange(2, 10 + int(5.0 / math.sqrt(ratio)))
    squared = waves**2.0
    stretching = 1.0 / (squared / a1**2 + 1.0) ** 2
    bending = ratio**2 / (12.0 * (1.0 - nu**2)) * (squared - 1.0 + a1**2) ** 2
    loads = ratio * (stretching + bending) / (squared - 1.0 + axial_share * a1**2)
    best = int(np.argmin(loads))
    return int(waves[best]), float(loads[best])


def _pressure_steps(radius: float, thickness: float, length: float, waves: int) -> tuple[Quantity, ...]:
    return (Quantity("R/t", radius / thickness), Quantity("L/R", length / radius), Quantity("n", waves))


@formula(
    Statement(
        name="cylinder.short_form_pressure",
        unit="MPa",
        expression="p = 2.42 E / (1 - nu^2)^(3/4) (t/D)^(5/2) / (L/D - 0.45 sqrt(t/D)), D = 2 R",
        source="D. F. Windenburg and C. Trilling, Trans. ASME 56, 1934 (from memory)",
        kind="fit",
        answers="linear bifurcation",
        ranges=(Interval("L/R", 0.5, 4.0), Interval("R/t", 50.0, 400.0)),
        ignores=(*_LEAVES_OUT, "the step from one whole number of waves to the next"),
        edge="diaphragm",
        conditions=(_HELD_ROUND, "pressure on the side and on closed ends"),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
)
def short_form_pressure(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
) -> Worked:
    """Elastic buckling pressure of a closed cylinder under external pressure without a search for the wave number."""
    slender = thickness / (2.0 * radius)
    gap = length / (2.0 * radius) - 0.45 * math.sqrt(slender)
    steps = (Quantity("R/t", radius / thickness), Quantity("L/R", length / radius))
    if gap <= 0.0:
        return Worked(None, steps, "the cylinder is too short for the form: L/D - 0.45 sqrt(t/D) is not positive")
    return Worked(2.42 * youngs_modulus / (1.0 - poissons_ratio**2) ** 0.75 * slender**2.5 / gap, steps)


@formula(
    Statement(
        name="cylinder.long_tube_pressure",
        unit="MPa",
        expression="p = (n^2 - 1) D / R^3, D = E t^3 / (12 (1 - nu^2))",
        source="M. Levy, 1884, and G. H. Bryan, 1888, for the ring and the infinite tube in plane strain (from memory)",
        kind="theory",
        answers="linear bifurcation",
        ranges=(_THIN,),
        ignores=(*_LEAVES_OUT, "ends"),
        conditions=("infinitely long; the pressure stays normal to the wall",),
    ),
    example={"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.27},
)
def long_tube_pressure(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    wave_number: WaveNumber = 2.0,
) -> Worked:
    """Elastic buckling pressure of an infinitely long tube under external pressure in n waves."""
    stiffness = bending_stiffness(youngs_modulus, poissons_ratio, thickness)
    steps = (Quantity("R/t", radius / thickness), Quantity("D", stiffness, "N mm"))
    return Worked((wave_number**2 - 1.0) * stiffness / radius**3, steps)
