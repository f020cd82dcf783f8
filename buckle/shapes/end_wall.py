"""Panel radius, panel wall, countersink and chuck wall of an end; angles of walls are from the axis."""

import math
from dataclasses import dataclass

from buckle.errors import ShapeError
from buckle.meridian import RIGHT_ANGLE, Piece, arc, line


@dataclass(frozen=True)
class Countersink:
    """The channel around the panel; depth from the panel's edge plane to the lowest mid-surface point; mm, rad."""

    depth: float
    radius: float
    panel_radius: float
    panel_wall_angle: float

    def panel_wall_length(self, edge_angle: float) -> float:
        """Return what the depth leaves for the straight panel wall [mm]; raises ShapeError if nothing."""
        bend = self.panel_radius * (math.cos(edge_angle) - math.sin(self.panel_wall_angle))
        bottom = self.radius * (1.0 - math.sin(self.panel_wall_angle))
        length = (self.depth - bend - bottom) / math.cos(self.panel_wall_angle)
        if not length > 0.0:
            raise ShapeError("panel wall", length, "it has no length left")
        return length

    def width(self, edge_angle: float) -> float:
        """Return the radial distance from the panel's edge to the lowest point of the countersink [mm]."""
        wall = self.panel_wall_length(edge_angle) * math.sin(self.panel_wall_angle)
        bends = (self.panel_radius + self.radius) * math.cos(self.panel_wall_angle)
        return wall + bends - self.panel_radius * math.sin(edge_angle)


@dataclass(frozen=True)
class ChuckWall:
    """One slope, or two with a bend between. The last length is given, or follows from a depth of the top."""

    angle: float
    length: float
    bend_radius: float = 0.0
    upper_angle: float | None = None
    upper_length: float = 0.0


def countersink_pieces(
    countersink: Countersink, edge_angle: float, chuck_angle: float, gauge: float
) -> tuple[Piece, ...]:
    """Return the pieces from the edge of the panel to the foot of the chuck wall."""
    wall_heading = countersink.panel_wall_angle - RIGHT_ANGLE
    if not wall_heading < -edge_angle:
        raise ShapeError(
            "panel radius", countersink.panel_wall_angle, "the panel wall is flatter than the panel's edge"
        )
    return (
        arc(countersink.panel_radius, wall_heading + edge_angle, gauge, "panel radius"),
        line(countersink.panel_wall_length(edge_angle), gauge, "panel wall"),
        arc(countersink.radius, RIGHT_ANGLE - chuck_angle - wall_heading, gauge, "countersink"),
    )


def chuck_pieces(wall: ChuckWall, gauge: float) -> tuple[Piece, ...]:
    """Return the pieces from the foot of the chuck wall to where the seam takes over."""
    if wall.upper_angle is None:
        return (line(wall.length, gauge, "chuck wall"),)
    return (
        line(wall.length, gauge, "lower chuck wall"),
        arc(wall.bend_radius, wall.angle - wall.upper_angle, gauge, "chuck bend"),
        line(wall.upper_length, gauge, "upper chuck wall"),
    )


def length_for_depth(depth: float, countersink_radius: float, wall: ChuckWall) -> float:
    """Return the last length of a chuck wall [mm] whose top lies `depth` above the lowest point of the countersink."""
    rise = countersink_radius * (1.0 - math.sin(wall.angle))
    last = wall.angle
    if wall.upper_angle is not None:
        last = wall.upper_angle
        rise += wall.length * math.cos(wall.angle)
        rise += wall.bend_radius * abs(math.sin(wall.upper_angle) - math.sin(wall.angle))
    length = (depth - rise) / math.cos(last)
    if not length > 0.0:
        raise ShapeError("chuck wall", length, "it has no length left")
    return length
