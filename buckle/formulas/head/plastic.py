"""Torispherical heads under inside pressure: plastic limit, and the knuckle's plastic buckling as tests showed it."""

from buckle.formulas.arguments import CrownRadius, HeadDiameter, KnuckleRadius, Thickness, YieldStress, YoungsModulus
from buckle.formulas.base import Interval, Quantity, Statement, Worked, formula

_LEAVES_OUT = ("hardening", "openings, welds and the flange", "the length of the cylinder behind the head")


@formula(
    Statement(
        name="head.shield_drucker_limit",
        unit="MPa",
        expression="p = sigma_y ((0.33 + 5.5 r/D) (t/L) + 28 (1 - 2.2 r/D) (t/L)^2 - 0.0006)",
        source=(
            "R. T. Shield and D. C. Drucker, Design of thin-walled torispherical and toriconical pressure-vessel heads,"
            " J. Appl. Mech. 28, 1961 (from memory); linear-programming limit analysis for this project (not"
            " reproducible from this repository) lies 2 to 13 % above it for r/D >= 0.1, up to 26 % at r/D = 0.06"
            " (Tresca), von Mises another 6 to 8 %"
        ),
        kind="lower bound",
        answers="plastic limit",
        ranges=(Interval("r/D", 0.06, 0.175), Interval("t/L", 0.002, 0.014), Interval("L/D", 0.8, 1.0)),
        ignores=(*_LEAVES_OUT, "change of shape under load, which stiffens a head under inside pressure"),
        conditions=(
            "Tresca yield, ideal plasticity; ranges from memory, r/D beyond 0.16 by the limit analysis at 0.17",
        ),
    ),
    example={
        "yield_stress": 250.0,
        "diameter": 1000.0,
        "crown_radius": 950.0,
        "knuckle_radius": 100.0,
        "thickness": 5.0,
    },
)
def shield_drucker_limit(
    *,
    yield_stress: YieldStress,
    diameter: HeadDiameter,
    crown_radius: CrownRadius,
    knuckle_radius: KnuckleRadius,
    thickness: Thickness,
) -> Worked:
    """Plastic limit pressure of a torispherical head at small displacements, by its authors' fit."""
    knuckle, thinness = knuckle_radius / diameter, thickness / crown_radius
    share = (0.33 + 5.5 * knuckle) * thinness + 28.0 * (1.0 - 2.2 * knuckle) * thinness**2 - 0.0006
    steps = (
        Quantity("r/D", knuckle),
        Quantity("t/L", thinness),
        Quantity("L/D", crown_radius / diameter),
        Quantity("p/sigma_y", share),
    )
    return Worked(yield_stress * share, steps)


def _buckling_ranges(lowest: float) -> tuple[Interval, ...]:
    """Return the shapes that the tests behind the fits had; D/t from `lowest` on."""
    return (Interval("D/t", lowest, 1500.0), Interval("r/D", 0.05, 0.18), Interval("L/D", 0.75, 1.5))


_TESTED = "limits of D/t, r/D and L/D from memory, to be confirmed"


@formula(
    Statement(
        name="head.knuckle_buckling",
        unit="MPa",
        expression="p = 120 sigma_y (r/D)^0.825 / ((D/t)^1.5 (L/D)^1.15)",
        source=(
            "G. D. Galletly, A simple design equation for preventing buckling in fabricated torispherical shells under"
            " internal pressure, J. Press. Vess. Technol. 108, 1986 (form from memory; abstract read: checked against"
            " all known tests, least factor 1.5 on the design value, which has 80 instead of 120)"
        ),
        kind="lower bound",
        answers="imperfect plastic waves",
        ranges=_buckling_ranges(300.0),
        ignores=(*_LEAVES_OUT, "Young's modulus: the knuckle buckles after it yields"),
        conditions=("carbon steel; its design value is two thirds of this", _TESTED),
    ),
    example={
        "yield_stress": 250.0,
        "diameter": 1000.0,
        "crown_radius": 950.0,
        "knuckle_radius": 100.0,
        "thickness": 1.5,
    },
)
def knuckle_buckling(
    *,
    yield_stress: YieldStress,
    diameter: HeadDiameter,
    crown_radius: CrownRadius,
    knuckle_radius: KnuckleRadius,
    thickness: Thickness,
) -> Worked:
    """Inside pressure at which waves form in the knuckle of a torispherical head, below all tests known in 1986."""
    steps = _shape(diameter, crown_radius, knuckle_radius, thickness)
    slender, knuckle, crown = (quantity.value for quantity in steps)
    pressure = 120.0 * yield_stress * knuckle**0.825 / (slender**1.5 * crown**1.15)
    return Worked(pressure, (*steps, Quantity("p_design", pressure / 1.5, "MPa")))


