"""Cylinders that buckle beyond yield: plasticity factors of deformation theory, and the stress at which they hold.

E becomes eta E in the elastic formula; E_sec and E_tan are those of the stress at buckling, so that the factor and the
stress are found together.
"""

import math
from typing import Annotated

import scipy
from annotated_types import Gt

from buckle.formulas.arguments import CylinderLength, PoissonsRatio, Radius, Thickness, YieldStress, YoungsModulus
from buckle.formulas.base import Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.formulas.burst import Increment, Rate
from buckle.formulas.cylinder.forms import batdorf
from buckle.formulas.elastic import classical_factor
from buckle.units import PositiveStress

SecantModulus = Annotated[PositiveStress, Symbol("E_sec")]
TangentModulus = Annotated[PositiveStress, Symbol("E_tan")]
KnockDown = Annotated[float, Symbol("gamma"), Gt(0.0)]

MODERATELY_LONG = 2.85
"""Least gamma Z of an axially compressed cylinder whose ends do not matter."""
_Z = "Z = L^2 / (R t) sqrt(1 - nu^2)"
_SP = "M. W. Hilburger, Buckling of Thin-Walled Circular Cylinders, NASA/SP-8007-2020/REV 2, 2020, equation"
_IGNORES = (
    "flow theory, whose factor is higher",
    "unloading while it buckles",
    "a stress around the wall beside that along it",
)
_RANGES = (Interval("R/t", low=20.0), Interval("gamma", high=1.0), Interval("E_sec/E", high=1.0))
_MODULI = {"youngs_modulus": 69e3, "secant_modulus": 40e3, "tangent_modulus": 8e3, "poissons_ratio": 0.33}
_WALL = {"radius": 33.0, "thickness": 1.0, "length": 90.0}


def _between(gamma_z: float, low: tuple[float, float], high: tuple[float, float]) -> float:
    """Return the value at gamma Z on a line through two points (gamma Z, factor), level beyond them."""
    way = min(1.0, max(0.0, (gamma_z - low[0]) / (high[0] - low[0])))
    return low[1] + way * (high[1] - low[1])


def _ranged(moduli: tuple[float, float, float], ratio: float, gamma_z: float, factor: float) -> Worked:
    """Return the factor with what its range is judged by; `moduli` are (E, E_sec, E_tan)."""
    youngs, secant, tangent = moduli
    steps = (
        Quantity("R/t", ratio),
        Quantity("gamma Z", gamma_z),
        Quantity("E_sec/E", secant / youngs),
        Quantity("E_tan/E_sec", tangent / secant),
    )
    return Worked(factor, steps)


@formula(
    Statement(
        name="cylinder.axial_plasticity_factor",
        unit="-",
        expression=(
            f"eta = sqrt(E_sec E_tan) / E for gamma Z above {MODERATELY_LONG}, eta = E_tan / E for Z to 0, in a"
            f" straight line between; {_Z}"
        ),
        source=f"{_SP}s 4, 6, 11 and 12 (read); straight line in Z between",
        kind="theory",
        answers="parameter",
        ranges=(*_RANGES, Interval("E_tan/E_sec", high=1.0)),
        ignores=_IGNORES,
        conditions=("both moduli at the stress at which it buckles",),
    ),
    example={**_MODULI, **_WALL, "gamma": 1.0},
)
def axial_plasticity_factor(  # noqa: PLR0913
    *,
    youngs_modulus: YoungsModulus,
    secant_modulus: SecantModulus,
    tangent_modulus: TangentModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
    gamma: KnockDown = 1.0,
) -> Worked:
    """Factor on Young's modulus of a cylinder that buckles beyond yield under axial compression."""
    gamma_z = gamma * batdorf(poissons_ratio, radius, thickness, length)
    long = math.sqrt(secant_modulus * tangent_modulus) / youngs_modulus
    factor = _between(gamma_z, (0.0, tangent_modulus / youngs_modulus), (MODERATELY_LONG, long))
    return _ranged((youngs_modulus, secant_modulus, tangent_modulus), radius / thickness, gamma_z, factor)


