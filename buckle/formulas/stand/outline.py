"""A section cut into straight links: nodes along a walk of arcs and lines.

Positions in any one unit of length; headings and turns in radians, positive to the left of the walk.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

GROWTH = 1.25
"""Each link of a graded stretch is longer than the one before by this factor."""


@dataclass(frozen=True)
class Stretch:
    """A stretch of constant curvature; `graded` lets its links grow along the walk."""

    length: float
    curvature: float = 0.0
    graded: bool = False


def straight(length: float, *, graded: bool = False) -> Stretch:
    """Return a line."""
    return Stretch(length, 0.0, graded)


def bend(radius: float, turn: float, *, graded: bool = False) -> Stretch:
    """Return an arc that turns by an angle; a turn of zero has no length, whatever its radius."""
    return Stretch(radius * abs(turn), math.copysign(1.0 / radius, turn) if turn else 0.0, graded)


def nodes(start: tuple[float, float], heading: float, stretches: Sequence[Stretch], link: float) -> Array:
    """Return nodes (n, 2) from a start on, about one link length apart; stretches without length are left out."""
    return np.array([start, *_walk(start, heading, [part for part in stretches if part.length > 0.0], link)])


def _walk(
    start: tuple[float, float], heading: float, stretches: Sequence[Stretch], link: float
) -> Iterator[tuple[float, float]]:
    r, z = start
    for part in stretches:
        for length in _links(part, link):
            turn = part.curvature * length
            chord = length * float(np.sinc(0.5 * turn / math.pi))
            r, z = r + chord * math.cos(heading + 0.5 * turn), z + chord * math.sin(heading + 0.5 * turn)
            heading += turn
            yield r, z


def _links(part: Stretch, link: float) -> Array:
    """Lengths of the links of a stretch, which add up to its own."""
    if not part.graded:
        count = max(1, round(part.length / link))
        return np.full(count, part.length / count)
    count = math.ceil(math.log1p(part.length * (GROWTH - 1.0) / link) / math.log(GROWTH))
    lengths = GROWTH ** np.arange(count)
    return part.length * lengths / lengths.sum()
