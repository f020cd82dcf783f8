"""Sections of the stand of a base and of the countersink of an end as chains of links, for `mechanism`.

Lengths in thicknesses, angles in radians; z = 0 at the lowest node of the ring; nodes from the axis outward.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.formulas.stand.outline import Stretch, bend, nodes, straight

Array = NDArray[np.float64]

LINK = 1.5
"""Length of a link in thicknesses: links of 1.0 or 2.0 change the pressure by 0.8 % at most on bases, 1.1 % on ends."""
RIGHT_ANGLE = 0.5 * math.pi


@dataclass(frozen=True)
class InnerSide:
    """From the lowest point of the stand inward: nose, undercut, reform arc, leg, corner, dome."""

    nose_radius: float
    leg_angle: float
    undercut_length: float
    reform_radius: float
    reform_turn: float
    leg_length: float
    corner_radius: float
    dome_radius: float
    dome_angle: float


@dataclass(frozen=True)
class OuterSide:
    """From the lowest point of the ring outward: bend, wall, second bend (turning left if positive), upper wall."""

    radius: float
    angle: float
    length: float
    bend_radius: float = 0.0
    bend_turn: float = 0.0
    upper_length: float = 0.0


@dataclass(frozen=True)
class PanelSide:
    """From the lowest point of the countersink inward: bend, panel wall, panel radius, flat panel."""

    radius: float
    wall_angle: float
    wall_length: float
    panel_radius: float


def base_chain(stand_radius: float, inner: InnerSide, outer: OuterSide) -> Array:
    """Return the nodes of a base from the apex to the end of its chime."""
    legs = _legs(stand_radius, inner)
    return np.vstack([_dome(legs[-1], inner)[:0:-1], legs[:0:-1], _outer(stand_radius, outer)])


def standing_chain(stand_radius: float, inner: InnerSide, outer: OuterSide, heel_radius: float) -> tuple[Array, int]:
    """Return the nodes of a base from the apex to the top of its heel, and which of them it stands on."""
    legs = _legs(stand_radius, inner)
    within = np.vstack([_dome(legs[-1], inner)[:0:-1], legs[:0:-1]])
    return np.vstack([within, _outer(stand_radius, outer, heel_radius)]), len(within)


def dome_chain(stand_radius: float, inner: InnerSide) -> Array:
    """Return the nodes of the dome and its leg alone, down to where the nose begins."""
    legs = _legs(stand_radius, inner)
    nose = len(nodes((stand_radius, 0.0), math.pi, [_nose(inner)], LINK)) - 1
    return np.vstack([_dome(legs[-1], inner)[:0:-1], legs[: nose - 1 : -1]])


def end_chain(ring_radius: float, inner: PanelSide, outer: OuterSide) -> Array:
    """Return the nodes of an end from the centre of its panel to the top of its chuck wall."""
    to_wall = RIGHT_ANGLE - inner.wall_angle
    width = (inner.radius + inner.panel_radius) * math.cos(inner.wall_angle)
    panel = ring_radius - width - inner.wall_length * math.sin(inner.wall_angle)
    channel = [
        bend(inner.radius, -to_wall),
        straight(inner.wall_length),
        bend(inner.panel_radius, to_wall),
        straight(panel, graded=True),
    ]
    inward = nodes((ring_radius, 0.0), math.pi, channel, LINK)
    return np.vstack([_on_axis(inward)[:0:-1], _outer(ring_radius, outer)])


def _nose(inner: InnerSide) -> Stretch:
    return bend(inner.nose_radius, inner.leg_angle - RIGHT_ANGLE)


def _legs(stand_radius: float, inner: InnerSide) -> Array:
    """Nodes from the stand inward to the edge of the dome."""
    stretches = [
        _nose(inner),
        straight(inner.undercut_length),
        bend(inner.reform_radius, inner.reform_turn),
        straight(inner.leg_length),
        bend(inner.corner_radius, RIGHT_ANGLE - inner.leg_angle - inner.reform_turn - inner.dome_angle),
    ]
    return nodes((stand_radius, 0.0), math.pi, stretches, LINK)


def _dome(edge: Array, inner: InnerSide) -> Array:
    """Nodes from the edge of the dome to the axis, which a dome of one radius meets at a right angle."""
    lean = math.asin(max(math.sin(inner.dome_angle) - float(edge[0]) / inner.dome_radius, -1.0))
    arc = bend(inner.dome_radius, inner.dome_angle - lean, graded=True)
    return _on_axis(nodes((float(edge[0]), float(edge[1])), math.pi - inner.dome_angle, [arc], LINK))


def _outer(ring_radius: float, outer: OuterSide, heel_radius: float = 0.0) -> Array:
    """Nodes from the lowest point of the ring outward, round a heel until upright if it has a radius."""
    stretches = [
        bend(outer.radius, RIGHT_ANGLE - outer.angle),
        straight(outer.length),
        bend(outer.bend_radius, outer.bend_turn),
        straight(outer.upper_length),
        *([bend(heel_radius, outer.angle - outer.bend_turn)] if heel_radius else []),
    ]
    return nodes((ring_radius, 0.0), 0.0, stretches, LINK)


def _on_axis(inward: Array) -> Array:
    """Put the last node on the axis to the last digit."""
    return np.vstack([inward[:-1], [[0.0, inward[-1, 1]]]])
