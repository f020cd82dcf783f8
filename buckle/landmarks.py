"""Places of a meridian that its movement is read at: found from its geometry, however the shape was written."""

from dataclasses import dataclass

import numpy as np
import scipy
from numpy.typing import NDArray

from buckle.meridian import Meridian

Array = NDArray[np.float64]
UPRIGHT = 1e-6  # rad: a wall that leans by less is straight up
SAMPLES = 65  # of each piece
LEVEL = 1e-9  # of the length: a level place that is no farther from the end of a piece is that end
STANDS_OUT = 2.0  # thicknesses by which a ring must stand out from apex and edge


@dataclass(frozen=True)
class Ring:
    """A ring between the apex and the edge that is the lowest (or highest) place of both sides of it."""

    s: float  # arc length [mm]
    depth: float  # height between it and the apex [mm]
    ahead: bool  # whether pressure pushes the apex towards it, as it does the dome of a base towards its stand


def datum(meridian: Meridian) -> float:
    """Arc length [mm] of the place that movement along the axis is measured from.

    The foot of a straight cylindrical wall at the outer end, so that it does not matter how much of that wall is looked
    at; the outer edge of a body without one.
    """
    s = meridian.length
    headings = meridian.at(np.arange(len(meridian.pieces)), 0.0).heading
    for piece, heading in zip(meridian.pieces[::-1], headings[::-1], strict=True):
        if piece.sharpest > 0.0 or abs(np.cos(heading)) > UPRIGHT:
            return float(s)
        s -= piece.length
    return float(meridian.length)


def push(meridian: Meridian, pressure_side: str) -> float:
    """Direction along z, +1 or -1, in which pressure on a side of the wall pushes an apex where the walk starts."""
    return -1.0 if (pressure_side == "inside") == (meridian.inside == "left") else 1.0


def ring(meridian: Meridian, push: float) -> Ring | None:
    """Return the ring that stands out most, None of a body that has none; `push` is +1 or -1, that of the apex along z.

    The stand of a domed base lies ahead of its dome, the countersink of an end behind its panel.
    """
    if not meridian.closed_at_start or meridian.closed_at_end:
        return None
    s = np.linspace(meridian.breaks[:-1], meridian.breaks[1:], SAMPLES, axis=1).ravel()
    at = meridian.at_s(s)
    found = [_extreme(s, sign * push * at.z, at.thickness, ahead=sign > 0.0) for sign in (1.0, -1.0)]
    return max((each for each in found if each is not None), key=lambda each: each.depth, default=None)


def stand(meridian: Meridian) -> float | None:
    """Arc length [mm] of the lowest circle of what a base stands on, its level place; None of a body that has none."""
    found = ring(meridian, push(meridian, "inside"))
    if found is None or not found.ahead:
        return None
    reach = float(np.max(np.diff(meridian.breaks))) / (SAMPLES - 1)
    span = (max(found.s - reach, 0.0), min(found.s + reach, meridian.length))

    def steepness(s: float) -> float:
        return float(np.sin(meridian.at_s(s).heading))

    if steepness(span[0]) * steepness(span[1]) >= 0.0:
        return found.s
    level = float(scipy.optimize.brentq(steepness, *span, xtol=1e-12 * meridian.length))
    nearest = float(meridian.breaks[np.argmin(np.abs(meridian.breaks - level))])
    return nearest if abs(nearest - level) < LEVEL * meridian.length else level


def _extreme(s: Array, height: Array, thickness: Array, *, ahead: bool) -> Ring | None:
    """Highest place if it is none of the ends and stands out from both."""
    top = int(np.argmax(height))
    if not 0 < top < len(s) - 1 or height[top] - max(height[0], height[-1]) < STANDS_OUT * thickness[top]:
        return None
    return Ring(float(s[top]), float(height[top] - height[0]), ahead)


def highest(s: Array, height: Array) -> float:
    """Highest value of closely spaced samples, by the parabola through the three about it."""
    top = int(np.clip(np.argmax(height), 1, len(s) - 2))
    left, right = s[top] - s[top - 1], s[top + 1] - s[top]
    rise, fall = (height[top] - height[top - 1]) / left, (height[top + 1] - height[top]) / right
    bend = 2.0 * (fall - rise) / (left + right)
    slope = (rise * right + fall * left) / (left + right)
    return float(height[top] - 0.5 * slope * slope / bend) if bend < 0.0 else float(height[top])
