"""Torispherical and ellipsoidal heads under inside pressure by the design form of EN 13445-3, clause 7.5.3.

A design form, never a statement of compliance: the standard asks for much that no formula here knows.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

import scipy

from buckle.formulas.arguments import DesignPressure, JointEfficiency
from buckle.formulas.base import NOT_COMPLIANCE, Answers, Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.units import PositiveLength, PositiveStress

InsideDiameter = Annotated[PositiveLength, Symbol("D_i")]
InsideCrown = Annotated[PositiveLength, Symbol("R")]
InsideKnuckle = Annotated[PositiveLength, Symbol("r")]
InsideDepth = Annotated[PositiveLength, Symbol("h_i")]
Wall = Annotated[PositiveLength, Symbol("e")]
DesignStress = Annotated[PositiveStress, Symbol("f")]
BucklingStress = Annotated[PositiveStress, Symbol("f_b")]

_SOURCE = (
    "EN 13445-3, Unfired pressure vessels: Design, clause 7.5.3 (form read in two public copies that agree and name no"
    " edition; that it is the form of 2002 to 2021, and R <= D_e, from memory)"
)
_IGNORES = (
    f"{NOT_COMPLIANCE}: materials, welds, openings, tests and tolerances of the standard are not looked at",
    "external pressure, fatigue and corrosion",
)
_DIAMETER = "D_e = D_i + 2 e"
_SHAPE = (
    Interval("r/D_i", 0.06, 0.2),
    Interval("r/e", low=2.0),
    Interval("e/D_e", 0.001, 0.08),
    Interval("R/D_e", high=1.0),
)
_LENGTH = "(0.75 R + 0.2 D_i)"
_BETA = (
    "beta between beta_06, beta_10 and beta_20 by straight lines in X = r/D_i; Y = min(e/R, 0.04), Z = log10(1/Y),"
    " N = 1.006 - 1 / (6.2 + (90 Y)^4), beta_06 = N (-0.3635 Z^3 + 2.2124 Z^2 - 3.2937 Z + 1.8873),"
    " beta_10 = N (-0.1833 Z^3 + 1.0383 Z^2 - 1.2943 Z + 0.837), beta_20 = max(0.95 (0.56 - 1.94 Y - 82.5 Y^2), 0.5)"
)
_BUCKLING_STRESS = "f_b is the proof stress over 1.5 in operation, over 1.05 in test"
_NO_BUCKLING = "e_b need not be looked at when e_y > 0.005 D_i (from memory)"


@dataclass(frozen=True)
class End:
    """Inside crown radius, inside knuckle radius and inside diameter of a torispherical end [mm]."""

    crown: float
    knuckle: float
    diameter: float

    @property
    def length(self) -> float:
        """Return 0.75 R + 0.2 D_i [mm], which stands for the meridian's reach."""
        return 0.75 * self.crown + 0.2 * self.diameter

    def beta(self, wall: float) -> float:
        """Return the knuckle's stress factor at a wall thickness."""
        return self._between(*(step.value for step in self.beta_steps(wall)[-3:]))

    def beta_steps(self, wall: float) -> tuple[Quantity, ...]:
        """Return X, Y, Z, N and the factors at X = 0.06, 0.1 and 0.2."""
        Y = min(wall / self.crown, 0.04)
        Z = math.log10(1.0 / Y)
        N = 1.006 - 1.0 / (6.2 + (90.0 * Y) ** 4)
        return (
            Quantity("X", self.knuckle / self.diameter),
            Quantity("Y", Y),
            Quantity("Z", Z),
            Quantity("N", N),
            Quantity("beta_06", N * (-0.3635 * Z**3 + 2.2124 * Z**2 - 3.2937 * Z + 1.8873)),
            Quantity("beta_10", N * (-0.1833 * Z**3 + 1.0383 * Z**2 - 1.2943 * Z + 0.837)),
            Quantity("beta_20", max(0.95 * (0.56 - 1.94 * Y - 82.5 * Y**2), 0.5)),
        )

    def _between(self, sharp: float, middle: float, round_: float) -> float:
        X = self.knuckle / self.diameter
        if X <= 0.1:
            return 25.0 * ((0.1 - X) * sharp + (X - 0.06) * middle)
        return 10.0 * ((0.2 - X) * middle + (X - 0.1) * round_)

    def shape_steps(self, wall: float) -> tuple[Quantity, ...]:
        """Return the ratios that the clause limits."""
        outside = self.diameter + 2.0 * wall
        return (
            Quantity("r/D_i", self.knuckle / self.diameter),
            Quantity("r/e", self.knuckle / wall),
            Quantity("e/D_e", wall / outside),
            Quantity("R/D_e", self.crown / outside),
        )

    def crown_thickness(self, pressure: float, stress: float, joint: float) -> float:
        """Return e_s [mm]; infinite where no thickness would do."""
        rest = 2.0 * stress * joint - 0.5 * pressure
        return pressure * self.crown / rest if rest > 0.0 else math.inf

    def yield_thickness(self, pressure: float, stress: float, wall: float) -> float:
        """Return e_y [mm] with beta at the assumed wall."""
        return self.beta(wall) * pressure * self.length / stress

    def buckling_thickness(self, pressure: float, stress: float) -> float:
        """Return e_b [mm]."""
        load = pressure / (111.0 * stress) * (self.diameter / self.knuckle) ** 0.825
        return float(self.length * load ** (1.0 / 1.5))

    def crown_rating(self, wall: float, stress: float, joint: float) -> float:
        """Return P_s [MPa]."""
        return 2.0 * stress * joint * wall / (self.crown + 0.5 * wall)

    def yield_rating(self, wall: float, stress: float) -> float:
        """Return P_y [MPa]."""
        return stress * wall / (self.beta(wall) * self.length)

    def buckling_rating(self, wall: float, stress: float) -> float:
        """Return P_b [MPa]."""
        slender = (wall / self.length) ** 1.5
        return float(111.0 * stress * (self.knuckle / self.diameter) ** 0.825 * slender)


