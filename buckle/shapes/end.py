"""Recessed ends: centre panel, panel radius, panel wall, countersink and chuck wall, up to where the seam takes over.

Mid-surface unless a name says inside or outside; z = 0 at the edge of the centre panel; walked from the axis outward;
inside (below) is right. Angles of walls are from the axis, + = leaning outward on the way up (chuck wall) or on the way
down (panel wall).
"""

import math
from dataclasses import replace

import scipy

from buckle.errors import ShapeError
from buckle.meridian import RIGHT_ANGLE, Measure, Meridian, Piece, points_at
from buckle.shapes.arguments import ThicknessTable, all_or_none, angle_within, exactly_one, shape
from buckle.shapes.end_panel import Coin, Panel, panel_pieces
from buckle.shapes.end_wall import ChuckWall, Countersink, chuck_pieces, countersink_pieces, length_for_depth
from buckle.shapes.family import Family
from buckle.shapes.thickness import with_thickness
from buckle.units import Angle, Length, PositiveLength

_MENDABLE = (
    *("panel_depth", "panel_radius", "panel_radius_inside", "countersink_radius", "countersink_radius_outside"),
    *("panel_wall_angle", "panel_dome_radius", "panel_diameter", "countersink_diameter"),
    *("countersink_depth", "chuck_wall_length", "chuck_bend_radius", "coin_outer_diameter", "coin_step_radius"),
)

_MEASURES = (
    Measure("panel diameter", "panel edge"),
    Measure("countersink diameter", "countersink"),
    Measure("panel depth", "countersink", "panel edge", "height"),
    Measure("seam diameter", "edge"),
    Measure("countersink depth", "countersink", "edge", "height"),
)


@shape(*_MENDABLE)
def recessed_end(  # noqa: PLR0913
    *,
    panel_diameter: PositiveLength | None = None,
    countersink_diameter: PositiveLength | None = None,
    panel_dome_radius: PositiveLength | None = None,
    coin_inner_diameter: PositiveLength | None = None,
    coin_outer_diameter: PositiveLength | None = None,
    coin_thickness: PositiveLength | None = None,
    coin_step_height: Length | None = None,
    coin_step_radius: PositiveLength | None = None,
    panel_radius: PositiveLength | None = None,
    panel_radius_inside: PositiveLength | None = None,
    panel_wall_angle: Angle = 0.0,
    panel_depth: PositiveLength,
    countersink_radius: PositiveLength | None = None,
    countersink_radius_outside: PositiveLength | None = None,
    countersink_depth: PositiveLength | None = None,
    chuck_wall_angle: Angle,
    chuck_wall_length: PositiveLength | None = None,
    chuck_bend_radius: PositiveLength | None = None,
    upper_chuck_wall_angle: Angle | None = None,
    upper_chuck_wall_length: PositiveLength | None = None,
    gauge: PositiveLength,
    thickness_at: ThicknessTable | None = None,
) -> Meridian:
    """Return a recessed end; the panel wall's length follows from the panel depth.

    Exactly one of each: panel_diameter (to the start of the panel radius), countersink_diameter (of its lowest point);
    panel_radius, panel_radius_inside (product-side surface: mid-surface less half the gauge); countersink_radius,
    countersink_radius_outside (public side, the inside of the bend: mid-surface less half the gauge). panel_depth is
    from the edge of the panel down to the lowest point. The chuck wall has one slope, or two: a bend of
    chuck_bend_radius between chuck_wall_length at chuck_wall_angle and the upper wall at upper_chuck_wall_angle. Its
    last length is given, or follows from countersink_depth: the top, where the seam takes over, above the lowest point.
    The coined ring between two diameters has coin_thickness; on a flat panel the centre may step up by
    coin_step_height inside it, over two arcs of coin_step_radius from the inner diameter on.
    """
    angle_within("panel_wall_angle", panel_wall_angle, -RIGHT_ANGLE, RIGHT_ANGLE)
    radius = _mid(gauge, countersink_radius=countersink_radius, countersink_radius_outside=countersink_radius_outside)
    bend = _mid(gauge, panel_radius=panel_radius, panel_radius_inside=panel_radius_inside)
    countersink = Countersink(panel_depth, radius, bend, panel_wall_angle)
    coin = _coin((coin_inner_diameter, coin_outer_diameter, coin_thickness), (coin_step_height, coin_step_radius))
    panel = _panel(panel_diameter, countersink_diameter, panel_dome_radius, coin, countersink)
    angle_within("chuck_wall_angle", chuck_wall_angle, -RIGHT_ANGLE, RIGHT_ANGLE)
    upper = all_or_none(chuck_bend_radius=chuck_bend_radius, upper_chuck_wall_angle=upper_chuck_wall_angle)
    if upper is None:
        wall = _one_slope(chuck_wall_angle, chuck_wall_length, countersink_depth, radius)
    else:
        lower = exactly_one(chuck_wall_length=chuck_wall_length)[1]
        lengths = (lower, upper_chuck_wall_length, countersink_depth)
        wall = _two_slopes(chuck_wall_angle, upper, lengths, radius)
    return with_thickness(_end(panel, countersink, wall, gauge), thickness_at)