_GALLETLY_BLACHUT = (
    "G. D. Galletly and J. Blachut, Torispherical shells under internal pressure: failure due to asymmetric plastic"
    " buckling or axisymmetric yielding, Proc. IMechE 199 C, 1985 (from memory, constants of medium certainty)"
)


@formula(
    Statement(
        name="head.plastic_waves",
        unit="MPa",
        expression="p = 285 sigma_y (1 - 125 eps_y) (r/D)^0.84 / ((D/t)^1.53 (L/D)^1.1), eps_y = sigma_y / E",
        source=_GALLETLY_BLACHUT,
        kind="fit",
        answers="plastic waves",
        ranges=(*_buckling_ranges(500.0), Interval("eps_y", 0.0005, 0.003)),
        ignores=(*_LEAVES_OUT, "departures from the perfect shape: it fits computed perfect heads"),
        conditions=(_TESTED, "limits of eps_y are a judgement"),
    ),
    example={
        "youngs_modulus": 200e3,
        "yield_stress": 250.0,
        "diameter": 1000.0,
        "crown_radius": 950.0,
        "knuckle_radius": 100.0,
        "thickness": 1.5,
    },
)
def plastic_waves(
    *,
    youngs_modulus: YoungsModulus,
    yield_stress: YieldStress,
    diameter: HeadDiameter,
    crown_radius: CrownRadius,
    knuckle_radius: KnuckleRadius,
    thickness: Thickness,
) -> Worked:
    """Inside pressure at which a perfect ideally plastic torispherical head buckles into waves."""
    steps = _shape(diameter, crown_radius, knuckle_radius, thickness)
    slender, knuckle, crown = (quantity.value for quantity in steps)
    strain = yield_stress / youngs_modulus
    pressure = 285.0 * yield_stress * (1.0 - 125.0 * strain) * knuckle**0.84 / (slender**1.53 * crown**1.1)
    return Worked(pressure, (*steps, Quantity("eps_y", strain)))


@formula(
    Statement(
        name="head.axisymmetric_yielding",
        unit="MPa",
        expression="p = 12.6 sigma_y (1 + 240 eps_y) (r/D)^1.04 / ((D/t)^1.09 (L/D)^0.79), eps_y = sigma_y / E",
        source=_GALLETLY_BLACHUT,
        kind="fit",
        answers="plastic collapse",
        ranges=(*_buckling_ranges(200.0), Interval("eps_y", 0.0005, 0.003)),
        ignores=(*_LEAVES_OUT, "waves in the knuckle, which come first in thin heads"),
        conditions=(_TESTED, "limits of eps_y are a judgement"),
    ),
    example={
        "youngs_modulus": 200e3,
        "yield_stress": 250.0,
        "diameter": 1000.0,
        "crown_radius": 950.0,
        "knuckle_radius": 100.0,
        "thickness": 3.0,
    },
)
def axisymmetric_yielding(
    *,
    youngs_modulus: YoungsModulus,
    yield_stress: YieldStress,
    diameter: HeadDiameter,
    crown_radius: CrownRadius,
    knuckle_radius: KnuckleRadius,
    thickness: Thickness,
) -> Worked:
    """Inside pressure at which an ideally plastic torispherical head yields through all around."""
    steps = _shape(diameter, crown_radius, knuckle_radius, thickness)
    slender, knuckle, crown = (quantity.value for quantity in steps)
    strain = yield_stress / youngs_modulus
    pressure = 12.6 * yield_stress * (1.0 + 240.0 * strain) * knuckle**1.04 / (slender**1.09 * crown**0.79)
    return Worked(pressure, (*steps, Quantity("eps_y", strain)))


def _shape(diameter: float, crown: float, knuckle: float, thickness: float) -> tuple[Quantity, ...]:
    return (
        Quantity("D/t", diameter / thickness),
        Quantity("r/D", knuckle / diameter),
        Quantity("L/D", crown / diameter),
    )
