"""Thin torispherical heads under inside pressure: the knuckle-buckling design form of ASME VIII-1, appendix 1-4(f).

A design form, never a statement of compliance. It takes the knuckle for a toroid of the effective radius R_e that
buckles elastically at P_e and yields at P_y, and joins the two by tests.
"""

import math
from dataclasses import dataclass

from buckle.formulas.arguments import Thickness, YoungsModulus
from buckle.formulas.base import Interval, Quantity, Statement, Worked, formula
from buckle.formulas.head_asme import InsideCrown, InsideDiameter, InsideKnuckle, YieldAtTemperature
from buckle.formulas.head_en import NOT_COMPLIANCE


@dataclass(frozen=True)
class Knuckle:
    """Where the effective radius of the knuckle comes from; lengths in mm, angles in rad."""

    diameter: float
    crown: float
    radius: float
    thickness: float

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


def joined(elastic: float, plastic: float) -> float:
    """Return P_ck [MPa] from P_e and P_y."""
    G = elastic / plastic
    if G <= 1.0:
        return 0.6 * elastic
    if G <= 8.29:
        return 0.408 * plastic + 0.192 * elastic
    return 2.0 * plastic


@formula(
    Statement(
        name="head.asme_knuckle_buckling",
        unit="MPa",
        expression=(
            "p = P_ck / 1.5; P_ck = 0.6 P_e for G <= 1, 0.408 P_y + 0.192 P_e for G <= 8.29, 2 P_y beyond;"
            " G = P_e / P_y, P_e = S_e t / (C_2 R_e (0.5 R_e / r - 1)), P_y = S_y t / (C_2 R_e (0.5 R_e / r - 1)),"
            " S_e = C_1 E t / r; C_1 = 9.31 r/D - 0.086 and C_2 = 1.25 for r/D <= 0.08, else C_1 = 0.692 r/D + 0.605"
            " and C_2 = 1.46 - 2.6 r/D; R_e = c + r, c = a / cos(beta - phi) for phi < beta, else a; a = D/2 - r,"
            " beta = arccos(a / (L - r)), phi = sqrt(L t) / r"
        ),
        source="ASME BPVC section VIII division 1, appendix 1-4(f) (from memory)",
        kind="design form",
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
    )
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
    ratios = (
        Quantity("t/L", thickness / crown_radius),
        Quantity("r/D", knuckle_radius / diameter),
        Quantity("L/D", crown_radius / diameter),
    )
    if not (knuckle_radius < 0.5 * diameter <= crown_radius):
        return Worked(None, ratios, "the knuckle does not fit between crown and D")
    knuckle = Knuckle(diameter, crown_radius, knuckle_radius, thickness)
    elastic = knuckle.pressure(knuckle.factors[0] * youngs_modulus * thickness / knuckle_radius)
    plastic = knuckle.pressure(yield_stress)
    buckling = joined(elastic, plastic)
    steps = (
        Quantity("beta", knuckle.arc, "rad"),
        Quantity("phi", knuckle.reach, "rad"),
        Quantity("R_e", knuckle.effective_radius, "mm"),
        Quantity("0.5 R_e/r", 0.5 * knuckle.effective_radius / knuckle_radius),
        Quantity("C_1", knuckle.factors[0]),
        Quantity("C_2", knuckle.factors[1]),
        Quantity("P_e", elastic, "MPa"),
        Quantity("P_y", plastic, "MPa"),
        Quantity("G", elastic / plastic),
        Quantity("P_ck", buckling, "MPa"),
    )
    return Worked(buckling / 1.5, (*ratios, *steps))