_UNITS: Mapping[Answers, str] = {"parameter": "-", "least thickness": "mm", "design pressure": "MPa"}


def _statement(name: str, answers: Answers, expression: str, *conditions: str) -> Statement:
    return Statement(
        name=f"head.en_{name}",
        unit=_UNITS[answers],
        expression=f"{expression}, {_DIAMETER}",
        source=_SOURCE,
        kind="design form",
        answers=answers,
        ranges=_SHAPE,
        ignores=_IGNORES,
        conditions=conditions,
    )


@formula(
    _statement("knuckle_factor", "parameter", f"beta = {_BETA.removeprefix('beta ')}"),
    example={"thickness": 4.0, "crown_radius": 950.0, "knuckle_radius": 100.0, "diameter": 1000.0},
)
def knuckle_factor(
    *, thickness: Wall, crown_radius: InsideCrown, knuckle_radius: InsideKnuckle, diameter: InsideDiameter
) -> Worked:
    """Stress factor of the knuckle by the design form of EN 13445-3."""
    end = End(crown_radius, knuckle_radius, diameter)
    return Worked(end.beta(thickness), (*end.shape_steps(thickness), *end.beta_steps(thickness)))


@formula(
    _statement(
        "thickness",
        "least thickness",
        f"e = max(e_s, e_y, e_b), e_s = P R / (2 f z - 0.5 P), e_y = beta P {_LENGTH} / f,"
        f" e_b = {_LENGTH} (P / (111 f_b) (D_i/r)^0.825)^(1/1.5), {_BETA}",
        _BUCKLING_STRESS,
        _NO_BUCKLING,
    ),
    example={
        "pressure": 0.5,
        "crown_radius": 950.0,
        "knuckle_radius": 100.0,
        "diameter": 1000.0,
        "design_stress": 156.7,
        "buckling_stress": 156.7,
        "joint_factor": 0.85,
    },
)
def required_thickness(
    *,
    pressure: DesignPressure,
    crown_radius: InsideCrown,
    knuckle_radius: InsideKnuckle,
    diameter: InsideDiameter,
    design_stress: DesignStress,
    buckling_stress: BucklingStress,
    joint_factor: JointEfficiency = 1.0,
) -> Worked:
    """Least wall of a torispherical end under inside pressure by the design form of EN 13445-3."""
    end = End(crown_radius, knuckle_radius, diameter)
    known = max(
        end.crown_thickness(pressure, design_stress, joint_factor), end.buckling_thickness(pressure, buckling_stress)
    )
    if known > diameter:
        return Worked(None, _thickness_steps(end, pressure, design_stress, diameter), "no wall within D_i would do")
    wall = _enough(end, pressure, design_stress, known)
    steps = (
        Quantity("e_s", end.crown_thickness(pressure, design_stress, joint_factor), "mm"),
        Quantity("e_y", end.yield_thickness(pressure, design_stress, wall), "mm"),
        Quantity("e_b", end.buckling_thickness(pressure, buckling_stress), "mm"),
        *_thickness_steps(end, pressure, design_stress, wall),
    )
    return Worked(wall, steps)


def _thickness_steps(end: End, pressure: float, stress: float, wall: float) -> tuple[Quantity, ...]:
    return (*end.shape_steps(wall), *end.beta_steps(wall), Quantity("beta", end.beta(wall)))


