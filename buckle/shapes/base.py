"""Domed bases: dome, corner, inner leg (reformed or not), nose, outer leg, heel and wall.

Mid-surface unless a name says inside or outside; z = 0 at the lowest point of the nose; walked from the apex outward
to the top of the wall; inside is left. Angles of legs are from the axis.
"""

from buckle.errors import ShapeError
from buckle.meridian import RIGHT_ANGLE, Measure, Meridian, Piece, points_at
from buckle.shapes.arguments import ThicknessTable, all_or_none, angle_within, exactly_one, shape
from buckle.shapes.base_inner import Dome, InnerLeg, inner_pieces
from buckle.shapes.base_outer import OuterLeg, Wall, outer_pieces
from buckle.shapes.family import Family
from buckle.shapes.thickness import with_thickness
from buckle.units import Angle, NonNegativeLength, PositiveLength

# In the order in which a change is suggested when several would do about equally.
_MENDABLE = (
    *("dome_depth", "dome_radius", "dome_radius_inside", "dome_outer_radius", "dome_corner_radius"),
    *("dome_centre_diameter", "flat_centre_diameter", "wall_radius", "body_outside_diameter", "heel_radius"),
    *("chime_radius", "stand_radius", "stand_diameter", "nose_radius", "nose_radius_inside", "nose_inner_radius"),
    *("nose_outer_radius", "inner_leg_angle", "reform_radius", "upper_leg_angle"),
)

_MEASURES = (
    Measure("stand diameter", "stand"),
    Measure("dome depth", "stand", "apex", "height"),
    Measure("wall diameter", "edge"),
    Measure("heel height", "stand", "heel top", "height"),
)


@shape(*_MENDABLE)
def domed_base(  # noqa: PLR0913
    *,
    stand_radius: PositiveLength | None = None,
    stand_diameter: PositiveLength | None = None,
    nose_radius: PositiveLength | None = None,
    nose_radius_inside: PositiveLength | None = None,
    nose_inner_radius: PositiveLength | None = None,
    nose_outer_radius: PositiveLength | None = None,
    inner_leg_angle: Angle,
    undercut_length: PositiveLength | None = None,
    reform_radius: PositiveLength | None = None,
    upper_leg_angle: Angle | None = None,
    dome_corner_radius: PositiveLength,
    dome_radius: PositiveLength | None = None,
    dome_radius_inside: PositiveLength | None = None,
    dome_outer_radius: PositiveLength | None = None,
    dome_centre_diameter: PositiveLength | None = None,
    flat_centre_diameter: PositiveLength | None = None,
    dome_depth: PositiveLength,
    outer_leg_angle: Angle,
    outer_leg_length: PositiveLength | None = None,
    chime_radius: PositiveLength | None = None,
    chime_angle: Angle | None = None,
    heel_radius: PositiveLength,
    wall_radius: PositiveLength | None = None,
    body_outside_diameter: PositiveLength | None = None,
    wall_height: PositiveLength,
    gauge: PositiveLength,
    wall_gauge: PositiveLength | None = None,
    blend_start: NonNegativeLength = 0.0,
    blend_length: PositiveLength = 4.0,
    thickness_at: ThicknessTable | None = None,
) -> Meridian:
    """Return a domed base; the last inner-leg length, the dome half-angle and the last outer slope close the chain.

    Exactly one of each: stand_radius, stand_diameter; nose_radius (both sides of the stand), nose_radius_inside (of the
    product-side surface: mid-surface less half the gauge), the pair nose_inner_radius (towards the axis) and
    nose_outer_radius; dome_radius, dome_radius_inside (mid-surface plus half the gauge); wall_radius,
    body_outside_diameter. The inner leg leans towards the axis on its way up if its angle is positive and is undercut
    if negative; undercut_length, reform_radius and upper_leg_angle add the reformed leg above it. The dome has one
    radius; or two, dome_radius within dome_centre_diameter and dome_outer_radius beyond; or a flat disc of
    flat_centre_diameter inside an annular arc of dome_radius. The outer leg has one slope, or two with the concave
    chime_radius between (outer_leg_length, chime_radius, chime_angle). The thickness falls from gauge to wall_gauge
    over blend_length from blend_start above the heel; wall_height is measured from the top of the heel.
    """
    stand = _stand(stand_radius, stand_diameter)
    nose = _nose(nose_radius, nose_radius_inside, (nose_inner_radius, nose_outer_radius), gauge)
    dome = _dome(
        _dome_radius(dome_radius, dome_radius_inside, gauge),
        dome_depth,
        dome_corner_radius,
        (dome_outer_radius, dome_centre_diameter, flat_centre_diameter),
    )
    wall_gauge = gauge if wall_gauge is None else wall_gauge
    wall = Wall(
        _wall_radius(wall_radius, body_outside_diameter, wall_gauge), wall_height, wall_gauge, blend_start, blend_length
    )
    leg = _inner_leg(inner_leg_angle, undercut_length, reform_radius, upper_leg_angle)
    outer_leg = _outer_leg(outer_leg_angle, outer_leg_length, chime_radius, chime_angle)
    inner = inner_pieces(dome, leg, stand, nose[0], gauge)
    outer = outer_pieces(outer_leg, heel_radius, wall, stand, nose[1], gauge)
    return with_thickness(_base(inner, outer, dome_depth, gauge), thickness_at)


