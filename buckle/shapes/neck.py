"""Necks: from the wall over a shoulder, a cone and a throat to the narrower edge that an end is seamed to.

Mid-surface; z = 0 at the lower edge of the wall; walked upward and inward; inside is left. The cone's angle is from
the axis.
"""

import math

from buckle.errors import ShapeError
from buckle.meridian import RIGHT_ANGLE, Measure, Meridian, arc, line, points_at
from buckle.shapes.arguments import ThicknessTable, angle_within, shape, within
from buckle.shapes.family import Family
from buckle.shapes.thickness import with_thickness
from buckle.units import Angle, NonNegativeLength, PositiveLength

_MEASURES = (
    Measure("wall diameter", "start"),
    Measure("neck diameter", "edge"),
    Measure("neck height", "shoulder foot", "edge", "height"),
)


@shape("cone_angle", "shoulder_radius", "throat_radius", "neck_radius")
def neck(  # noqa: PLR0913
    *,
    wall_radius: PositiveLength,
    neck_radius: PositiveLength,
    shoulder_radius: PositiveLength,
    throat_radius: PositiveLength,
    cone_angle: Angle | None = None,
    wall_height: PositiveLength,
    edge_height: NonNegativeLength = 0.0,
    thickness: PositiveLength,
    thickness_at: ThicknessTable | None = None,
) -> Meridian:
    """Return a neck; the cone's length closes the chain, or an ogee whose two arcs meet where no cone_angle is given.

    wall_height is what of the wall is looked at, edge_height the upright part above the throat.
    """
    within("neck_radius", neck_radius, 0.0, wall_radius)
    turn = _ogee(wall_radius - neck_radius, shoulder_radius + throat_radius) if cone_angle is None else cone_angle
    angle_within("cone_angle", turn, 0.0, RIGHT_ANGLE)
    arcs = (shoulder_radius + throat_radius) * (1.0 - math.cos(turn))
    length = 0.0 if cone_angle is None else (wall_radius - neck_radius - arcs) / math.sin(turn)
    if cone_angle is not None and not length > 0.0:
        raise ShapeError("cone", length, "it has no length left")
    pieces = (
        line(wall_height, thickness, "wall"),
        arc(shoulder_radius, turn, thickness, "shoulder"),
        *([line(length, thickness, "cone")] if length else []),
        arc(throat_radius, -turn, thickness, "throat"),
        *([line(edge_height, thickness, "neck edge")] if edge_height else []),
    )
    points = points_at(pieces, {"start": 0, "shoulder foot": 1, "edge": len(pieces)})
    body = Meridian((wall_radius, 0.0), RIGHT_ANGLE, "left", pieces, points, _MEASURES, thickness)
    return with_thickness(body, thickness_at)


NECK = Family(neck, stub_to="shoulder foot", collapse="collapse of the neck", crush="crush of the neck")


def _ogee(step: float, radii: float) -> float:
    """Turn of two arcs that meet between walls a step apart. Raises ShapeError if they cannot."""
    if step >= radii:
        raise ShapeError("shoulder_radius", None, "two arcs that meet do not reach from wall to neck; give cone_angle")
    return math.acos(1.0 - step / radii)