RECESSED_END = Family(
    recessed_end,
    axes="z along it out of the container, nought at the middle surface of the panel",
    growth="bulge of the panel",
    growth_sign="Bulge of the panel is positive out of the container",
    collapse="collapse of the end",
    growth_limit="roll-out of the countersink",
    panel="panel edge",
)


def _end(panel: Panel, countersink: Countersink, wall: ChuckWall, gauge: float) -> Meridian:
    centre = panel_pieces(panel, gauge)
    channel = countersink_pieces(countersink, panel.edge_angle, wall.angle, gauge)
    pieces: tuple[Piece, ...] = (*centre, *channel, *chuck_pieces(wall, gauge))
    edge = len(centre)
    points = points_at(pieces, {"centre": 0, "panel edge": edge, "chuck wall foot": edge + 3, "edge": len(pieces)})
    to_bottom = countersink.radius * (RIGHT_ANGLE - countersink.panel_wall_angle)
    points["countersink"] = points["panel edge"] + channel[0].length + channel[1].length + to_bottom
    return Meridian((0.0, panel.rise), 0.0, "right", pieces, points, _MEASURES, gauge)


def _mid(gauge: float, **radius: float | None) -> float:
    """Mid-surface radius from the mid-surface's own or from the concave surface's."""
    name, value = exactly_one(**radius)
    return value + 0.5 * gauge if name.endswith(("_inside", "_outside")) else value


def _coin(ring: tuple[float | None, ...], step: tuple[float | None, ...]) -> Coin | None:
    names = ("coin_inner_diameter", "coin_outer_diameter", "coin_thickness")
    given = all_or_none(**dict(zip(names, ring, strict=True)))
    rise = all_or_none(coin_step_height=step[0], coin_step_radius=step[1])
    if given is None:
        if rise is not None:
            raise ShapeError("coin_step_height", rise[0], f"a step needs its coined ring: give {', '.join(names)}")
        return None
    return Coin(0.5 * given[0], 0.5 * given[1], given[2], *(rise or ()))


def _panel(
    diameter: float | None,
    countersink_diameter: float | None,
    dome_radius: float | None,
    coin: Coin | None,
    countersink: Countersink,
) -> Panel:
    """Panel whose width is given, or follows from the countersink's diameter."""
    name, value = exactly_one(panel_diameter=diameter, countersink_diameter=countersink_diameter)
    dome = math.inf if dome_radius is None else dome_radius
    half = 0.5 * value
    if name == "panel_diameter":
        return Panel(half, dome, coin)
    if math.isinf(dome):
        half -= countersink.width(0.0)
        if not half > 0.0:
            raise ShapeError("centre panel", half, "it has no width left")
        return Panel(half, dome, coin)
    return Panel(_half_width_of_dome(half, dome, countersink), dome, coin)


def _half_width_of_dome(reach: float, dome_radius: float, countersink: Countersink) -> float:
    """Half width at which a domed panel's countersink has its lowest point at a radius [mm]."""

    def excess(half_width: float) -> float:
        return half_width + countersink.width(math.asin(half_width / dome_radius)) - reach

    most = min(reach, dome_radius * math.cos(countersink.panel_wall_angle)) * (1.0 - 1e-12)
    if not excess(0.0) < 0.0 < excess(most):
        raise ShapeError("centre panel", dome_radius, "no width of the domed panel fits the countersink diameter")
    return float(scipy.optimize.brentq(excess, 0.0, most, xtol=1e-13))


def _one_slope(angle: float, length: float | None, depth: float | None, radius: float) -> ChuckWall:
    name, value = exactly_one(chuck_wall_length=length, countersink_depth=depth)
    wall = ChuckWall(angle, value)
    return wall if name == "chuck_wall_length" else replace(wall, length=length_for_depth(value, radius, wall))


def _two_slopes(
    angle: float, upper: tuple[float, ...], lengths: tuple[float, float | None, float | None], radius: float
) -> ChuckWall:
    bend_radius, upper_angle = upper
    angle_within("upper_chuck_wall_angle", upper_angle, -RIGHT_ANGLE, RIGHT_ANGLE)
    if upper_angle == angle:
        raise ShapeError("upper_chuck_wall_angle", math.degrees(upper_angle), "must differ from chuck_wall_angle")
    name, value = exactly_one(upper_chuck_wall_length=lengths[1], countersink_depth=lengths[2])
    wall = ChuckWall(angle, lengths[0], bend_radius, upper_angle, value)
    if name == "upper_chuck_wall_length":
        return wall
    return replace(wall, upper_length=length_for_depth(value, radius, wall))
