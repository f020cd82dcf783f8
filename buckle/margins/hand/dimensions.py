"""The numbers of a case that formulas ask for, in mm, MPa, rad, and which way its pressure acts."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from buckle.case import Case
from buckle.formulas.base import Formula
from buckle.material import Hardening
from buckle.meridian import AnyPiece, Meridian

PROOF_STRAIN, BEND_STRAIN = 0.002, 0.05
"""Plastic strains at which hardening laws are compared; the second is that of a layer bent to five thicknesses."""

HandSet = Mapping[str, tuple[Formula, ...]]
"""Formulas by the kind of analysis that they stand beside, the one to compare first."""


def of_yield_stress(case: Case, make: Callable[[float], tuple[Formula, ...]]) -> tuple[Formula, ...]:
    """Return the formulas that a yield stress [MPa] makes; none where the metal does not yield."""
    return () if case.material.hardening is None else make(case.material.hardening.yield_stress)


def flow(law: Hardening) -> dict[str, float]:
    """Return the Voce law through the flow stress at the proof strain and one and two bends beyond it.

    A Voce law is met exactly; one that does not saturate goes on in a straight line.
    """
    proof, once, twice = law.stress_and_slope(PROOF_STRAIN + BEND_STRAIN * np.array([0.0, 1.0, 2.0]))[0]
    if once <= proof:
        return {"yield_stress": float(proof), "hardening_increment": 0.0, "hardening_rate": 1.0}
    decay = float(np.clip((twice - once) / (once - proof), 1e-6, 1.0 - 1e-6))
    rate, left = -np.log(decay) / BEND_STRAIN, (once - proof) / (1.0 - decay)
    increment = float(left * np.exp(rate * PROOF_STRAIN))
    return {
        "yield_stress": float(proof + left - increment),
        "hardening_increment": increment,
        "hardening_rate": float(rate),
    }


def elastic(case: Case) -> dict[str, float]:
    """Return the elastic constants."""
    return {"youngs_modulus": case.material.youngs_modulus, "poissons_ratio": case.material.poissons_ratio}


def wall(case: Case) -> dict[str, float]:
    """Return the elastic constants and the thickness where the walk starts."""
    return {**elastic(case), "thickness": thickness(case)}


def thickness(case: Case) -> float:
    """Return the thickness where the walk starts [mm]."""
    return case.meridian.pieces[0].thickness[0]


def pressed_from_convex_side(case: Case) -> bool:
    """Tell whether pressure compresses: the wall bends towards the side that it does not come from."""
    left = case.loads.pressure_side == ("inside" if case.meridian.inside == "left" else "outside")
    return left == (curvature(case.meridian.pieces[0]) < 0.0)


@dataclass(frozen=True)
class Part:
    """All of a meridian that has one name, as one line or arc; thickness at its start and end."""

    length: float  # mm
    curvature: float  # 1/mm, + = turning left
    thickness: tuple[float, float]  # mm

    @property
    def radius(self) -> float:
        """Radius of an arc [mm]."""
        return 1.0 / abs(self.curvature)

    @property
    def turn(self) -> float:
        """Angle by which an arc turns, whichever way [rad]."""
        return abs(self.curvature) * self.length


def parts(meridian: Meridian) -> Mapping[str, Part]:
    """Return the parts by name: a table of thickness cuts pieces in two, which formulas must not see."""
    found: dict[str, Part] = {}
    for piece in meridian.pieces:
        before = found.get(piece.name)
        length, start = (before.length, before.thickness[0]) if before else (0.0, piece.thickness[0])
        found[piece.name] = Part(length + piece.length, curvature(piece), (start, piece.thickness[1]))
    return found


def curvature(piece: AnyPiece) -> float:
    """Return the curvature where a piece starts, + = turning left [1/mm]."""
    return float(piece.walk(np.zeros(1)).curvature[0])


def radius(piece: AnyPiece) -> float:
    """Return the radius of an arc [mm]."""
    return 1.0 / abs(curvature(piece))


def rounded(angle: float) -> float:
    """Return the angle without round-off, so that an upright wall is at zero [rad]."""
    return round(angle, 12)


def edge_angle(meridian: Meridian, point: str) -> float:
    """Return the angle between axis and normal just before a named point [rad]."""
    return abs(float(meridian.at_s(meridian.points[point] * (1.0 - 1e-12)).heading))


def radius_at(meridian: Meridian, point: str) -> float:
    """Return the distance of a named point from the axis [mm]."""
    return float(meridian.at_s(meridian.points[point]).r)


def edge_radius(meridian: Meridian) -> float:
    """Return the distance of the outer edge from the axis [mm]."""
    return float(meridian.at_s(meridian.length).r)
