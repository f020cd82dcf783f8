"""Burst of a thin sphere that hardens while it grows: the greatest pressure it can hold, in closed form.

A thin rigid-plastic sphere of first radius R and thickness t has at radius r the logarithmic strains ln(r/R) twice in
its surface and, its volume being constant, -2 ln(r/R) through the wall; so eps = 2 ln(r/R) is the equivalent strain and
t (R/r)^2 the thickness. Equilibrium p = 2 sigma t(r) / r then reads

    p(eps) = 2 sigma(eps) (t/R) exp(-3 eps / 2),

whose greatest value lies where d sigma / d eps = (3/2) sigma, or at first yield if hardening starts below that.
"""

import math
from typing import Annotated

from annotated_types import Ge, Gt

from buckle.formulas.arguments import Radius, Thickness, YieldStress
from buckle.formulas.base import Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.units import PositiveStress

Increment = Annotated[PositiveStress, Symbol("Q")]
Rate = Annotated[float, Symbol("b"), Gt(0.0)]
Offset = Annotated[float, Symbol("eps_0"), Gt(0.0)]
Exponent = Annotated[float, Symbol("m"), Ge(0.0)]

_LOAD = "p = 2 sigma(eps) (t/R) exp(-3 eps / 2)"
_RANGES = (Interval("R/t", low=10.0), Interval("eps", high=1.0))
_LEAVES_OUT = (
    "elastic strain",
    "thickness against radius: pressure and radius are those of the mid-surface",
    "local necking and any weak spot",
    "edges, openings and seams",
)


@formula(
    Statement(
        name="sphere.burst_swift",
        unit="MPa",
        expression=f"{_LOAD} at eps = max(0, 2 m / 3 - eps_0); sigma = sigma_y (1 + eps / eps_0)^m",
        source="H. W. Swift, J. Mech. Phys. Solids 1, 1952, for law and instability (from memory); derived here",
        kind="theory",
        ranges=_RANGES,
        ignores=_LEAVES_OUT,
    )
)
def burst_swift(
    *, yield_stress: YieldStress, offset: Offset, exponent: Exponent, radius: Radius, thickness: Thickness
) -> Worked:
    """Greatest internal pressure of a thin sphere whose flow stress follows a power law."""
    strain = max(0.0, exponent / 1.5 - offset)
    return _burst(strain, yield_stress * (1.0 + strain / offset) ** exponent, radius, thickness)


@formula(
    Statement(
        name="sphere.burst_voce",
        unit="MPa",
        expression=(
            f"{_LOAD} at exp(-b eps) = min(1, 3 (sigma_y + Q) / (Q (2 b + 3))); sigma = sigma_y + Q (1 - exp(-b eps))"
        ),
        source="E. Voce, J. Inst. Metals 74, 1948, for the law (from memory); derived here",
        kind="theory",
        ranges=_RANGES,
        ignores=_LEAVES_OUT,
    )
)
def burst_voce(
    *, yield_stress: YieldStress, increment: Increment, rate: Rate, radius: Radius, thickness: Thickness
) -> Worked:
    """Greatest internal pressure of a thin sphere whose flow stress saturates exponentially."""
    remaining = min(1.0, 3.0 * (yield_stress + increment) / (increment * (2.0 * rate + 3.0)))
    stress = yield_stress + increment * (1.0 - remaining)
    return _burst(-math.log(remaining) / rate, stress, radius, thickness)


def _burst(strain: float, stress: float, radius: float, thickness: float) -> Worked:
    """Return the pressure at the equivalent strain and flow stress of the maximum [MPa]."""
    pressure = 2.0 * stress * thickness / radius * math.exp(-1.5 * strain)
    steps = (
        Quantity("R/t", radius / thickness),
        Quantity("eps", strain),
        Quantity("sigma", stress, "MPa"),
        Quantity("r/R", math.exp(0.5 * strain)),
    )
    return Worked(pressure, steps)
