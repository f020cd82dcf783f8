"""From an elastic and a plastic pressure to a resistance: interaction of the two, and the capacity curve for domes."""

import math
from dataclasses import dataclass, replace
from typing import Annotated

from annotated_types import Ge, Gt, Lt

from buckle.formulas.arguments import (
    ElasticPressure,
    PlasticPressure,
    PoissonsRatio,
    Radius,
    Thickness,
    YieldStress,
    YoungsModulus,
)
from buckle.formulas.base import NOT_COMPLIANCE, Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.formulas.elastic import classical_sphere_pressure

Alpha = Annotated[float, Symbol("alpha"), Gt(0.0)]
Beta = Annotated[float, Symbol("beta"), Ge(0.0), Lt(1.0)]
Eta = Annotated[float, Symbol("eta"), Gt(0.0)]
SquashLimit = Annotated[float, Symbol("lambda_0"), Gt(0.0)]
Quality = Annotated[float, Symbol("Q"), Gt(0.0)]

_CURVE = (
    "lambda = sqrt(p_pl / p_el), lambda_p = sqrt(alpha / (1 - beta)); p = chi p_pl with chi = 1 up to lambda_0,"
    " chi = 1 - beta ((lambda - lambda_0) / (lambda_p - lambda_0))^eta up to lambda_p, chi = alpha / lambda^2 beyond"
)
_IGNORES = (
    "any mechanism that neither of the two pressures knows, such as rolling of the stand",
    "hardening",
    "growth of the shape before collapse",
)


@formula(
    Statement(
        name="capacity.two_term",
        unit="MPa",
        expression="1/p = 1/p_el + 1/p_pl",
        source="W. J. M. Rankine, 1866, and W. Merchant, 1954, for columns and frames (from memory)",
        kind="fit",
        answers="interaction",
        ranges=(),
        ignores=_IGNORES,
        conditions=("both pressures belong to the same body and load",),
    ),
    example={"elastic_pressure": 1.86, "plastic_pressure": 3.05},
)
def two_term(*, elastic_pressure: ElasticPressure, plastic_pressure: PlasticPressure) -> Worked:
    """Elastic-plastic pressure as the harmonic sum of an elastic and a plastic one."""
    pressure = 1.0 / (1.0 / elastic_pressure + 1.0 / plastic_pressure)
    return Worked(pressure, (Quantity("p_el/p_pl", elastic_pressure / plastic_pressure),))


@dataclass(frozen=True)
class Curve:
    """Parameters of the capacity curve: alpha imperfection, beta plastic range, eta exponent, lambda_0 squash limit."""

    alpha: float
    beta: float
    eta: float
    squash_limit: float

    @property
    def plastic_limit(self) -> float:
        """Return the slenderness beyond which buckling is elastic."""
        return math.sqrt(self.alpha / (1.0 - self.beta))

    def reduction(self, slenderness: float) -> float:
        """Return chi [-]."""
        if slenderness <= self.squash_limit:
            return 1.0
        if slenderness >= self.plastic_limit:
            return self.alpha / slenderness**2
        way = (slenderness - self.squash_limit) / (self.plastic_limit - self.squash_limit)
        return 1.0 - self.beta * float(way**self.eta)


@formula(
    Statement(
        name="capacity.curve",
        unit="MPa",
        expression=_CURVE,
        source="EN 1993-1-6:2007, clause 8.5, buckling strength by the common capacity curve (from memory)",
        kind="fit",
        answers="characteristic resistance",
        ranges=(Interval("alpha", high=1.0), Interval("lambda_p - lambda_0", low=1e-6)),
        ignores=_IGNORES,
        conditions=(
            NOT_COMPLIANCE,
            "alpha, beta, eta and lambda_0 belong to the shell and load they were calibrated for",
        ),
    ),
    example={
        "elastic_pressure": 1.86,
        "plastic_pressure": 3.05,
        "alpha": 0.5,
        "beta": 0.6,
        "eta": 1.0,
        "squash_limit": 0.2,
    },
)
def curve(
    *,
    elastic_pressure: ElasticPressure,
    plastic_pressure: PlasticPressure,
    alpha: Alpha,
    beta: Beta,
    eta: Eta,
    squash_limit: SquashLimit,
) -> Worked:
    """Characteristic pressure from the elastic critical and the plastic reference pressure."""
    return resistance(elastic_pressure, plastic_pressure, Curve(alpha, beta, eta, squash_limit))


