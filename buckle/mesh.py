"""Graded meridian meshes: short elements where the meridian bends tightly or is thin, long ones elsewhere.

The mesh knows runs, not pieces: a run goes on as long as heading, curvature and thickness do, so that a piece that is
written as two leaves the mesh as it was.
"""

from dataclasses import dataclass
from typing import Protocol, runtime_checkable

import numpy as np
from numpy.typing import NDArray
from skfem import MeshLine

from buckle.meridian import AnyPiece, Meridian

Array = NDArray[np.float64]
SAMPLES = 65  # of each run, where its wish for short elements is heard
MOST_SAMPLES = 4097  # of a run with a deviation
SAME = 1e-9  # relative: curvatures and thicknesses that differ by less are one


@runtime_checkable
class Detailed(Protocol):
    """A piece whose curvature changes along it, over a length of its own."""

    def detail(self, distance: Array) -> Array:
        """Return that length [mm] at a distance from the start; infinite where it hardly changes."""
        ...


@dataclass(frozen=True)
class Grading:
    """Target element lengths, as fractions of what the shell's bending can vary over."""

    per_decay: float = 1.5  # element length / sqrt(R t), R the smaller principal radius
    per_turn: float = 0.7  # element length * curvature: radians an element may turn through
    per_thickness: float = float("inf")  # element length / thickness at edges and kinks, where walls fold in a line
    per_detail: float = 0.5  # element length / length over which the curvature of a deviation changes
    growth: float = 0.35  # growth of the element length per unit of distance
    per_run: int = 1  # fewest elements on any run
    per_meridian: int = 12  # fewest elements on the whole meridian

    def refined(self, factor: float) -> "Grading":
        """Return a grading with elements shorter by the factor."""
        return Grading(
            per_decay=self.per_decay / factor,
            per_turn=self.per_turn / factor,
            per_thickness=self.per_thickness / factor,
            per_detail=self.per_detail / factor,
            growth=self.growth,
            per_run=max(1, round(self.per_run * factor)),
            per_meridian=round(self.per_meridian * factor),
        )


@dataclass(frozen=True)
class MeridianMesh:
    """Elements along a meridian; `line` is a scikit-fem mesh of arc length s [mm]."""

    meridian: Meridian
    line: MeshLine
    vertices: Array  # (elements + 1,) arc length of element ends
    broken: NDArray[np.bool_]  # (elements + 1,) where curvature or thickness jumps, or the heading does
    kinked: NDArray[np.bool_]  # (elements + 1,) where the heading jumps
    hinged: NDArray[np.bool_]  # (elements + 1,) where both sides turn apart

    @property
    def count(self) -> int:
        """Number of elements."""
        return len(self.vertices) - 1


def mesh_meridian(
    meridian: Meridian, grading: Grading | None = None, ring: float | None = None, hinge: float | None = None
) -> MeridianMesh:
    """Mesh a meridian so that every end of a run is an element end.

    At a ring [mm of arc] forces jump, at a hinge both sides turn apart.
    """
    grading = grading or Grading()
    ends, jumps = _runs(meridian)
    if ring is not None:
        ends, jumps = _with_ring(ends, jumps, ring)
    samples, targets = _target_lengths(meridian, ends, grading)
    parts = [ends[:1]]
    for sample, target in zip(samples, targets, strict=True):
        wanted = _elements_wanted(sample, target)
        count = max(grading.per_run, int(np.ceil(wanted[-1] - 1e-9)))
        parts.append(np.interp(np.linspace(0.0, wanted[-1], count + 1)[1:-1], wanted, sample))
        parts.append(sample[-1:])
    s = np.concatenate(parts)
    hinged = np.full(len(s), False)
    if hinge is not None:
        hinged[np.argmin(np.abs(s - hinge))] = True
    return MeridianMesh(meridian, MeshLine(s), s, np.isin(s, ends[jumps]), np.isin(s, _kinks(meridian)), hinged)


def _runs(meridian: Meridian) -> tuple[Array, NDArray[np.bool_]]:
    """Arc lengths at the ends of runs, and at which of them curvature, thickness or heading jumps.

    A bend in the thickness alone ends a run but is no jump.
    """
    index, lengths = np.arange(len(meridian.pieces)), np.diff(meridian.breaks)
    start, end = meridian.at(index, 0.0 * lengths), meridian.at(index, lengths)
    slope = np.array([piece.thickness[1] - piece.thickness[0] for piece in meridian.pieces]) / lengths
    sharpest = max(piece.sharpest for piece in meridian.pieces)
    jump = np.array([_turns(piece) for piece in meridian.pieces[1:]], dtype=np.bool_)
    jump |= _apart(end.curvature[:-1], start.curvature[1:], sharpest)
    jump |= _apart(end.thickness[:-1], start.thickness[1:], float(np.max(start.thickness)))
    bend = _apart(slope[:-1], slope[1:], 1.0)
    kept = np.concatenate([[True], jump | bend, [True]])
    return meridian.breaks[kept], np.concatenate([[False], jump, [False]])[kept]


