"""The outer side of a domed base: from the lowest point of the nose through outer leg and heel up the wall."""

import math
from dataclasses import dataclass

from buckle.errors import ShapeError
from buckle.meridian import RIGHT_ANGLE, Piece, arc, line


@dataclass(frozen=True)
class OuterLeg:
    """One slope, or two with a concave arc between; angles from the axis."""

    angle: float
    length: float = 0.0
    chime_radius: float = 0.0
    chime_angle: float | None = None


@dataclass(frozen=True)
class Wall:
    """Wall above the heel, with the stretch in which its thickness falls from the base's to its own; mm."""

    radius: float
    height: float
    gauge: float
    blend_start: float
    blend_length: float


def outer_pieces(
    leg: OuterLeg, heel_radius: float, wall: Wall, stand_radius: float, nose_radius: float, gauge: float
) -> tuple[Piece, ...]:
    """Return the pieces from the lowest point of the nose to the top of the wall; raises ShapeError if none fit.

    The last slope's length follows from the wall radius.
    """
    chime = _chime(leg, gauge)
    last = leg.angle if leg.chime_angle is None else leg.chime_angle
    reach = stand_radius + nose_radius * math.cos(leg.angle) + _chime_width(leg) + heel_radius * (1.0 - math.cos(last))
    length = (wall.radius - reach) / math.sin(last)
    name = "chime cone" if chime else "outer leg"
    if not length > 0.0:
        raise ShapeError(name, length, "it has no length left")
    return (
        arc(nose_radius, RIGHT_ANGLE - leg.angle, gauge, "nose outer"),
        *chime,
        line(length, gauge, name),
        arc(heel_radius, last, gauge, "heel"),
        *_wall(wall, gauge),
    )


def _chime(leg: OuterLeg, gauge: float) -> tuple[Piece, ...]:
    if leg.chime_angle is None:
        return ()
    return (
        line(leg.length, gauge, "outer leg"),
        arc(leg.chime_radius, leg.angle - leg.chime_angle, gauge, "chime"),
    )


def _chime_width(leg: OuterLeg) -> float:
    if leg.chime_angle is None:
        return 0.0
    return leg.length * math.sin(leg.angle) + leg.chime_radius * (math.cos(leg.angle) - math.cos(leg.chime_angle))


def _wall(wall: Wall, gauge: float) -> tuple[Piece, ...]:
    """The wall, of one piece if it keeps the base's thickness."""
    if wall.gauge == gauge:
        return (line(wall.height, gauge, "wall"),)
    rest = wall.height - wall.blend_start - wall.blend_length
    if rest < 0.0:
        least = wall.blend_start + wall.blend_length
        raise ShapeError("wall_height", wall.height, "too low for the blend of thickness", f"at least {least:g} mm")
    start = (line(wall.blend_start, gauge, "wall"),) if wall.blend_start else ()
    blend = Piece(wall.blend_length, 0.0, (gauge, wall.gauge), name="wall blend")
    return (*start, blend, *((line(rest, wall.gauge, "wall"),) if rest else ()))
