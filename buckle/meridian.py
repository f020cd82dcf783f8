"""The mid-surface of a shell of revolution as a walk of tangent arcs and lines, kept exact.

Lengths in mm, angles in rad. The walk has a heading (0 = outward, +r; pi/2 = up, +z); turning left is positive. The
left normal is N = (-sin heading, cos heading) in (r, z). Kinks are allowed only where a piece states `turn_here`.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from types import MappingProxyType
from typing import Any, Literal, Protocol

import numpy as np
from numpy.typing import ArrayLike, NDArray

from buckle.errors import ShapeError

Array = NDArray[np.float64]

RIGHT_ANGLE = 0.5 * math.pi
ON_AXIS = 1e-9  # mm: a radius below this is on the axis
LEANS = 1e-3  # rad: more is not square to the axis
_PANELS = 8  # of 16 Gauss points on each piece: arcs to round-off, ellipses of aspect 4 to 1e-12
_CHORDS = 8
_SAMPLES = np.linspace(0.0, 1.0, 33)
_GAUSS_POINTS, _GAUSS_WEIGHTS = np.polynomial.legendre.leggauss(16)


@dataclass(frozen=True)
class Walked:
    """Where a piece has come to, in its own frame (origin at its start, first axis along its heading)."""

    along: Array
    left: Array
    turned: Array
    curvature: Array


class AnyPiece(Protocol):
    """What the meridian asks of a piece; `Piece` is the usual one."""

    @property
    def length(self) -> float:
        """Arc length [mm]."""
        ...

    @property
    def thickness(self) -> tuple[float, float]:
        """Thickness at start and end [mm], linear between."""
        ...

    @property
    def sharpest(self) -> float:
        """Largest curvature, without its sign [1/mm]."""
        ...

    @property
    def turn_here(self) -> float:
        """Kink before the piece [rad]."""
        ...

    @property
    def name(self) -> str:
        """Trade name of the piece, or ''."""
        ...

    def walk(self, distance: Array) -> Walked:
        """Return position, turn and curvature after a distance [mm] from the start, shaped like it."""
        ...

    def part(self, start: float, end: float, thickness: tuple[float, float]) -> "AnyPiece":
        """Return the part between two distances from the start; it keeps the kink only if it starts at 0."""
        ...


@dataclass(frozen=True)
class Piece:
    """A line (curvature 0) or an arc; raises ShapeError for what cannot be a strip of metal."""

    length: float  # mm
    curvature: float  # 1/mm, d(heading)/ds
    thickness: tuple[float, float]  # mm at start and end, linear between
    turn_here: float = 0.0  # rad, kink before this piece
    name: str = ""

    def __post_init__(self) -> None:
        what = self.name or "piece"
        _check(f"{what}.length", self.length, 0.0, math.inf)
        most = 2.0 * math.pi / self.length
        _check(f"{what}.curvature", self.curvature, -most * (1 + 1e-12), most * (1 + 1e-12))
        _check(f"{what}.turn_here", self.turn_here, -math.pi, math.pi)
        for thickness in self.thickness:
            _check(f"{what}.thickness", thickness, 0.0, math.inf)

    @property
    def sharpest(self) -> float:
        """Largest curvature, without its sign [1/mm]."""
        return abs(self.curvature)

    def walk(self, distance: Array) -> Walked:
        """Return position, turn and curvature after a distance [mm] from the start."""
        return _round(self.curvature, distance)

    def part(self, start: float, end: float, thickness: tuple[float, float]) -> "Piece":
        """Return the part between two distances from the start, with its own thickness at both ends."""
        return Piece(end - start, self.curvature, thickness, self.turn_here if start == 0.0 else 0.0, self.name)


def _round(curvature: Array | float, distance: Array) -> Walked:
    """Where a line or an arc has come to after a distance."""
    turned = curvature * distance
    chord = distance * np.sinc(turned / (2.0 * np.pi))
    along, left = chord * np.cos(0.5 * turned), chord * np.sin(0.5 * turned)
    return Walked(along, left, turned, np.broadcast_to(curvature, turned.shape))


def _walk_each(pieces: Sequence[AnyPiece], shares: Array) -> Walked:
    """Where every piece has come to after shares of its length, arrays (pieces, shares); lines and arcs at one go."""
    distance = shares * np.array([[piece.length] for piece in pieces])
    curvature = [[piece.curvature] for piece in pieces if isinstance(piece, Piece)]
    if len(curvature) == len(pieces):
        return _round(np.array(curvature), distance)
    each = [piece.walk(one) for piece, one in zip(pieces, distance, strict=True)]
    return Walked(*(np.array([getattr(walked, name) for walked in each]) for name in Walked.__dataclass_fields__))


def _check(key: str, value: float, low: float, high: float) -> None:
    if not low < value < high:
        raise ShapeError(key, value, "out of range", f"({low:.6g}, {high:.6g})")


def line(length: float, thickness: float, name: str = "") -> Piece:
    """Return a straight piece of constant thickness."""
    return Piece(length, 0.0, (thickness, thickness), name=name)


def arc(radius: float, turn: float, thickness: float, name: str = "") -> Piece:
    """Return an arc of constant thickness that turns by a signed angle [rad], + = left."""
    _check(f"{name or 'arc'}.radius", radius, 0.0, math.inf)
    return Piece(radius * abs(turn), math.copysign(1.0 / radius, turn), (thickness, thickness), name=name)


@dataclass(frozen=True)
class Station:
    """What the meridian is at a point; arrays of equal shape."""

    r: Array
    z: Array
    heading: Array
    curvature: Array
    thickness: Array


@dataclass(frozen=True)
class Measure:
    """A named dimension of a drawing: from one named point to another, or the diameter at one."""

    name: str
    start: str
    end: str = ""
    along: Literal["diameter", "height"] = "diameter"


@dataclass(frozen=True)
class Meridian:
    """A walk of pieces from a start; raises ShapeError if it leaves the half-plane r >= 0."""

    start: tuple[float, float]
    heading: float
    inside: Literal["left", "right"]
    pieces: tuple[AnyPiece, ...]
    points: Mapping[str, float] = field(default_factory=dict, hash=False)  # name -> s
    measures: tuple[Measure, ...] = ()
    gauge: float | None = None  # thickness of the blank it was drawn from

    def __post_init__(self) -> None:
        object.__setattr__(self, "points", MappingProxyType(dict(self.points)))
        _check_start(self)
        _check_pieces(self)
        _check_apexes(self)
        _check_crossing(self)

    def __reduce__(self) -> tuple[Any, ...]:
        """Let worker processes receive it: a read-only mapping does not pickle by itself."""
        fields = (self.start, self.heading, self.inside, self.pieces, dict(self.points), self.measures, self.gauge)
        return Meridian, fields

    @cached_property
    def breaks(self) -> Array:
        """Arc length at every end of a piece, (pieces + 1,) [mm]."""
        return _frozen(np.concatenate([[0.0], np.cumsum([piece.length for piece in self.pieces])]))

    @property
    def length(self) -> float:
        """Arc length of the whole walk [mm]."""
        return float(self.breaks[-1])

    @cached_property
    def _starts(self) -> Array:
        """r, z, heading where every piece starts (after its kink) and where the last ends, (pieces + 1, 3)."""
        end = _walk_each(self.pieces, np.ones(1))
        along, left, turned = end.along[:, 0], end.left[:, 0], end.turned[:, 0]
        kinks = np.array([piece.turn_here for piece in self.pieces])
        heading = self.heading + np.cumsum(kinks) + np.cumsum(turned) - turned
        c, s = np.cos(heading), np.sin(heading)
        r = np.cumsum([self.start[0], *(c * along - s * left)])
        z = np.cumsum([self.start[1], *(s * along + c * left)])
        return _frozen(np.stack([r, z, np.append(heading, heading[-1] + turned[-1])], axis=1))

    @cached_property
    def _round_pieces(self) -> Array | None:
        """Curvature, length and thickness at both ends of lines and arcs, (4, pieces); None if there are others."""
        rows = [(each.curvature, each.length, *each.thickness) for each in self.pieces if isinstance(each, Piece)]
        return _frozen(np.array(rows).T) if len(rows) == len(self.pieces) else None

    def at(self, piece_index: ArrayLike, distance: ArrayLike) -> Station:
        """Return the station at a distance [mm] from the start of a piece; index and distance broadcast."""
        index, distance = np.broadcast_arrays(np.asarray(piece_index), np.asarray(distance, dtype=np.float64))
        if self._round_pieces is not None:
            curvature, length, first, last = self._round_pieces[:, index]
            thickness = first + (last - first) * distance / length
            return Station(*_stations(_round(curvature, distance), self._starts.T[:, index], thickness))
        out = np.empty((5, *index.shape))
        for i in np.unique(index):
            here, (first, last) = index == i, self.pieces[i].thickness
            thickness = first + (last - first) * distance[here] / self.pieces[i].length
            out[:, here] = _stations(self.pieces[i].walk(distance[here]), self._starts[i], thickness)
        return Station(*out)

    def at_s(self, s: ArrayLike) -> Station:
        """Return the station at arc length s [mm]; at a kink, of the piece that starts there."""
        s = np.asarray(s, dtype=np.float64)
        slack = 1e-12 * self.length
        if not np.all((s >= -slack) & (s <= self.length + slack)):
            raise ShapeError("s", s.tolist(), "not on the meridian", f"[0, {self.length:.6g}] mm")
        index = self._index(s)
        return self.at(index, s - self.breaks[index])

    def piece_at(self, s: float) -> AnyPiece:
        """Return the piece at arc length s [mm]; at a junction, the one that starts there."""
        return self.pieces[int(self._index(np.asarray(s)))]

    def _index(self, s: Array) -> NDArray[np.intp]:
        return np.clip(np.searchsorted(self.breaks, s, side="right") - 1, 0, len(self.pieces) - 1)

    @property
    def closed_at_start(self) -> bool:
        """Whether the walk starts on the axis."""
        return bool(abs(self._starts[0, 0]) < ON_AXIS)

    @property
    def closed_at_end(self) -> bool:
        """Whether the walk ends on the axis."""
        return bool(abs(self._starts[-1, 0]) < ON_AXIS)

    @cached_property
    def _gauss(self) -> tuple[Station, Array]:
        """Stations of a Gauss rule on every piece and their weights [mm], (pieces, points) both."""
        unit = (np.linspace(0.0, 1.0, _PANELS + 1)[:-1, None] + (_GAUSS_POINTS + 1.0) / (2 * _PANELS)).ravel()
        lengths = np.diff(self.breaks)[:, None]
        weights = lengths * np.tile(_GAUSS_WEIGHTS / (2 * _PANELS), _PANELS)
        return self.at(np.arange(len(self.pieces))[:, None], lengths * unit), weights

    @property
    def surface_area(self) -> float:
        """Area of the mid-surface [mm2]."""
        at, weights = self._gauss
        return float(2.0 * np.pi * np.sum(at.r * weights))

    @property
    def swept_volume(self) -> float:
        """Volume [mm3] over the mid-surface up to the plane where the walk ends, less that of its start, signed."""
        at, weights = self._gauss
        return float(np.pi * np.sum(at.r**2 * np.sin(at.heading) * weights))

    @property
    def enclosed_volume(self) -> float:
        """Volume between the mid-surface and the planes of its ends [mm3]: |pi * integral of r^2 dz|."""
        return abs(self.swept_volume)

    @property
    def metal_volume(self) -> float:
        """Volume of metal [mm3], exact for thickness measured along the normal; wedges at kinks are left out.

        2 pi * integral of (r t + curvature sin(heading) t^3 / 12) ds: the second term is Pappus' shift of the centroid.
        """
        at, weights = self._gauss
        section = at.r * at.thickness + at.curvature * np.sin(at.heading) * at.thickness**3 / 12.0
        return float(2.0 * np.pi * np.sum(section * weights))

    def mass(self, density: float) -> float:
        """Return the mass [g] for a density [kg/m3]."""
        return self.metal_volume * density * 1e-6

    @property
    def blank_diameter(self) -> float:
        """Mean diameter [mm] of the flat disc of the gauge (else of the first thickness) with the same volume."""
        gauge = self.pieces[0].thickness[0] if self.gauge is None else self.gauge
        return math.sqrt(4.0 * self.metal_volume / (math.pi * gauge))


def points_at(pieces: Sequence[AnyPiece], names: Mapping[str, int]) -> dict[str, float]:
    """Return the arc length of named junctions, each given as the index of the piece that starts there."""
    breaks = np.concatenate([[0.0], np.cumsum([piece.length for piece in pieces])])
    return {name: float(breaks[index]) for name, index in names.items()}


def _frozen(array: Array) -> Array:
    array.setflags(write=False)
    return array


def _moved(walked: Walked, start: Array) -> Array:
    """r, z, heading of a walk from a start (r, z, heading), (3, ...)."""
    r, z, heading = start
    c, s, x, y = np.cos(heading), np.sin(heading), walked.along, walked.left
    return np.array([r + c * x - s * y, z + s * x + c * y, heading + walked.turned])


def _stations(walked: Walked, start: Array, thickness: Array) -> Array:
    """r, z, heading, curvature, thickness after walks, (5, ...); r is kept from going below 0 by round-off."""
    r, z, heading = _moved(walked, start)
    return np.array([np.maximum(r, 0.0), z, heading, walked.curvature, thickness])


def _check_apexes(meridian: Meridian) -> None:
    """Where the walk comes to the axis it must cross it squarely: the layers of a cone's tip would have no radius."""
    ends = ((meridian.closed_at_start, 0, 0), (meridian.closed_at_end, -1, len(meridian.pieces) - 1))
    for end, index in ((end, index) for closed, end, index in ends if closed):
        lean = abs(math.sin(meridian._starts[end, 2]))
        if lean > LEANS:
            problem = "a cone to the axis: its tip has no thickness that a shell could have; end it in an arc or a disc"
            raise ShapeError(f"{_key(meridian, index)}.heading", math.degrees(math.asin(lean)), problem, "0 deg there")