def _with_ring(ends: Array, jumps: NDArray[np.bool_], ring: float) -> tuple[Array, NDArray[np.bool_]]:
    """Ends of runs and jumps with the ring among them."""
    at = int(np.argmin(np.abs(ends - ring)))
    if abs(ends[at] - ring) > SAME * ends[-1]:
        at = int(np.searchsorted(ends, ring))
        ends, jumps = np.insert(ends, at, ring), np.insert(jumps, at, values=False)
    jumps = jumps.copy()
    jumps[at] = True
    return ends, jumps


def _kinks(meridian: Meridian) -> list[float]:
    """Arc lengths at which the heading jumps."""
    inner = zip(meridian.breaks[1:-1], meridian.pieces[1:], strict=True)
    return [float(station) for station, piece in inner if _turns(piece)]


def _turns(piece: AnyPiece) -> bool:
    return abs(piece.turn_here) > SAME


def _apart(a: Array, b: Array, scale: float) -> NDArray[np.bool_]:
    return np.abs(a - b) > SAME * scale


def _target_lengths(meridian: Meridian, ends: Array, grading: Grading) -> tuple[Array, Array]:
    """Samples of arc length on every run and the element length wanted there, (runs, samples) each.

    It is the smallest over the whole meridian of what a place asks for itself plus growth with the distance from it.
    """
    s = np.linspace(ends[:-1], ends[1:], _samples(meridian, ends), axis=1)
    inside = np.clip(s, ends[:-1, None] + SAME * meridian.length, ends[1:, None] - SAME * meridian.length)
    at = meridian.at_s(inside)  # a little within the run, where a jump leaves no doubt
    length = meridian.length
    bend = np.abs(at.curvature)
    across = np.abs(np.sin(at.heading)) / np.maximum(at.r, 1e-9 * length)
    radius = 1.0 / np.maximum(np.maximum(bend, across), 1.0 / length)
    own = np.minimum(grading.per_decay * np.sqrt(radius * at.thickness), grading.per_turn / np.maximum(bend, 1e-12))
    own[_folds(meridian, s)] = np.minimum(own, grading.per_thickness * at.thickness)[_folds(meridian, s)]
    own = np.minimum(own, grading.per_detail * _detail(meridian, inside))
    own, walked = np.minimum(own, length / grading.per_meridian).ravel(), grading.growth * s.ravel()
    behind = np.minimum.accumulate(own - walked) + walked
    ahead = np.minimum.accumulate((own + walked)[::-1])[::-1] - walked
    return s, np.minimum(behind, ahead).reshape(s.shape)


def _samples(meridian: Meridian, ends: Array) -> int:
    """Samples of each run: as many as it takes to see the shortest detail of any."""
    if not any(isinstance(piece, Detailed) for piece in meridian.pieces):
        return SAMPLES
    shortest = float(np.min(_detail(meridian, np.linspace(0.0, meridian.length, MOST_SAMPLES))))
    return int(np.clip(2.0 * np.max(np.diff(ends)) / shortest, SAMPLES, MOST_SAMPLES))


def _detail(meridian: Meridian, s: Array) -> Array:
    """Length [mm] over which the curvature changes at arc lengths; infinite where it does by no deviation."""
    out = np.full(s.shape, np.inf)
    for piece, start, end in zip(meridian.pieces, meridian.breaks[:-1], meridian.breaks[1:], strict=True):
        here = (s >= start) & (s < end)
        if isinstance(piece, Detailed):
            out[here] = piece.detail(s[here] - start)
    return out


def _folds(meridian: Meridian, s: Array) -> NDArray[np.bool_]:
    """Whether an arc length is an edge or a kink."""
    edges = ([] if meridian.closed_at_start else [0.0]) + ([] if meridian.closed_at_end else [meridian.length])
    return np.isin(s, [*edges, *_kinks(meridian)])


def _elements_wanted(s: Array, target: Array) -> Array:
    """Number of elements wanted from the start of a run up to each of its samples."""
    per_length = 1.0 / target
    steps = 0.5 * (per_length[1:] + per_length[:-1]) * np.diff(s)
    return np.concatenate([[0.0], np.cumsum(steps)])
