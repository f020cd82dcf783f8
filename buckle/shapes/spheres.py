"""Complete spheres and spherical caps."""

import math

from buckle.meridian import RIGHT_ANGLE, Measure, Meridian, arc, points_at
from buckle.shapes.arguments import ThicknessTable, angle_within, exactly_one, shape, within
from buckle.shapes.family import Family
from buckle.shapes.thickness import with_thickness
from buckle.units import Angle, PositiveLength


@shape()
def complete_sphere(
    *, radius: PositiveLength, thickness: PositiveLength, thickness_at: ThicknessTable | None = None
) -> Meridian:
    """Return a sphere walked from its bottom pole (0, -radius) outward and up to its top pole; inside is left."""
    pieces = (arc(radius, RIGHT_ANGLE, thickness, "shell"), arc(radius, RIGHT_ANGLE, thickness, "shell"))
    points = points_at(pieces, {"bottom": 0, "equator": 1, "top": 2})
    sphere = Meridian((0.0, -radius), 0.0, "left", pieces, points, (Measure("diameter", "equator"),), thickness)
    return with_thickness(sphere, thickness_at)


@shape()
def spherical_cap(
    *,
    radius: PositiveLength,
    half_angle: Angle | None = None,
    base_radius: PositiveLength | None = None,
    height: PositiveLength | None = None,
    thickness: PositiveLength,
    thickness_at: ThicknessTable | None = None,
) -> Meridian:
    """Return a cap, apex up, walked from its apex (0, height) outward and down to z = 0; inside (below) is right.

    Exactly one of half_angle (0 to 180 deg), base_radius (up to a hemisphere) and height fixes its size.
    """
    angle = _half_angle(radius, half_angle, base_radius, height)
    pieces = (arc(radius, -angle, thickness, "cap"),)
    measures = (Measure("base diameter", "edge"), Measure("height", "edge", "apex", "height"))
    start = (0.0, 2.0 * radius * math.sin(0.5 * angle) ** 2)
    cap = Meridian(start, 0.0, "right", pieces, points_at(pieces, {"apex": 0, "edge": 1}), measures, thickness)
    return with_thickness(cap, thickness_at)


COMPLETE_SPHERE = Family(complete_sphere)
SPHERICAL_CAP = Family(spherical_cap, dome="cap", on_dome_curve=True)


def _half_angle(radius: float, half_angle: float | None, base_radius: float | None, height: float | None) -> float:
    name, value = exactly_one(half_angle=half_angle, base_radius=base_radius, height=height)
    if name == "half_angle":
        angle_within(name, value, 0.0, math.pi)
        return value
    if name == "base_radius":
        within(name, value, 0.0, math.nextafter(radius, math.inf))
        return math.asin(value / radius)
    within(name, value, 0.0, 2.0 * radius)
    return 2.0 * math.asin(math.sqrt(0.5 * value / radius))
