"""Burst of a thin sphere or closed cylinder that hardens while it grows: its greatest pressure, in closed form.

A thin rigid-plastic sphere of first radius R and thickness t has at radius r the logarithmic strains ln(r/R) twice in
its surface and, its volume being constant, -2 ln(r/R) through the wall; so eps = 2 ln(r/R) is the equivalent strain and
t (R/r)^2 the thickness. Equilibrium p = 2 sigma t(r) / r then reads

    p(eps) = 2 sigma(eps) (t/R) exp(-3 eps / 2),

whose greatest value lies where d sigma / d eps = (3/2) sigma, or at first yield if hardening starts below that.

A closed cylinder has sigma_z = sigma_theta / 2, so no axial deviator and no axial strain: eps = (2/sqrt(3)) ln(r/R),
sigma_theta = (2/sqrt(3)) sigma, thickness t R/r, and p = sigma_theta t(r) / r reads

    p(eps) = (2/sqrt(3)) sigma(eps) (t/R) exp(-sqrt(3) eps),   greatest where d sigma / d eps = sqrt(3) sigma.
"""

import math
from dataclasses import dataclass
from typing import Annotated

from annotated_types import Ge, Gt

from buckle.formulas.arguments import Radius, Thickness, YieldStress
from buckle.formulas.base import Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.units import PositiveStress

Increment = Annotated[PositiveStress, Symbol("Q")]
Rate = Annotated[float, Symbol("b"), Gt(0.0)]
Offset = Annotated[float, Symbol("eps_0"), Gt(0.0)]
Exponent = Annotated[float, Symbol("m"), Ge(0.0)]


@dataclass(frozen=True)
class Body:
    """A growing body: p = share sigma t/R exp(-thinning eps), and r = R exp(growth eps)."""

    load: str
    share: float
    thinning: float
    growth: float

    def burst(self, strain: float, stress: float, radius: float, thickness: float) -> Worked:
        """Return the pressure at the equivalent strain and flow stress of the maximum [MPa]."""
        pressure = self.share * stress * thickness / radius * math.exp(-self.thinning * strain)
        steps = (
            Quantity("R/t", radius / thickness),
            Quantity("eps", strain),
            Quantity("sigma", stress, "MPa"),
            Quantity("r/R", math.exp(self.growth * strain)),
        )
        return Worked(pressure, steps)

    def swift(self, law: tuple[float, float, float], radius: float, thickness: float) -> Worked:
        """Return the greatest pressure for sigma_y (1 + eps / eps_0)^m; `law` is (sigma_y, eps_0, m)."""
        yield_stress, offset, exponent = law
        strain = max(0.0, exponent / self.thinning - offset)
        return self.burst(strain, yield_stress * (1.0 + strain / offset) ** exponent, radius, thickness)

    def voce(self, law: tuple[float, float, float], radius: float, thickness: float) -> Worked:
        """Return the greatest pressure for sigma_y + Q (1 - exp(-b eps)); `law` is (sigma_y, Q, b)."""
        yield_stress, increment, rate = law
        balance = self.thinning * (yield_stress + increment) / (increment * (rate + self.thinning))
        remaining = min(1.0, balance)
        stress = yield_stress + increment * (1.0 - remaining)
        return self.burst(-math.log(remaining) / rate, stress, radius, thickness)


SPHERE = Body("p = 2 sigma(eps) (t/R) exp(-3 eps / 2)", 2.0, 1.5, 0.5)
CYLINDER = Body(
    "p = (2 / sqrt(3)) sigma(eps) (t/R) exp(-sqrt(3) eps)", 2.0 / math.sqrt(3.0), math.sqrt(3.0), 0.5 * math.sqrt(3.0)
)
_RANGES = (Interval("R/t", low=10.0), Interval("eps", high=1.0))
_LEAVES_OUT = (
    "elastic strain",
    "thickness against radius: pressure and radius are those of the mid-surface",
    "local necking and any weak spot",
    "edges, openings and seams",
)


_SWIFT = "H. W. Swift, J. Mech. Phys. Solids 1, 1952, for law and instability (from memory); derived here"
_CLOSED = "the wall carries the thrust of the closed ends"
_VOCE = "E. Voce, J. Inst. Metals 74, 1948, for the law (from memory); derived here"


def _statement(name: str, expression: str, source: str, *conditions: str) -> Statement:
    return Statement(
        name=name,
        unit="MPa",
        expression=expression,
        source=source,
        kind="theory",
        answers="burst",
        ranges=_RANGES,
        ignores=_LEAVES_OUT,
        conditions=conditions,
    )


@formula(
    _statement(
        "sphere.burst_swift",
        f"{SPHERE.load} at eps = max(0, 2 m / 3 - eps_0); sigma = sigma_y (1 + eps / eps_0)^m",
        _SWIFT,
    ),
    example={"yield_stress": 258.0, "offset": 0.01, "exponent": 0.2, "radius": 45.7, "thickness": 0.27},
)
def burst_swift(
    *, yield_stress: YieldStress, offset: Offset, exponent: Exponent, radius: Radius, thickness: Thickness
) -> Worked:
    """Greatest internal pressure of a thin sphere whose flow stress follows a power law."""
    return SPHERE.swift((yield_stress, offset, exponent), radius, thickness)


@formula(
    _statement(
        "sphere.burst_voce",
        f"{SPHERE.load} at exp(-b eps) = min(1, 3 (sigma_y + Q) / (Q (2 b + 3)));"
        " sigma = sigma_y + Q (1 - exp(-b eps))",
        _VOCE,
    ),
    example={"yield_stress": 258.0, "increment": 37.0, "rate": 40.0, "radius": 45.7, "thickness": 0.27},
)
def burst_voce(
    *, yield_stress: YieldStress, increment: Increment, rate: Rate, radius: Radius, thickness: Thickness
) -> Worked:
    """Greatest internal pressure of a thin sphere whose flow stress saturates exponentially."""
    return SPHERE.voce((yield_stress, increment, rate), radius, thickness)


@formula(
    _statement(
        "cylinder.burst_swift",
        f"{CYLINDER.load} at eps = max(0, m / sqrt(3) - eps_0); sigma = sigma_y (1 + eps / eps_0)^m",
        _SWIFT,
        _CLOSED,
    ),
    example={"yield_stress": 258.0, "offset": 0.01, "exponent": 0.2, "radius": 33.0, "thickness": 0.105},
)
def cylinder_burst_swift(
    *, yield_stress: YieldStress, offset: Offset, exponent: Exponent, radius: Radius, thickness: Thickness
) -> Worked:
    """Greatest internal pressure of a thin closed cylinder whose flow stress follows a power law."""
    return CYLINDER.swift((yield_stress, offset, exponent), radius, thickness)


@formula(
    _statement(
        "cylinder.burst_voce",
        f"{CYLINDER.load} at exp(-b eps) = min(1, sqrt(3) (sigma_y + Q) / (Q (b + sqrt(3))));"
        " sigma = sigma_y + Q (1 - exp(-b eps))",
        _VOCE,
        _CLOSED,
    ),
    example={"yield_stress": 258.0, "increment": 37.0, "rate": 40.0, "radius": 33.0, "thickness": 0.105},
)
def cylinder_burst_voce(
    *, yield_stress: YieldStress, increment: Increment, rate: Rate, radius: Radius, thickness: Thickness
) -> Worked:
    """Greatest internal pressure of a thin closed cylinder whose flow stress saturates exponentially."""
    return CYLINDER.voce((yield_stress, increment, rate), radius, thickness)
