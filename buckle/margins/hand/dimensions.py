"""The numbers of a case that formulas ask for, in mm, MPa, rad, and which way its pressure acts."""

from collections.abc import Callable, Mapping

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


def named(meridian: Meridian, name: str) -> AnyPiece | None:
    """Return the first piece of that name, None if there is none."""
    return next((piece for piece in meridian.pieces if piece.name == name), None)


def curvature(piece: AnyPiece) -> float:
    """Return the curvature where a piece starts, + = turning left [1/mm]."""
    return float(piece.walk(np.zeros(1)).curvature[0])


def radius(piece: AnyPiece) -> float:
    """Return the radius of an arc [mm]."""
    return 1.0 / abs(curvature(piece))


def turn(piece: AnyPiece) -> float:
    """Return the angle by which an arc turns, whichever way [rad]."""
    return abs(curvature(piece)) * piece.length


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
