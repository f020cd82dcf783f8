"""Graded meridian meshes: short elements where the meridian bends tightly or is thin, long ones elsewhere."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from skfem import MeshLine

from buckle.meridian import Meridian

Array = NDArray[np.float64]
STATIONS = 17  # of each piece, where its wish for short elements is heard


@dataclass(frozen=True)
class Grading:
    """Target element lengths, as fractions of what the shell's bending can vary over."""

    per_decay: float = 1.4  # element length / sqrt(R t), R the smaller principal radius
    per_turn: float = 0.7  # element length * curvature: radians an element may turn through
    growth: float = 0.35  # growth of the element length per unit of distance
    per_piece: int = 1  # fewest elements on any piece
    per_meridian: int = 12  # fewest elements on the whole meridian

    def refined(self, factor: float) -> "Grading":
        """Return a grading with elements shorter by the factor."""
        return Grading(
            self.per_decay / factor,
            self.per_turn / factor,
            self.growth,
            max(1, round(self.per_piece * factor)),
            round(self.per_meridian * factor),
        )


@dataclass(frozen=True)
class MeridianMesh:
    """Elements along a meridian; `line` is a scikit-fem mesh of arc length s [mm]."""

    meridian: Meridian
    line: MeshLine
    vertices: Array  # (elements + 1,) arc length of element ends
    piece: NDArray[np.int64]  # (elements,) the piece each element lies on
    kinked: NDArray[np.bool_]  # (elements + 1,) where the meridian has a kink

    @property
    def count(self) -> int:
        """Number of elements."""
        return len(self.piece)


def mesh_meridian(meridian: Meridian, grading: Grading | None = None) -> MeridianMesh:
    """Mesh a meridian so that every piece boundary is an element end."""
    grading = grading or Grading()
    wishes = _own_lengths(meridian, grading)
    vertices, piece = [meridian.breaks[:1]], []
    for index in range(len(meridian.pieces)):
        density = _density(meridian, index, wishes, grading.growth)
        count = max(grading.per_piece, int(np.ceil(density[1][-1] - 1e-9)))
        vertices.append(_spread(density, count))
        piece += [index] * count
    s = np.concatenate(vertices)
    kinks = {meridian.breaks[i] for i, p in enumerate(meridian.pieces) if i and abs(p.turn_here) > 1e-9}
    return MeridianMesh(
        meridian, MeshLine(s), s, np.array(piece, dtype=np.int64), np.array([value in kinks for value in s])
    )


def _own_lengths(meridian: Meridian, grading: Grading) -> tuple[Array, Array]:
    """Stations along every piece and the element length each asks for, both (pieces * STATIONS,)."""
    index = np.repeat(np.arange(len(meridian.pieces)), STATIONS)
    distance = (np.diff(meridian.breaks)[:, None] * np.linspace(0.0, 1.0, STATIONS)).ravel()
    at = meridian.at(index, distance)
    length = meridian.length
    bend = np.abs(at.curvature)
    across = np.abs(np.sin(at.heading)) / np.maximum(at.r, 1e-9 * length)
    radius = 1.0 / np.maximum(np.maximum(bend, across), 1.0 / length)
    own = np.minimum(grading.per_decay * np.sqrt(radius * at.thickness), grading.per_turn / np.maximum(bend, 1e-12))
    return meridian.breaks[index] + distance, np.minimum(own, length / grading.per_meridian)


def _target_length(wishes: tuple[Array, Array], growth: float, s: Array) -> Array:
    """Element length wanted at s: the smallest over all stations of their own length plus growth with distance."""
    where, own = wishes
    target: Array = np.min(own + growth * np.abs(s[:, None] - where), axis=1)
    return target


def _density(meridian: Meridian, index: int, wishes: tuple[Array, Array], growth: float) -> tuple[Array, Array]:
    """Sample points on a piece and the number of elements wanted up to each."""
    s = np.linspace(meridian.breaks[index], meridian.breaks[index + 1], 65)
    per_length = 1.0 / _target_length(wishes, growth, s)
    steps = 0.5 * (per_length[1:] + per_length[:-1]) * np.diff(s)
    return s, np.concatenate([[0.0], np.cumsum(steps)])


def _spread(density: tuple[Array, Array], count: int) -> Array:
    """Ends of the elements of one piece, without its start, spread evenly over the density."""
    s, wanted = density
    ends = np.interp(np.linspace(0.0, wanted[-1], count + 1)[1:], wanted, s)
    ends[-1] = s[-1]
    return ends
