"""A piece of a meridian moved along its normal by a deviation, walked by its own arc length."""

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.errors import ShapeError
from buckle.imperfection.profile import Profile
from buckle.meridian import AnyPiece, Piece, Walked

Array = NDArray[np.float64]

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(8)
PANELS_PER_SCALE = 4.0
"""Of 8 Gauss points each: arc lengths of a dimple of any width are then exact to round-off (a test)."""
FEWEST, MOST = 8, 4096  # panels on a piece
STEP = 1e-4  # of a piece, for the change of curvature of one that is neither line nor arc
SAMPLES = 9  # of each panel, where the sharpest curvature is looked for


@dataclass(frozen=True, eq=False)
class DeviatedPiece:
    """A piece whose mid-surface lies w(s) to the left of the perfect one (`side` 1) or to its right (-1).

    With x = 1 - kappa f and y = f', f = side w, its speed is hypot(x, y) and its heading turns by atan2(y, x) from that
    of the perfect piece. `offset` is where the perfect piece starts on its meridian; `begin` and `end` are distances
    along it [mm] and `thickness` stands at them. Raises ShapeError where the deviation would fold it. Derived here.
    """

    perfect: AnyPiece
    offset: float
    profile: Profile
    side: int
    begin: float
    end: float
    thickness: tuple[float, float]
    turn_here: float = 0.0
    name: str = ""

    def __post_init__(self) -> None:
        x, _, _, _ = self._terms(self._samples)
        if float(np.min(x)) <= 0.0:
            problem = "is deeper than the radius of the piece that it would fold"
            raise ShapeError("deviation", None, f"{self.name or 'piece'}: {problem}", "a shallower one")

    @property
    def length(self) -> float:
        """Arc length [mm]."""
        return float(self._walked[-1])

    @cached_property
    def sharpest(self) -> float:
        """Largest curvature, without its sign [1/mm]."""
        return float(np.max(np.abs(self._geometry(self._samples)[3])))

    def walk(self, distance: Array) -> Walked:
        """Return position, turn and curvature after a distance [mm] from the start."""
        along, left, heading, curvature = self._geometry(self.perfect_distance(np.asarray(distance)))
        start = self._geometry(np.asarray(self.begin))
        c, s = math.cos(float(start[2])), math.sin(float(start[2]))
        x, y = along - start[0], left - start[1]
        return Walked(c * x + s * y, c * y - s * x, heading - start[2], curvature)

    def detail(self, distance: Array) -> Array:
        """Return the length [mm] over which the curvature changes at a distance from the start."""
        return self.profile.detail(self.offset + self.perfect_distance(distance))

    def part(self, start: float, end: float, thickness: tuple[float, float]) -> "DeviatedPiece":
        """Return the part between two distances from the start, with its own thickness at both ends."""
        ends = self.perfect_distance(np.array([start, end]))
        turn = self.turn_here if start == 0.0 else 0.0
        return replace(self, begin=float(ends[0]), end=float(ends[1]), thickness=thickness, turn_here=turn)

    def tilt(self, distance: float) -> float:
        """Return by how much the deviation turns the heading [rad] at a distance along the perfect piece."""
        x, y, _, _ = self._terms(np.asarray(distance))
        return float(np.arctan2(y, x))

    def distance_of(self, distance: float) -> float:
        """Return the distance from the start [mm] of what is at a distance along the perfect piece."""
        return float(self._length_to(np.asarray(distance)))

    def perfect_distance(self, distance: Array) -> Array:
        """Distance along the perfect piece after a distance from the start, by Newton steps from the table."""
        along = np.interp(distance, self._walked, self._breaks)
        for _ in range(20):
            step = (self._length_to(along) - distance) / self._speed(along)
            along = np.clip(along - step, self.begin, self.end)
            if np.max(np.abs(step), initial=0.0) <= 1e-13 * (self.end - self.begin):
                break
        return along

    @cached_property
    def _breaks(self) -> Array:
        """Ends of the panels, distances along the perfect piece."""
        wanted = math.ceil(PANELS_PER_SCALE * (self.end - self.begin) / self.profile.scale)
        return np.linspace(self.begin, self.end, min(MOST, max(FEWEST, wanted)) + 1)

    @cached_property
    def _walked(self) -> Array:
        """Distance from the start at the ends of the panels."""
        return np.concatenate([[0.0], np.cumsum(self._integral(self._breaks[:-1], self._breaks[1:]))])

    @cached_property
    def _samples(self) -> Array:
        return np.linspace(self.begin, self.end, SAMPLES * (len(self._breaks) - 1) + 1)

    def _integral(self, start: Array, end: Array) -> Array:
        """Arc length between distances along the perfect piece, within a panel each."""
        half = 0.5 * (end - start)
        points = 0.5 * (start + end)[..., None] + half[..., None] * _POINTS
        out: Array = half * (self._speed(points) @ _WEIGHTS)
        return out

    def _length_to(self, distance: Array) -> Array:
        panel = np.clip(np.searchsorted(self._breaks, distance, side="right") - 1, 0, len(self._breaks) - 2)
        return np.asarray(self._walked[panel] + self._integral(self._breaks[panel], distance))

    def _speed(self, distance: Array) -> Array:
        x, y, _, _ = self._terms(distance)
        return np.hypot(x, y)

    def _terms(self, distance: Array) -> tuple[Array, Array, Array, Array]:
        """Terms x = 1 - kappa f, y = f' and their derivatives at distances along the perfect piece."""
        f, slope, bend = (self.side * each for each in self.profile.values(self.offset + distance))
        curvature, change = self._curvature(distance)
        return 1.0 - curvature * f, slope, -change * f - curvature * slope, bend

    def _curvature(self, distance: Array) -> tuple[Array, Array]:
        """Curvature of the perfect piece and its change along it, by a difference where it is no line or arc."""
        here = self.perfect.walk(distance).curvature
        if isinstance(self.perfect, Piece):
            return here, np.zeros_like(distance)
        step = STEP * self.perfect.length
        low, high = np.maximum(distance - step, 0.0), np.minimum(distance + step, self.perfect.length)
        change = (self.perfect.walk(high).curvature - self.perfect.walk(low).curvature) / (high - low)
        return here, change

    def _geometry(self, distance: Array) -> tuple[Array, Array, Array, Array]:
        """Position in the frame of the perfect piece, heading and curvature at distances along it."""
        walked = self.perfect.walk(distance)
        f = self.side * self.profile.values(self.offset + distance)[0]
        x, y, x_change, y_change = self._terms(distance)
        speed = np.hypot(x, y)
        curvature = (walked.curvature + (x * y_change - y * x_change) / speed**2) / speed
        along, left = walked.along - f * np.sin(walked.turned), walked.left + f * np.cos(walked.turned)
        return along, left, walked.turned + np.arctan2(y, x), curvature