@formula(
    Statement(
        name="cylinder.lateral_plasticity_factor",
        unit="-",
        expression=(
            "eta = (E_sec/E) (1/2 + sqrt(1/4 + 3 E_tan / (4 E_sec)) / 2) for gamma Z < 5,"
            " eta = (E_sec/E) sqrt(sqrt(E_tan/E_sec) (1/4 + 3 E_tan / (4 E_sec))) for gamma Z from 100 to"
            " 11.8 (R/t)^2 (1 - nu^2), in a straight line between, eta = (E_sec/E) (1/4 + 3 E_tan / (4 E_sec)) beyond;"
            f" {_Z}"
        ),
        source=(
            f"{_SP}s 30, 31 and 32 (read); straight line in Z between the first two, a step where the third begins;"
            " none is given for hydrostatic pressure, where the same are used"
        ),
        kind="theory",
        answers="parameter",
        ranges=(*_RANGES, Interval("E_tan/E_sec", high=1.0)),
        ignores=_IGNORES,
        conditions=("both moduli at the stress at which it buckles",),
    ),
    example={**_MODULI, **_WALL, "gamma": 1.0},
)
def lateral_plasticity_factor(  # noqa: PLR0913
    *,
    youngs_modulus: YoungsModulus,
    secant_modulus: SecantModulus,
    tangent_modulus: TangentModulus,
    poissons_ratio: PoissonsRatio,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
    gamma: KnockDown = 1.0,
) -> Worked:
    """Factor on Young's modulus of a cylinder that buckles beyond yield under outside pressure."""
    gamma_z = gamma * batdorf(poissons_ratio, radius, thickness, length)
    share = tangent_modulus / secant_modulus
    ring = 0.25 + 0.75 * share
    if gamma_z > 11.8 * (radius / thickness) ** 2 * (1.0 - poissons_ratio**2):
        factor = ring
    else:
        short, medium = 0.5 + 0.5 * math.sqrt(ring), math.sqrt(math.sqrt(share) * ring)
        factor = _between(gamma_z, (5.0, short), (100.0, medium))
    moduli = (youngs_modulus, secant_modulus, tangent_modulus)
    return _ranged(moduli, radius / thickness, gamma_z, factor * secant_modulus / youngs_modulus)


@formula(
    Statement(
        name="cylinder.plastic_axial_stress",
        unit="MPa",
        expression=(
            "sigma = eta sigma_el, sigma_el = gamma E t / (R sqrt(3 (1 - nu^2))), eta = sqrt(E_sec E_tan) / E;"
            " at that stress 1/E_sec = 1/E + eps/sigma and 1/E_tan = 1/E + 1/(Q b exp(-b eps)) with the plastic strain"
            " eps of sigma_y + Q (1 - exp(-b eps)), eta = 1 below sigma_y; gamma Z must be above"
            f" {MODERATELY_LONG}, {_Z}"
        ),
        source=f"{_SP} 11 (read); E. Voce, J. Inst. Metals 74, 1948, for the law (from memory); solved for sigma here",
        kind="theory",
        answers="plastic waves",
        ranges=(
            Interval("R/t", low=20.0),
            Interval("gamma", high=1.0),
            Interval("gamma Z", low=MODERATELY_LONG),
        ),
        ignores=_IGNORES,
        conditions=(
            "where the elastic stress lies between yield and what hardening needs it is the yield stress: a law with a"
            " corner loses its stiffness there at once",
            "gamma = 1 is the perfect wall, by deformation theory",
        ),
    ),
    example={
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "yield_stress": 262.0,
        "increment": 34.0,
        "rate": 300.0,
        "gamma": 1.0,
        **_WALL,
    },
)
def plastic_axial_stress(  # noqa: PLR0913
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    yield_stress: YieldStress,
    increment: Increment,
    rate: Rate,
    radius: Radius,
    thickness: Thickness,
    length: CylinderLength,
    gamma: KnockDown = 1.0,
) -> Worked:
    """Axial buckling stress of a cylinder whose metal saturates exponentially, by deformation theory."""
    elastic = gamma * youngs_modulus * thickness / radius * classical_factor(poissons_ratio)
    strain = _strain(elastic, youngs_modulus, (yield_stress, increment, rate))
    stress = min(elastic, yield_stress) if strain == 0.0 else _voce((yield_stress, increment, rate), strain)
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("gamma Z", gamma * batdorf(poissons_ratio, radius, thickness, length)),
        Quantity("sigma_el", elastic, "MPa"),
        Quantity("eps", strain),
        Quantity("eta", stress / elastic),
    )
    return Worked(stress, steps)


def _voce(law: tuple[float, float, float], strain: float) -> float:
    """Return sigma_y + Q (1 - exp(-b eps)) [MPa]; `law` is (sigma_y, Q, b)."""
    yield_stress, increment, rate = law
    return yield_stress - increment * math.expm1(-rate * strain)


def _strain(elastic: float, youngs_modulus: float, law: tuple[float, float, float]) -> float:
    """Return the plastic strain at which the reduced modulus carries no more than the metal's stress; 0 at yield."""

    def excess(strain: float) -> float:
        stress, slope = _voce(law, strain), law[1] * law[2] * math.exp(-law[2] * strain)
        secant = 1.0 / (1.0 / youngs_modulus + strain / stress)
        tangent = slope * youngs_modulus / (slope + youngs_modulus)
        return elastic * math.sqrt(secant * tangent) / youngs_modulus - stress

    if elastic <= law[0] or excess(0.0) <= 0.0:
        return 0.0
    high = 1.0 / law[2]
    while excess(high) > 0.0:
        high *= 2.0
    return float(scipy.optimize.brentq(excess, 0.0, high, xtol=1e-16, rtol=1e-13))
