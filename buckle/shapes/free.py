"""Any meridian as a walk of arcs and lines."""

import math
from typing import Literal

from pydantic import BaseModel, ConfigDict

from buckle.errors import ShapeError
from buckle.meridian import Meridian, Piece, points_at
from buckle.shapes.arguments import ThicknessTable, shape
from buckle.shapes.family import Family
from buckle.shapes.thickness import with_thickness
from buckle.units import Angle, Length, PositiveLength


class WalkPiece(BaseModel):
    """One piece: an arc (its radius) with its signed turn, + = left, or a line; in mm and rad."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False)

    arc: PositiveLength | None = None
    turn: Angle | None = None
    line: PositiveLength | None = None
    thickness: PositiveLength | tuple[PositiveLength, PositiveLength] | None = None
    turn_here: Angle = 0.0
    name: str = ""


@shape()
def meridian(
    *,
    start: tuple[Length, Length],
    heading: Angle,
    inside: Literal["left", "right"],
    thickness: PositiveLength | tuple[PositiveLength, PositiveLength],
    pieces: tuple[WalkPiece, ...],
    thickness_at: ThicknessTable | None = None,
) -> Meridian:
    """Return the walk from start (r, z) along a heading (0 = outward, pi/2 = up).

    `thickness` is the default of all pieces; two numbers are the thickness at the start and end of a piece.
    """
    walked = tuple(_piece(piece, thickness, index) for index, piece in enumerate(pieces))
    points = points_at(walked, {"start": 0, "edge": len(walked)})
    return with_thickness(Meridian(start, heading, inside, walked, points), thickness_at)


MERIDIAN = Family(meridian, any_body=True)


def _piece(given: WalkPiece, default: float | tuple[float, float], index: int) -> Piece:
    length, curvature = _length_and_curvature(given, f"pieces[{index}]")
    thickness = default if given.thickness is None else given.thickness
    ends = thickness if isinstance(thickness, tuple) else (thickness, thickness)
    return Piece(length, curvature, ends, given.turn_here, given.name)


def _length_and_curvature(given: WalkPiece, key: str) -> tuple[float, float]:
    if (given.arc is None) == (given.line is None):
        raise ShapeError(key, None, "give exactly one of arc (with turn) and line")
    if given.line is not None:
        if given.turn is not None:
            raise ShapeError(f"{key}.turn", given.turn, "a line does not turn; a kink is turn_here")
        return given.line, 0.0
    assert given.arc is not None
    if not given.turn or abs(given.turn) > 2.0 * math.pi:
        raise ShapeError(f"{key}.turn", given.turn, "an arc needs a turn that is not 0, up to a full circle")
    return given.arc * abs(given.turn), (1.0 if given.turn > 0.0 else -1.0) / given.arc
