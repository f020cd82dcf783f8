"""Parts of a container as meridians of their own: cut where they end, and joined to one body up to its brim."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from buckle.errors import ShapeError
from buckle.meridian import AnyPiece, Meridian
from buckle.shapes import Family

FOOT = "wall foot"
"""Point of a body where its wall begins."""
UPRIGHT = 1e-6
"""rad: a wall that leans by less is straight up."""
SAME = 1e-9
"""mm: shorter is nothing."""


@dataclass(frozen=True)
class Part:
    """A part with its own metal; density in kg/m3."""

    name: str
    meridian: Meridian
    density: float

    @property
    def mass(self) -> float:
        """Mass of its metal [g]."""
        return self.meridian.mass(self.density)


def cut(meridian: Meridian, start: float, end: float) -> Meridian:
    """Return the stretch between two arc lengths [mm] with the points on it; raises ShapeError if there is none."""
    if not (start >= -SAME and end - start > SAME and end <= meridian.length + SAME):
        raise ShapeError("cut", (start, end), "is no stretch of the meridian", f"[0, {meridian.length:.6g}] mm")
    pieces = tuple(_within(meridian, start, end))
    at = meridian.at_s(start)
    points = {name: s - start for name, s in meridian.points.items() if start - SAME <= s <= end + SAME}
    heading = float(at.heading) - pieces[0].turn_here
    return Meridian((float(at.r), float(at.z)), heading, meridian.inside, pieces, points, gauge=meridian.gauge)


def _within(meridian: Meridian, start: float, end: float) -> Sequence[AnyPiece]:
    """Return the pieces between two arc lengths, those at the ends in part."""
    found = []
    for piece, first, last in zip(meridian.pieces, meridian.breaks[:-1], meridian.breaks[1:], strict=True):
        low, high = max(start, float(first)), min(end, float(last))
        if high - low > SAME:
            found.append(_part(piece, low - float(first), high - float(first)))
    return found


def _part(piece: AnyPiece, start: float, end: float) -> AnyPiece:
    start, end = (0.0 if start <= SAME else start), (piece.length if end >= piece.length - SAME else end)
    if (start, end) == (0.0, piece.length):
        return piece
    first, last = piece.thickness
    thickness = [first + (last - first) * along / piece.length for along in (start, end)]
    return piece.part(start, end, (thickness[0], thickness[1]))


def without_stub(meridian: Meridian, family: Family) -> Meridian:
    """Return a body of a family without the pieces of its neighbours that it was given as supports.

    A base ends at the foot of its wall, however high a wall was looked at, and a neck begins at its shoulder; an end
    ends at its edge, where the seam begins.
    """
    if not (family.stub_from or family.stub_to):
        return meridian
    start = meridian.points[family.stub_to] if family.stub_to else 0.0
    return cut(meridian, start, meridian.points[family.stub_from] if family.stub_from else meridian.length)


def lean_of(base: Meridian) -> float:
    """By how much a walk ends leaning from the axis [rad]."""
    return float(base.at_s(base.length).heading) - 0.5 * math.pi


def joined(base: Meridian, stretches: Mapping[str, Sequence[AnyPiece]]) -> Meridian:
    """Return a base that ends at the foot of its wall and the pieces of each stretch above it, wall first, as one walk.

    The points of the body are those of the base, FOOT, and the name of each stretch where it ends. Raises ShapeError if
    the base does not end upright.
    """
    lean = lean_of(base)
    if abs(lean) > UPRIGHT:
        raise ShapeError("base", math.degrees(lean), "does not end in an upright wall", "0 deg from the axis")
    points = {**base.points, FOOT: base.length}
    length = base.length
    for name, pieces in stretches.items():
        length += sum(piece.length for piece in pieces)
        points[name] = length
    above = tuple(piece for pieces in stretches.values() for piece in pieces)
    return Meridian(base.start, base.heading, base.inside, base.pieces + above, points, gauge=base.gauge)