def _check_start(meridian: Meridian) -> None:
    if not meridian.pieces:
        raise ShapeError("pieces", [], "a meridian needs at least one piece", "one or more")
    numbers = (*meridian.start, meridian.heading)
    if not all(math.isfinite(number) for number in numbers):
        raise ShapeError("start", numbers, "must be finite numbers")
    if meridian.start[0] < 0.0:
        raise ShapeError("start", meridian.start, "the radius must not be negative", "r >= 0")


def _key(meridian: Meridian, index: int) -> str:
    return meridian.pieces[index].name or f"pieces[{index}]"


def _smallest_radius(piece: AnyPiece, start: Array, both: float) -> float:
    """Smallest radius strictly inside a piece [mm], or a positive bound from below where that is plain to see.

    No piece can come to the axis between ends whose radii, `both`, add up to more than its length; the same holds
    between two samples. Else it is sought where the heading passes the vertical.
    """
    if both > piece.length:
        return 0.5 * (both - piece.length)
    distance = _SAMPLES * piece.length
    r, _, heading = _moved(piece.walk(distance), start)
    inner = float(np.min(r[1:-1]))
    if 2.0 * inner > distance[1]:
        return inner - 0.5 * float(distance[1])
    outward = np.cos(heading)
    for i in np.flatnonzero((outward[:-1] < 0.0) & (outward[1:] >= 0.0)):
        # Radius is stationary there, so that a straight line through the two cosines places it well enough.
        vertical = distance[i] + (distance[i + 1] - distance[i]) * outward[i] / (outward[i] - outward[i + 1])
        inner = min(inner, float(_moved(piece.walk(np.asarray(vertical)), start)[0]))
    return inner