DOMED_BASE = Family(
    domed_base,
    axes="z along it into the container, nought at the lowest point of the stand's middle surface",
    growth="dome growth",
    growth_sign="Dome growth is positive out of the container, stand drop where the container gets higher",
    collapse="dome reversal",
    crush="crush of the stand",
    growth_limit="roll-out of the stand",
    dome="dome",
    dome_held_by="what the dome stands on",
    stand="nose",
    stub_from="heel top",
    from_below=True,
    on_dome_curve=True,
)


def _base(inner: tuple[Piece, ...], outer: tuple[Piece, ...], depth: float, gauge: float) -> Meridian:
    pieces = inner + outer
    names = [piece.name for piece in pieces]
    heel_top = names.index("heel") + 1
    where = {"apex": 0, "dome edge": names.index("dome corner"), "stand": len(inner), "heel top": heel_top}
    points = points_at(pieces, where | {"edge": len(pieces)})
    return Meridian((0.0, depth), 0.0, "left", pieces, points, _MEASURES, gauge)


def _stand(radius: float | None, diameter: float | None) -> float:
    name, value = exactly_one(stand_radius=radius, stand_diameter=diameter)
    return value if name == "stand_radius" else 0.5 * value


def _nose(
    radius: float | None, inside: float | None, sides: tuple[float | None, float | None], gauge: float
) -> tuple[float, float]:
    """Mid-surface nose radii towards the axis and towards the wall."""
    pair = all_or_none(nose_inner_radius=sides[0], nose_outer_radius=sides[1])
    name, value = exactly_one(nose_radius=radius, nose_radius_inside=inside, nose_inner_radius=sides[0])
    if pair:
        return pair[0], pair[1]
    both = value if name == "nose_radius" else value + 0.5 * gauge
    return both, both


def _dome_radius(radius: float | None, inside: float | None, gauge: float) -> float:
    name, value = exactly_one(dome_radius=radius, dome_radius_inside=inside)
    return value if name == "dome_radius" else value - 0.5 * gauge


def _dome(radius: float, depth: float, corner: float, centre: tuple[float | None, float | None, float | None]) -> Dome:
    outer_radius, centre_diameter, flat_diameter = centre
    outer = all_or_none(dome_outer_radius=outer_radius, dome_centre_diameter=centre_diameter)
    if outer and flat_diameter is not None:
        raise ShapeError("flat_centre_diameter", flat_diameter, "a dome has either two radii or a flat centre")
    if outer:
        return Dome(depth, outer[0], corner, 0.5 * outer[1], 1.0 / radius)
    return Dome(depth, radius, corner, 0.5 * (flat_diameter or 0.0))


def _wall_radius(radius: float | None, outside_diameter: float | None, wall_gauge: float) -> float:
    name, value = exactly_one(wall_radius=radius, body_outside_diameter=outside_diameter)
    return value if name == "wall_radius" else 0.5 * (value - wall_gauge)


def _inner_leg(
    angle: float, undercut_length: float | None, reform_radius: float | None, upper_angle: float | None
) -> InnerLeg:
    angle_within("inner_leg_angle", angle, -RIGHT_ANGLE, RIGHT_ANGLE)
    reform = all_or_none(undercut_length=undercut_length, reform_radius=reform_radius, upper_leg_angle=upper_angle)
    if reform is None:
        return InnerLeg(angle)
    angle_within("upper_leg_angle", reform[2], angle, RIGHT_ANGLE)
    return InnerLeg(angle, *reform)


def _outer_leg(angle: float, length: float | None, chime_radius: float | None, chime_angle: float | None) -> OuterLeg:
    angle_within("outer_leg_angle", angle, 0.0, RIGHT_ANGLE)
    slope = all_or_none(outer_leg_length=length, chime_radius=chime_radius, chime_angle=chime_angle)
    if slope is None:
        return OuterLeg(angle)
    angle_within("chime_angle", slope[2], angle, RIGHT_ANGLE)
    return OuterLeg(angle, *slope)
