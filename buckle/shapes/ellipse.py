"""A piece of an ellipse, exact: its arc length comes from elliptic integrals, not from samples."""

import math
from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from buckle.meridian import Walked

Array = NDArray[np.float64]


@dataclass(frozen=True)
class EllipsePiece:
    """From the apex of a head of semi-axes a (radial) and b (axial) outward and down, turning right.

    The curve is (a sin q, b cos q); its length from the apex is the integral of sqrt(a^2 cos^2 q + b^2 sin^2 q).
    `begin` and `end` are distances from the apex [mm]. Source: Abramowitz and Stegun 1964, section 17.2 (from memory).
    """

    radial: float
    axial: float
    begin: float
    end: float
    thickness: tuple[float, float]
    turn_here: float = 0.0
    name: str = ""

    @property
    def length(self) -> float:
        """Arc length [mm]."""
        return self.end - self.begin

    @property
    def sharpest(self) -> float:
        """Largest curvature, without its sign [1/mm]: at an end, for it rises or falls all along the quarter."""
        return float(np.max(np.abs(self._from_apex(np.array([self.begin, self.end]))[3])))

    def walk(self, distance: Array) -> Walked:
        """Return position, turn and curvature after a distance [mm] from the start, in the frame of the start."""
        r0, z0, heading0, _ = self._from_apex(np.asarray(self.begin))
        r, z, heading, curvature = self._from_apex(self.begin + np.asarray(distance))
        c, s = np.cos(heading0), np.sin(heading0)
        return Walked(c * (r - r0) + s * (z - z0), c * (z - z0) - s * (r - r0), heading - heading0, curvature)

    def part(self, start: float, end: float, thickness: tuple[float, float]) -> "EllipsePiece":
        """Return the part between two distances from the start, with its own thickness at both ends."""
        turn = self.turn_here if start == 0.0 else 0.0
        return EllipsePiece(self.radial, self.axial, self.begin + start, self.begin + end, thickness, turn, self.name)

    def _from_apex(self, distance: Array) -> tuple[Array, Array, Array, Array]:
        """r, z below the apex, heading and curvature at a distance from the apex."""
        q = _parameter(self.radial, self.axial, distance)
        speed = _speed(self.radial, self.axial, q)
        heading = -np.arctan2(self.axial * np.sin(q), self.radial * np.cos(q))
        return (
            self.radial * np.sin(q),
            self.axial * (np.cos(q) - 1.0),
            heading,
            -self.radial * self.axial / speed**3,
        )


def quarter_length(radial: float, axial: float) -> float:
    """Return the length of the quarter ellipse [mm]."""
    return float(_length(radial, axial, np.asarray(0.5 * math.pi)))


def _length(a: float, b: float, q: Array) -> Array:
    """Arc length from the apex; the integral is a E(q | 1 - b^2/a^2), valid for b > a too (negative parameter)."""
    return np.asarray(a * scipy.special.ellipeinc(q, 1.0 - (b / a) ** 2), dtype=np.float64)


def _speed(a: float, b: float, q: Array) -> Array:
    return np.asarray(np.hypot(a * np.cos(q), b * np.sin(q)), dtype=np.float64)


def _parameter(a: float, b: float, distance: Array) -> Array:
    """Parameter q at a distance from the apex, by Newton steps kept inside the quarter; round-off after a few."""
    q = 0.5 * np.pi * distance / quarter_length(a, b)
    for _ in range(60):
        step = (_length(a, b, q) - distance) / _speed(a, b, q)
        q = np.clip(q - step, 0.0, 0.5 * np.pi)
        if np.max(np.abs(step), initial=0.0) < 1e-15:
            break
    return q
