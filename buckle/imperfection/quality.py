"""Dimples as deep as a fabrication tolerance quality class allows: a set, of which the worst counts.

EN 1993-1-6:2007, 8.7.2 and table 8.5 (from memory): the amplitude of an equivalent geometric imperfection is the larger
of U_n1 times the gauge length, 4 sqrt(r t) where the meridian is pressed, and of 25 U_n2 walls.
"""

import math
from collections.abc import Iterator
from dataclasses import replace

from buckle.imperfection.profile import Dimple
from buckle.meridian import Meridian

AMPLITUDES = {"A": 0.010, "B": 0.016, "C": 0.025}
"""U_n1 and U_n2, which are equal: excellent, high and normal fabrication."""
GAUGE_LENGTH = 4.0  # times sqrt(r t)
WALLS = 25.0
PER_GAUGE_LENGTH = 4.0
"""Widths of a dimple on the gauge length, at whose ends 2 % of the depth is left: a stick so long spans it."""
PER_WIDTH = 1.0  # dimples apart, in widths
FLAT = 1e-3  # rad
MOST = 60  # rings on a meridian


def rings(meridian: Meridian, quality: str) -> tuple[Dimple, ...]:
    """Return dimples of both senses along a meridian."""
    return tuple(
        replace(ring, depth=sense * ring.depth)
        for ring in _rings(meridian, AMPLITUDES[quality])
        for sense in (1.0, -1.0)
    )


def _rings(meridian: Meridian, amplitude: float) -> Iterator[Dimple]:
    s, least = 0.0, meridian.length / MOST
    while s <= meridian.length:
        thickness = float(meridian.at_s(s).thickness)
        length = GAUGE_LENGTH * math.sqrt(_radius(meridian, s) * thickness)
        width = length / PER_GAUGE_LENGTH
        depth = max(amplitude * length, WALLS * thickness * amplitude)
        yield Dimple(s, width, depth, meridian.closed_at_start)
        s += max(PER_WIDTH * width, least)


def _radius(meridian: Meridian, s: float) -> float:
    """Radius of curvature around the body [mm]; where it lies flat, that along it, up to the meridian's length."""
    at = meridian.at_s(s)
    across, bend = abs(math.sin(float(at.heading))), abs(float(at.curvature))
    if across > FLAT:
        return float(at.r) / across
    return 1.0 / bend if bend * meridian.length > FLAT else meridian.length