def resistance(elastic: float, plastic: float, parameters: Curve, steps: tuple[Quantity, ...] = ()) -> Worked:
    """Return chi p_pl with its steps [MPa]."""
    slenderness = math.sqrt(plastic / elastic)
    gap = parameters.plastic_limit - parameters.squash_limit
    chi = parameters.reduction(slenderness) if gap > 0.0 else math.nan
    own = (
        Quantity("lambda", slenderness),
        Quantity("lambda_p", parameters.plastic_limit),
        Quantity("lambda_p - lambda_0", gap),
        Quantity("chi", chi),
    )
    return Worked(chi * plastic, (*steps, *own))


@dataclass(frozen=True)
class EdgeFactors:
    """Factors of how a dome's edge is held on the classical and on the squash pressure of the complete sphere."""

    held: str  # in the words of [supports]
    elastic: float
    plastic: float


PERFECT_DOME = Curve(alpha=1.0, beta=0.70, eta=1.0, squash_limit=0.20)
"""Curve of a dome, but for its imperfection factor."""

CLAMPED = EdgeFactors("clamped", 0.8, 1.35)
HINGED = EdgeFactors("pinned", 0.7, 1.20)

FINEST_QUALITY = 40.0
"""Quality parameter Q of fabrication class A, the best: EN 1993-1-6:2007, annex D (from memory)."""


def _dome(name: str, edge: EdgeFactors) -> Statement:
    return Statement(
        name=name,
        unit="MPa",
        expression=(
            f"p_el = {edge.elastic} * 2 E (t/R)^2 / sqrt(3 (1 - nu^2)), p_pl = {edge.plastic} * 2 sigma_y t / R,"
            " dw/t = sqrt(R/t) / Q, alpha = 0.70 / (1 + 1.90 (dw/t)^0.75), beta = 0.70, eta = 1, lambda_0 = 0.20; "
            + _CURVE
        ),
        source=(
            "form of EN 1993-1-6:2025 and of J. M. Rotter and H. Schmidt (editors), Buckling of Steel Shells, ECCS,"
            " 5th edition, 2008, spherical domes (from memory, all constants to be confirmed)"
        ),
        kind="lower bound",
        answers="characteristic resistance",
        edge=edge.held,
        ranges=(Interval("R/t", 20.0, 3000.0), Interval("Q", 16.0, 40.0)),
        ignores=_IGNORES,
        conditions=(
            NOT_COMPLIANCE,
            "steel domes; Q is 40, 25, 16 for fabrication quality A, B, C; R/t limits from memory",
        ),
    )


@formula(
    _dome("capacity.dome_clamped", CLAMPED),
    example={
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "yield_stress": 258.0,
        "radius": 45.7,
        "thickness": 0.27,
        "quality": 25.0,
    },
)
def dome_clamped(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    yield_stress: YieldStress,
    radius: Radius,
    thickness: Thickness,
    quality: Quality,
) -> Worked:
    """Characteristic external pressure of a clamped spherical dome by the capacity curve."""
    classical = classical_sphere_pressure(youngs_modulus, poissons_ratio, radius, thickness)
    squash = 2.0 * yield_stress * thickness / radius
    return _dome_resistance(CLAMPED, classical, squash, radius / thickness, quality)


@formula(
    _dome("capacity.dome_hinged", HINGED),
    example={
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "yield_stress": 258.0,
        "radius": 45.7,
        "thickness": 0.27,
        "quality": 25.0,
    },
)
def dome_hinged(
    *,
    youngs_modulus: YoungsModulus,
    poissons_ratio: PoissonsRatio,
    yield_stress: YieldStress,
    radius: Radius,
    thickness: Thickness,
    quality: Quality,
) -> Worked:
    """Characteristic external pressure of a spherical dome on an immovable hinge by the capacity curve."""
    classical = classical_sphere_pressure(youngs_modulus, poissons_ratio, radius, thickness)
    squash = 2.0 * yield_stress * thickness / radius
    return _dome_resistance(HINGED, classical, squash, radius / thickness, quality)


def _dome_resistance(edge: EdgeFactors, classical: float, squash: float, ratio: float, quality: float) -> Worked:
    """Return a dome's capacity from the complete sphere's two pressures [MPa], R/t and the quality parameter."""
    elastic, plastic = edge.elastic * classical, edge.plastic * squash
    dent = math.sqrt(ratio) / quality
    alpha = 0.70 / (1.0 + 1.90 * dent**0.75)
    steps = (
        Quantity("R/t", ratio),
        Quantity("p_el", elastic, "MPa"),
        Quantity("p_pl", plastic, "MPa"),
        Quantity("dw/t", dent),
        Quantity("alpha", alpha),
    )
    return resistance(elastic, plastic, replace(PERFECT_DOME, alpha=alpha), steps)