def _enough(end: End, pressure: float, stress: float, known: float) -> float:
    """Return the wall that is both the `known` demand and the knuckle's, whose beta falls as the wall grows."""
    if end.yield_thickness(pressure, stress, known) <= known:
        return known
    beyond = end.yield_thickness(pressure, stress, known)
    return float(
        scipy.optimize.brentq(
            lambda wall: end.yield_thickness(pressure, stress, wall) - wall, known, beyond, xtol=1e-14 * end.diameter
        )
    )


@formula(
    _statement(
        "rating",
        "design pressure",
        f"p = min(P_s, P_y, P_b), P_s = 2 f z e / (R + 0.5 e), P_y = f e / (beta {_LENGTH}),"
        f" P_b = 111 f_b (r/D_i)^0.825 (e / {_LENGTH})^1.5, {_BETA}",
        _BUCKLING_STRESS,
        _NO_BUCKLING,
    ),
    example={
        "thickness": 4.0,
        "crown_radius": 950.0,
        "knuckle_radius": 100.0,
        "diameter": 1000.0,
        "design_stress": 156.7,
        "buckling_stress": 156.7,
        "joint_factor": 0.85,
    },
)
def rating(
    *,
    thickness: Wall,
    crown_radius: InsideCrown,
    knuckle_radius: InsideKnuckle,
    diameter: InsideDiameter,
    design_stress: DesignStress,
    buckling_stress: BucklingStress,
    joint_factor: JointEfficiency = 1.0,
) -> Worked:
    """Greatest inside pressure of a torispherical end by the design form of EN 13445-3."""
    return _rated(End(crown_radius, knuckle_radius, diameter), thickness, design_stress, buckling_stress, joint_factor)


@formula(
    Statement(
        name="head.en_ellipsoid_rating",
        unit="MPa",
        expression=(
            "K = D_i / (2 h_i), r = D_i (0.5 / K - 0.08), R = D_i (0.44 K + 0.02); p = min(P_s, P_y, P_b),"
            f" P_s = 2 f z e / (R + 0.5 e), P_y = f e / (beta {_LENGTH}),"
            f" P_b = 111 f_b (r/D_i)^0.825 (e / {_LENGTH})^1.5, {_BETA}, {_DIAMETER}"
        ),
        source=(
            "EN 13445-3, 2002 to 2021, clause 7.5.4 (from memory): rated as an equivalent torisphere of clause 7.5.3,"
            " whose beta ends at r/D_i = 0.2, so that K starts at 0.5/0.28 = 1.786 and not at the clause's 1.7"
        ),
        kind="design form",
        answers="design pressure",
        ranges=(Interval("K", 1.7, 2.2), *_SHAPE),
        ignores=_IGNORES,
        conditions=(_BUCKLING_STRESS, _NO_BUCKLING),
    ),
    example={
        "thickness": 4.0,
        "depth": 250.0,
        "diameter": 1000.0,
        "design_stress": 156.7,
        "buckling_stress": 156.7,
        "joint_factor": 0.85,
    },
)
def ellipsoid_rating(
    *,
    thickness: Wall,
    depth: InsideDepth,
    diameter: InsideDiameter,
    design_stress: DesignStress,
    buckling_stress: BucklingStress,
    joint_factor: JointEfficiency = 1.0,
) -> Worked:
    """Greatest inside pressure of an ellipsoidal end by the design form of EN 13445-3."""
    K = 0.5 * diameter / depth
    steps = (Quantity("K", K),)
    if not 1.7 <= K <= 2.2:  # beyond it the equivalent knuckle may vanish
        return Worked(None, (*steps, Quantity("e/D_e", thickness / (diameter + 2.0 * thickness))))
    end = End(diameter * (0.44 * K + 0.02), diameter * (0.5 / K - 0.08), diameter)
    worked = _rated(end, thickness, design_stress, buckling_stress, joint_factor)
    equivalent = (Quantity("r", end.knuckle, "mm"), Quantity("R", end.crown, "mm"))
    return Worked(worked.value, (*steps, *equivalent, *worked.steps))


def _rated(end: End, wall: float, design_stress: float, buckling_stress: float, joint: float) -> Worked:
    steps = (
        Quantity("P_s", end.crown_rating(wall, design_stress, joint), "MPa"),
        Quantity("P_y", end.yield_rating(wall, design_stress), "MPa"),
        Quantity("P_b", end.buckling_rating(wall, buckling_stress), "MPa"),
    )
    shown = (*end.shape_steps(wall), *end.beta_steps(wall), Quantity("beta", end.beta(wall)))
    return Worked(min(step.value for step in steps), (*steps, *shown))
