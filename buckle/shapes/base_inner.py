"""The inner side of a domed base: from the apex through dome, corner and leg to the lowest point of the nose.

The chain of tangent arcs has two unknowns, the last leg's length and the dome's half-angle; both follow in closed form
from the apex lying on the axis at the dome depth.
"""

import math
from dataclasses import dataclass

from buckle.errors import ShapeError
from buckle.meridian import RIGHT_ANGLE, Piece, arc, line

Point = tuple[float, float]


@dataclass(frozen=True)
class Dome:
    """Dome of one radius, or with a centre of another curvature (0 = flat) out to a half-width; mm."""

    depth: float
    radius: float
    corner_radius: float
    centre_half_width: float = 0.0
    centre_curvature: float = 0.0


@dataclass(frozen=True)
class InnerLeg:
    """Leg above the nose, its angle from the axis (+ leans inward on its way up), and a reformed leg above it."""

    angle: float
    undercut_length: float = 0.0
    reform_radius: float = 0.0
    upper_angle: float | None = None


@dataclass(frozen=True)
class _Foot:
    """Where the last leg stands: the pieces below it, its lower end and its angle."""

    pieces: tuple[Piece, ...]
    top: Point
    angle: float


def inner_pieces(dome: Dome, leg: InnerLeg, stand_radius: float, nose_radius: float, gauge: float) -> tuple[Piece, ...]:
    """Return the pieces from the apex to the lowest point of the nose; raises ShapeError if they cannot close."""
    foot = _foot(leg, stand_radius, nose_radius, gauge)
    centre_angle, origin = _outer_arc(dome)
    arm, a = dome.radius - dome.corner_radius, foot.angle
    across = math.cos(a) * (foot.top[0] - origin[0]) + math.sin(a) * (foot.top[1] - origin[1]) - dome.corner_radius
    if not abs(across) < arm:
        raise ShapeError("dome", across / arm, "its arc cannot be joined to the inner leg by the dome corner")
    half_angle = math.asin(across / arm) - a
    corner = (origin[0] + arm * math.sin(half_angle), origin[1] + arm * math.cos(half_angle))
    length = math.sin(a) * (foot.top[0] - corner[0]) - math.cos(a) * (foot.top[1] - corner[1])
    if not half_angle > centre_angle:
        raise ShapeError("dome", half_angle, "its outer arc has no length left")
    if not length > 0.0:
        raise ShapeError("inner leg", length, "it has no length left")
    return (
        *_centre(dome, centre_angle, gauge),
        arc(dome.radius, centre_angle - half_angle, gauge, "dome"),
        arc(dome.corner_radius, half_angle + a - RIGHT_ANGLE, gauge, "dome corner"),
        line(length, gauge, "inner leg" if leg.upper_angle is None else "upper leg"),
        *foot.pieces,
    )


def _foot(leg: InnerLeg, stand_radius: float, nose_radius: float, gauge: float) -> _Foot:
    """The nose and, on a reformed base, the undercut leg and the groove above it."""
    nose = arc(nose_radius, RIGHT_ANGLE - leg.angle, gauge, "nose inner")
    top = _towards((stand_radius, nose_radius), leg.angle, -nose_radius)
    if leg.upper_angle is None:
        return _Foot((nose,), top, leg.angle)
    groove = (
        top[0] - leg.undercut_length * math.sin(leg.angle),
        top[1] + leg.undercut_length * math.cos(leg.angle),
    )
    centre = _towards(groove, leg.angle, -leg.reform_radius)
    pieces = (
        arc(leg.reform_radius, leg.angle - leg.upper_angle, gauge, "reform groove"),
        line(leg.undercut_length, gauge, "undercut leg"),
        nose,
    )
    return _Foot(pieces, _towards(centre, leg.upper_angle, leg.reform_radius), leg.upper_angle)


def _towards(point: Point, angle: float, distance: float) -> Point:
    """Step along the normal of a leg, outward and up."""
    return point[0] + distance * math.cos(angle), point[1] + distance * math.sin(angle)


def _outer_arc(dome: Dome) -> tuple[float, Point]:
    """Angle at which the outer arc of the dome begins, and its centre."""
    width, curvature = dome.centre_half_width, dome.centre_curvature
    if not width * curvature < 1.0:
        raise ShapeError("dome centre", 2.0 * width, "wider than its own radius allows")
    angle = math.asin(width * curvature)
    z = dome.depth - width * math.tan(0.5 * angle)
    return angle, (width - dome.radius * math.sin(angle), z - dome.radius * math.cos(angle))


def _centre(dome: Dome, angle: float, gauge: float) -> tuple[Piece, ...]:
    if not dome.centre_half_width:
        return ()
    if not dome.centre_curvature:
        return (line(dome.centre_half_width, gauge, "flat centre"),)
    return (arc(1.0 / dome.centre_curvature, -angle, gauge, "dome centre"),)
