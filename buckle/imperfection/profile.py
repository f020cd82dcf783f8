"""How far a mid-surface lies off its perfect shape along the meridian: w(s) and its derivatives, exact.

All lengths in mm; w is positive towards the side away from the pressure, the way the wall would give.
"""

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np
import scipy
from numpy.typing import NDArray

Array = NDArray[np.float64]
REACH = 3.0  # widths from the middle of a dimple, where 1e-4 of its depth is left


class Profile(Protocol):
    """A deviation along the meridian."""

    @property
    def scale(self) -> float:
        """Length [mm] over which it changes, for the panels it is integrated on."""
        ...

    def detail(self, s: Array) -> Array:
        """Return the length [mm] over which it bends at arc lengths s; infinite where it has died out."""
        ...

    def values(self, s: Array) -> tuple[Array, Array, Array]:
        """Return w [mm], w' [-] and w'' [1/mm] at arc lengths s [mm] of the perfect meridian, shaped like s."""
        ...


@dataclass(frozen=True)
class Dimple:
    """w = depth exp(-((s - at) / width)^2), at an apex or as a ring around the body.

    Where the meridian starts on the axis a ring near it goes on beyond, as its `mirror` image: the apex stays level,
    and w stays the depth at the ring. Source: the defect of Lee, Lopez Jimenez, Marthelot, Hutchinson and Reis, J.
    Appl. Mech. 83 (2016) 111005, whose width is an angle of the sphere.
    """

    at: float
    width: float
    depth: float
    mirror: bool = False

    @property
    def scale(self) -> float:
        """Length [mm] over which it changes."""
        return self.width

    def detail(self, s: Array) -> Array:
        """Return the width within REACH widths of its middle."""
        return np.where(np.abs(s - self.at) < REACH * self.width, self.width, np.inf)

    def values(self, s: Array) -> tuple[Array, Array, Array]:
        """Return w, w' and w'' at arc lengths."""
        here = _bell(s - self.at, self.width, self.depth)
        if not self.mirror:
            return here
        beyond = _bell(s + self.at, self.width, self.depth)
        share = 1.0 + math.exp(-((2.0 * self.at / self.width) ** 2))
        w, slope, bend = ((one + other) / share for one, other in zip(here, beyond, strict=True))
        return w, slope, bend


def _bell(distance: Array, width: float, depth: float) -> tuple[Array, Array, Array]:
    """Gaussian bell and its derivatives at distances from its middle."""
    x = distance / width
    w = depth * np.exp(-x * x)
    return w, -2.0 * x * w / width, (4.0 * x * x - 2.0) * w / width**2


@dataclass(frozen=True)
class Wave:
    """w = depth cos(2 pi (s - at) / wavelength), along the whole meridian.

    Source: Koiter's axisymmetric imperfection of a cylinder, On the stability of elastic equilibrium, 1945 (from
    memory).
    """

    at: float
    wavelength: float
    depth: float

    @property
    def scale(self) -> float:
        """Length [mm] over which it changes."""
        return 0.25 * self.wavelength

    def detail(self, s: Array) -> Array:
        """Return a quarter of the wave."""
        return np.full(np.shape(s), self.scale)

    def values(self, s: Array) -> tuple[Array, Array, Array]:
        """Return w, w' and w'' at arc lengths."""
        q = 2.0 * math.pi / self.wavelength
        cos, sin = np.cos(q * (s - self.at)), np.sin(q * (s - self.at))
        return self.depth * cos, -self.depth * q * sin, -self.depth * q**2 * cos


@dataclass(frozen=True, eq=False)
class Spline:
    """A cubic spline through deviations at arc lengths: of a scan, or of a mode."""

    through: "scipy.interpolate.CubicSpline"  # quoted: what is not asked for is not loaded
    scale: float

    def detail(self, s: Array) -> Array:
        """Return its scale."""
        return np.full(np.shape(s), self.scale)

    def values(self, s: Array) -> tuple[Array, Array, Array]:
        """Return w, w' and w'' at arc lengths; beyond the ends those of the end, without slope."""
        first, last = self.through.x[0], self.through.x[-1]
        inside = (s >= first) & (s <= last)
        at = np.clip(s, first, last)
        return self.through(at), np.where(inside, self.through(at, 1), 0.0), np.where(inside, self.through(at, 2), 0.0)


def through(s: Array, w: Array, mirrored: tuple[bool, bool]) -> Spline:
    """Return the spline through deviations w at arc lengths s, both (points,) [mm], ends included.

    At an end that lies on the axis, start or end, it goes on as its mirror image, so that the apex stays level. Its
    scale is a quarter of the wave whose bending is to its size as in the mean of this one.
    """
    before, after = (slice(-1, 0, -1) if one else slice(0, 0) for one in mirrored)
    after = slice(-2, None, -1) if mirrored[1] else after
    at = np.concatenate([2.0 * s[0] - s[before], s, 2.0 * s[-1] - s[after]])
    spline = scipy.interpolate.CubicSpline(at, np.concatenate([w[before], w, w[after]]))
    bend = np.sqrt(np.trapezoid(spline(s, 2) ** 2, s) / np.trapezoid(w**2, s))
    return Spline(spline, 0.5 * math.pi / math.sqrt(float(bend)))
