"""Thin torispherical heads under inside pressure: knuckle buckling by ASME VIII-1, appendix 1-4(f).

A design form, never a statement of compliance, and the elastic pressure inside it. The knuckle is taken for a toroid of
the effective radius R_e that buckles elastically at P_e and yields at P_y; tests join the two.
"""

import math
from dataclasses import dataclass

from buckle.formulas.arguments import Thickness, YoungsModulus
from buckle.formulas.base import NOT_COMPLIANCE, Interval, Quantity, Statement, Worked, formula
from buckle.formulas.head.asme import InsideCrown, InsideDiameter, InsideKnuckle, YieldAtTemperature


@dataclass(frozen=True)
class Knuckle:
    """Where the effective radius of the knuckle comes from; lengths in mm, angles in rad."""

    diameter: float
    crown: float
    radius: float
    thickness: float

    @property
    def ratios(self) -> tuple[Quantity, ...]:
        """Return the ratios that the range of use is about."""
        return (
            Quantity("t/L", self.thickness / self.crown),
            Quantity("r/D", self.radius / self.diameter),
            Quantity("L/D", self.crown / self.diameter),
        )

    @property
    def fits(self) -> bool:
        """Return whether such a knuckle can join such a crown to the cylinder."""
        return self.radius < 0.5 * self.diameter <= self.crown

    @property
    def steps(self) -> tuple[Quantity, ...]:
        """Return the way to the effective radius and the two factors."""
        return (
            Quantity("beta", self.arc, "rad"),
            Quantity("phi", self.reach, "rad"),
            Quantity("R_e", self.effective_radius, "mm"),
            Quantity("C_1", self.factors[0]),
            Quantity("C_2", self.factors[1]),
        )

    @property
    def arc(self) -> float:
        """Return beta, the angle that the knuckle turns through."""
        return math.acos((0.5 * self.diameter - self.radius) / (self.crown - self.radius))

    @property
    def reach(self) -> float:
        """Return phi, the part of the knuckle that crown bending reaches."""
        return math.sqrt(self.crown * self.thickness) / self.radius

    @property
    def effective_radius(self) -> float:
        """Return R_e."""
        a = 0.5 * self.diameter - self.radius
        c = a / math.cos(self.arc - self.reach) if self.reach < self.arc else a
        return c + self.radius

    @property
    def factors(self) -> tuple[float, float]:
        """Return C_1 of the elastic stress and C_2 of the pressure; both meet at r/D = 0.08."""
        ratio = self.radius / self.diameter
        if ratio <= 0.08:
            return 9.31 * ratio - 0.086, 1.25
        return 0.692 * ratio + 0.605, 1.46 - 2.6 * ratio

    def pressure(self, stress: float) -> float:
        """Return the pressure at which the knuckle's compression reaches a stress [MPa]."""
        effective = self.effective_radius
        return stress * self.thickness / (self.factors[1] * effective * (0.5 * effective / self.radius - 1.0))

    @property
    def elastic_stress_share(self) -> float:
        """Return the elastic buckling stress over Young's modulus, C_1 t / r."""
        return self.factors[0] * self.thickness / self.radius


def joined(elastic: float, plastic: float) -> float:
    """Return P_ck [MPa] from P_e and P_y."""
    G = elastic / plastic
    if G <= 1.0:
        return 0.6 * elastic
    if G <= 8.29:
        return 0.408 * plastic + 0.192 * elastic
    return 2.0 * plastic


_SOURCE = "ASME BPVC section VIII division 1, appendix 1-4(f) (from memory, edition not known)"
_FACTORS = (
    "C_1 = 9.31 r/D - 0.086 and C_2 = 1.25 for r/D <= 0.08, else C_1 = 0.692 r/D + 0.605 and C_2 = 1.46 - 2.6 r/D;"
    " R_e = c + r, c = a / cos(beta - phi) for phi < beta, else a; a = D/2 - r, beta = arccos(a / (L - r)),"
    " phi = sqrt(L t) / r"
)
_NO_FIT = "the knuckle does not fit between crown and D"


