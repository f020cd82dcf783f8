"""The whole container as one walk: base, wall and neck up to the brim, and the end from its edge to its centre."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from buckle.container.container import Container
from buckle.container.models import END
from buckle.container.whole import body_of, closes
from buckle.errors import ShapeError
from buckle.meridian import ON_AXIS, Meridian, Piece

NEAR = 0.05
"""mm between edge and brim up to which the flat centre of the end takes the difference."""


@dataclass(frozen=True)
class Joined:
    """One meridian; `parts` are its stretches and `seam` the fold between brim and end, by arc length [mm]."""

    meridian: Meridian
    parts: Mapping[str, tuple[float, float]]
    seam: float | None


def joined_walk(container: Container) -> Joined:
    """Return the container as one walk that begins and ends on the axis; raises ShapeError where it is none."""
    body, end = body_of(container), container.parts.get(END)
    if body is None or end is None:
        missing = "base" if body is None else END
        raise ShapeError("parts", None, f"no {missing}: one shell of the whole begins and ends on the axis")
    if not closes(body, end):
        raise ShapeError("parts", None, "the end's edge does not meet the brim")
    inward = _reversed(end.meridian)
    brim = body.meridian.at_s(body.meridian.length)
    fold = math.remainder(inward.heading - float(brim.heading), 2.0 * math.pi)
    pieces = list(inward.pieces)
    pieces[0] = replace(pieces[0], turn_here=fold)
    pieces[-1] = _closing(pieces[-1], float(brim.r) - inward.start[0])
    length = body.meridian.length
    meridian = replace(body.meridian, pieces=(*body.meridian.pieces, *pieces), measures=())
    return Joined(meridian, {**body.parts, END: (length, meridian.length)}, length)


@dataclass(frozen=True)
class _Inward:
    """A walk from an outer edge to the axis: where it starts [mm] and heads [rad]."""

    start: tuple[float, float]
    heading: float
    pieces: tuple[Piece, ...]


def _reversed(meridian: Meridian) -> _Inward:
    """Return a walk the other way round; raises ShapeError for pieces that are neither lines nor arcs."""
    pieces = []
    turn = 0.0
    for piece in meridian.pieces[::-1]:
        if not isinstance(piece, Piece):
            raise ShapeError(piece.name or "piece", None, "is neither a line nor an arc, and cannot be walked inward")
        pieces.append(Piece(piece.length, -piece.curvature, piece.thickness[::-1], turn, piece.name))
        turn = -piece.turn_here
    edge = meridian.at_s(meridian.length)
    return _Inward((float(edge.r), float(edge.z)), float(edge.heading) + math.pi, tuple(pieces))


def _closing(centre: Piece, wider: float) -> Piece:
    """Return the innermost piece as much longer as the brim is wider than the end's edge [mm]."""
    if abs(wider) <= ON_AXIS:
        return centre
    if centre.curvature or abs(wider) > NEAR:
        raise ShapeError("parts", wider, "the end's edge and the brim differ", f"up to {NEAR:g} mm, a flat panel")
    return replace(centre, length=centre.length + wider)
