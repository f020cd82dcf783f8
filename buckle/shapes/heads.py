"""Torispherical and ellipsoidal heads on a cylinder: apex up, walked outward and down; inside (below) is right.

z = 0 where the head meets its cylinder.
"""

import math

from buckle.meridian import RIGHT_ANGLE, AnyPiece, Measure, Meridian, arc, line, points_at
from buckle.shapes.arguments import PositiveNumber, ThicknessTable, exactly_one, shape, within
from buckle.shapes.ellipse import EllipsePiece, quarter_length
from buckle.shapes.family import Family
from buckle.shapes.thickness import with_thickness
from buckle.units import NonNegativeLength, PositiveLength

_MEASURES = (Measure("diameter", "edge"), Measure("head depth", "tangent line", "apex", "height"))


@shape()
def torispherical_head(
    *,
    crown_radius: PositiveLength,
    knuckle_radius: PositiveLength,
    diameter: PositiveLength,
    cylinder_length: NonNegativeLength = 0.0,
    thickness: PositiveLength,
    thickness_at: ThicknessTable | None = None,
) -> Meridian:
    """Return a crown, a knuckle tangent to it and to the cylinder of the mean diameter, and the cylinder."""
    half = 0.5 * diameter
    within("knuckle_radius", knuckle_radius, 0.0, half)
    within("crown_radius", crown_radius, half, math.inf)
    crown_angle = math.asin((half - knuckle_radius) / (crown_radius - knuckle_radius))
    depth = crown_radius - (crown_radius - knuckle_radius) * math.cos(crown_angle)
    head = (
        arc(crown_radius, -crown_angle, thickness, "crown"),
        arc(knuckle_radius, crown_angle - RIGHT_ANGLE, thickness, "knuckle"),
    )
    return _on_cylinder(head, depth, cylinder_length, thickness_at)


@shape()
def ellipsoidal_head(
    *,
    diameter: PositiveLength,
    depth: PositiveLength | None = None,
    aspect_ratio: PositiveNumber | None = None,
    cylinder_length: NonNegativeLength = 0.0,
    thickness: PositiveLength,
    thickness_at: ThicknessTable | None = None,
) -> Meridian:
    """Return half an ellipsoid on its cylinder; exactly one of depth and aspect_ratio = (diameter / 2) / depth."""
    half = 0.5 * diameter
    name, value = exactly_one(depth=depth, aspect_ratio=aspect_ratio)
    axial = value if name == "depth" else half / value
    length = quarter_length(half, axial)
    head = (EllipsePiece(half, axial, 0.0, length, (thickness, thickness), name="ellipse"),)
    return _on_cylinder(head, axial, cylinder_length, thickness_at)


TORISPHERICAL_HEAD = Family(torispherical_head, dome="crown", dome_held_by="the knuckle that holds the crown")
ELLIPSOIDAL_HEAD = Family(ellipsoidal_head, ellipse="an ellipse")


def _on_cylinder(
    head: tuple[AnyPiece, ...], depth: float, cylinder_length: float, thickness_at: ThicknessTable | None
) -> Meridian:
    gauge = head[0].thickness[0]
    cylinder = (line(cylinder_length, gauge, "cylinder"),) if cylinder_length else ()
    pieces = head + cylinder
    names = {"apex": 0, "tangent line": len(head), "edge": len(pieces)}
    whole = Meridian((0.0, depth), 0.0, "right", pieces, points_at(pieces, names), _MEASURES, gauge)
    return with_thickness(whole, thickness_at)
