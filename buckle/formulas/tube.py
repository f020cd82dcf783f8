"""Long tube under internal pressure: plastic limit of the ideally plastic wall."""

import math

from buckle.formulas.arguments import Radius, Thickness, YieldStress
from buckle.formulas.base import Interval, Quantity, Statement, Worked, formula

_RANGES = (Interval("R/t", low=10.0),)
_LEAVES_OUT = ("hardening", "change of radius and thickness", "ends", "buckling under external pressure")


@formula(
    Statement(
        name="tube.open_limit",
        unit="MPa",
        expression="p = sigma_y t / R",
        source="equilibrium of half a ring at uniaxial yield; derived here",
        kind="theory",
        answers="plastic limit",
        ranges=_RANGES,
        ignores=_LEAVES_OUT,
        conditions=("no axial force and free to shorten",),
    ),
    example={"yield_stress": 258.0, "radius": 45.7, "thickness": 0.27},
)
def open_limit(*, yield_stress: YieldStress, radius: Radius, thickness: Thickness) -> Worked:
    """Plastic limit pressure of an open tube."""
    return Worked(yield_stress * thickness / radius, (Quantity("R/t", radius / thickness),))


@formula(
    Statement(
        name="tube.closed_limit",
        unit="MPa",
        expression="p = (2 / sqrt(3)) sigma_y t / R",
        source="equilibrium with sigma_phi = sigma_theta / 2 and the von Mises yield condition; derived here",
        kind="theory",
        answers="plastic limit",
        ranges=_RANGES,
        ignores=_LEAVES_OUT,
        conditions=("the wall carries the thrust of the closed ends",),
    ),
    example={"yield_stress": 258.0, "radius": 45.7, "thickness": 0.27},
)
def closed_limit(*, yield_stress: YieldStress, radius: Radius, thickness: Thickness) -> Worked:
    """Plastic limit pressure of a closed tube."""
    return Worked(2.0 / math.sqrt(3.0) * yield_stress * thickness / radius, (Quantity("R/t", radius / thickness),))
