"""Cylinders and circular plates."""

from buckle.meridian import RIGHT_ANGLE, Measure, Meridian, line, points_at
from buckle.shapes.arguments import ThicknessTable, shape, within
from buckle.shapes.family import Family
from buckle.shapes.thickness import with_thickness
from buckle.units import PositiveLength


@shape()
def cylinder(
    *,
    radius: PositiveLength,
    length: PositiveLength,
    thickness: PositiveLength,
    thickness_at: ThicknessTable | None = None,
) -> Meridian:
    """Return an open cylinder walked upward from (radius, 0); inside is left."""
    pieces = (line(length, thickness, "wall"),)
    points = points_at(pieces, {"start": 0, "edge": 1})
    measures = (Measure("diameter", "edge"), Measure("length", "start", "edge", "height"))
    tube = Meridian((radius, 0.0), RIGHT_ANGLE, "left", pieces, points, measures, thickness)
    return with_thickness(tube, thickness_at)


@shape()
def circular_plate(
    *,
    radius: PositiveLength,
    hole_radius: PositiveLength | None = None,
    thickness: PositiveLength,
    thickness_at: ThicknessTable | None = None,
) -> Meridian:
    """Return a flat plate at z = 0 walked outward from the axis or the edge of its hole; inside (below) is right."""
    hole = hole_radius or 0.0
    if hole_radius is not None:
        within("hole_radius", hole_radius, 0.0, radius)
    pieces = (line(radius - hole, thickness, "plate"),)
    measures = (Measure("diameter", "edge"), *([Measure("hole diameter", "start")] if hole else []))
    points = points_at(pieces, {"start" if hole else "centre": 0, "edge": 1})
    return with_thickness(Meridian((hole, 0.0), 0.0, "right", pieces, points, measures, thickness), thickness_at)


CYLINDER, CIRCULAR_PLATE = Family(cylinder), Family(circular_plate)