@formula(
    Statement(
        name="head.elastic_knuckle_buckling",
        unit="MPa",
        expression=f"p = S_e t / (C_2 R_e (0.5 R_e / r - 1)), S_e = C_1 E t / r; {_FACTORS}",
        source=f"{_SOURCE}, the elastic pressure P_e in it",
        kind="fit",
        answers="linear bifurcation",
        ranges=(Interval("t/L", 0.0005, 0.0045), Interval("r/D", 0.06, 0.2), Interval("L/D", 0.7, 1.0)),
        ignores=(
            "yielding, which comes long before in a metal head",
            "departures from the perfect shape",
            "change of shape under load, which raises the pressure by a third and more",
        ),
        conditions=(
            "within 11 % of twelve linear bifurcations computed for this project (t/D 0.001 to 0.004, r/D 0.06 to 0.17,"
            " L/D 0.9 and 1, nu 0.3); limits of use are those, not the appendix's",
        ),
    ),
    example={
        "youngs_modulus": 200e3,
        "diameter": 1000.0,
        "crown_radius": 950.0,
        "knuckle_radius": 100.0,
        "thickness": 1.5,
    },
)
def elastic_knuckle_buckling(
    *,
    youngs_modulus: YoungsModulus,
    diameter: InsideDiameter,
    crown_radius: InsideCrown,
    knuckle_radius: InsideKnuckle,
    thickness: Thickness,
) -> Worked:
    """Inside pressure at which the knuckle of an elastic torispherical head buckles into waves, to first order."""
    knuckle = Knuckle(diameter, crown_radius, knuckle_radius, thickness)
    if not knuckle.fits:
        return Worked(None, knuckle.ratios, _NO_FIT)
    stress = youngs_modulus * knuckle.elastic_stress_share
    return Worked(knuckle.pressure(stress), (*knuckle.ratios, *knuckle.steps, Quantity("S_e", stress, "MPa")))


@formula(
    Statement(
        name="head.asme_knuckle_buckling",
        unit="MPa",
        expression=(
            "p = P_ck / 1.5; P_ck = 0.6 P_e for G <= 1, 0.408 P_y + 0.192 P_e for G <= 8.29, 2 P_y beyond;"
            " G = P_e / P_y, P_e = S_e t / (C_2 R_e (0.5 R_e / r - 1)), P_y = S_y t / (C_2 R_e (0.5 R_e / r - 1)),"
            f" S_e = C_1 E t / r; {_FACTORS}"
        ),
        source=_SOURCE,
        kind="design form",
        answers="design pressure",
        ranges=(
            Interval("t/L", 0.0005, 0.002),
            Interval("r/D", 0.06, 0.2),
            Interval("L/D", 0.7, 1.0),
        ),
        ignores=(
            f"{NOT_COMPLIANCE}: materials, welds, openings, tests and tolerances of the code are not looked at",
            "fatigue and corrosion",
        ),
        conditions=("inside dimensions; limits of L/D and the upper one of r/D are a judgement",),
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
def asme_knuckle_buckling(
    *,
    youngs_modulus: YoungsModulus,
    yield_stress: YieldAtTemperature,
    diameter: InsideDiameter,
    crown_radius: InsideCrown,
    knuckle_radius: InsideKnuckle,
    thickness: Thickness,
) -> Worked:
    """Greatest inside pressure for a thin torispherical head's knuckle by the design form of ASME VIII-1."""
    knuckle = Knuckle(diameter, crown_radius, knuckle_radius, thickness)
    if not knuckle.fits:
        return Worked(None, knuckle.ratios, _NO_FIT)
    elastic = knuckle.pressure(youngs_modulus * knuckle.elastic_stress_share)
    plastic = knuckle.pressure(yield_stress)
    buckling = joined(elastic, plastic)
    steps = (
        Quantity("P_e", elastic, "MPa"),
        Quantity("P_y", plastic, "MPa"),
        Quantity("G", elastic / plastic),
        Quantity("P_ck", buckling, "MPa"),
    )
    return Worked(buckling / 1.5, (*knuckle.ratios, *knuckle.steps, *steps))