def _check_pieces(meridian: Meridian) -> None:
    """Each piece must stay off the axis, but for the ends of the walk, and must not fold over itself."""
    radius = meridian._starts[:, 0].tolist()
    for i, piece in enumerate(meridian.pieces):
        smallest = _smallest_radius(piece, meridian._starts[i], radius[i] + radius[i + 1])
        if smallest <= 0.0 or (i and radius[i] <= ON_AXIS):
            problem = "the radius must stay above 0 between the ends"
            raise ShapeError(_key(meridian, i), min(smallest, radius[i]), problem, "r > 0")
        if piece.sharpest * max(piece.thickness) >= 2.0:
            problem = "thicker than twice the bend's radius"
            allowed = f"(0, {2.0 / piece.sharpest:.6g}) mm"
            raise ShapeError(f"{_key(meridian, i)}.thickness", max(piece.thickness), problem, allowed)
    if radius[-1] < -ON_AXIS:
        raise ShapeError("pieces", radius[-1], "the walk ends at a negative radius", "r >= 0")


def _check_crossing(meridian: Meridian) -> None:
    """No two pieces may cross; looked for between chords, an eighth of a piece each."""
    starts = meridian._starts
    at = _moved(_walk_each(meridian.pieces, np.linspace(0.0, 1.0, _CHORDS + 1)[:-1]), starts[:-1].T[:, :, None])
    r, z = np.append(at[0], starts[-1, 0]), np.append(at[1], starts[-1, 1])
    # side[i, j]: on which side of the line through chord i the point j lies, as an area
    side = np.diff(r)[:, None] * (z - z[:-1, None]) - np.diff(z)[:, None] * (r - r[:-1, None])
    round_off = 1e-12 * meridian.length**2
    apart = (side[:, :-1] * side[:, 1:] < 0.0) & (np.minimum(abs(side[:, :-1]), abs(side[:, 1:])) > round_off)
    crossing = np.argwhere(np.triu(apart & apart.T, k=2))
    if len(crossing):
        first, second = (_key(meridian, int(i) // _CHORDS) for i in crossing[0])
        raise ShapeError(first, None, f"it crosses the {second}", "a walk that does not meet itself")
