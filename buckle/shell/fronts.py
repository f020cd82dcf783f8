"""How much of each layer flows: fronts between elastic and plastic metal, followed between the points.

Whether a layer's point flows is a matter of yes or no. With moduli that jump with each point, the onset of waves moved
by 1 % with the number of layers and elements; with the share of its cell that lies beyond a front, placed by straight
lines between the points, along the meridian and through the wall, it moves by a fifth of that.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.shell.compiled import njit

Array = NDArray[np.float64]
Index = NDArray[np.int64]
LINES = 4  # in each cell along the meridian, at which it is looked at through the wall


@dataclass(frozen=True, eq=False)
class Cells:
    """What surrounds each layer point, and where levels known at the points are looked at in between."""

    left: Index  # (points, 4) the point before each line along the meridian
    onward: Array  # (points, 4) [-] share of the way to the next point
    widths: Array  # (2, layers) [-] of a layer before and after its point, as shares of it
    edges: tuple[Index, Array]  # (layers + 1,) layer before each edge, and its share [-] of the way to the next

    def share_beyond(self, level: Array) -> Array:
        """Share of each cell [-] in which a level (points, layers), of any unit, is positive, (points, layers)."""
        share: Array = _share_beyond(level, self.left, self.onward, self.widths, *self.edges)
        return share


def cells_of(s: Array, length: Array, rule: tuple[Array, Array], start: float = 0.0) -> Cells:
    """Cells of points at arc lengths s (points,) that stand for some length of meridian each, and of a layer rule.

    Both [mm], `start` where the first of them begins; the rule's positions and weights (layers,) [-].
    """
    starts = start + np.append(0.0, np.cumsum(length))[:-1]
    lines = starts[:, None] + length[:, None] * (np.arange(LINES) + 0.5) / LINES
    xi, weight = rule
    edges = np.append(0.0, np.cumsum(weight)) - 1.0
    widths = np.stack([(xi - edges[:-1]) / weight, (edges[1:] - xi) / weight])
    return Cells(*_between(s, lines), widths, _between(xi, edges))


def _between(s: Array, lines: Array) -> tuple[Index, Array]:
    """Index of the point before each place and its share of the way to the next; beyond the ends less or more."""
    left = np.clip(np.searchsorted(s, lines) - 1, 0, len(s) - 2)
    return left, (lines - s[left]) / (s[left + 1] - s[left])


@njit(cache=True)
def _share_beyond(level: Array, left: Index, onward: Array, widths: Array, edge: Index, over: Array) -> Array:
    points, layers = level.shape
    share, line, edges = np.zeros((points, layers)), np.empty(layers), np.empty(layers + 1)
    for i in range(points):
        for j in range(LINES):
            here, on = left[i, j], onward[i, j]
            for k in range(layers):
                line[k] = (1.0 - on) * level[here, k] + on * level[here + 1, k]
            for k in range(layers + 1):
                edges[k] = (1.0 - over[k]) * line[edge[k]] + over[k] * line[edge[k] + 1]
            for k in range(layers):
                before, after = _positive(edges[k], line[k]), _positive(line[k], edges[k + 1])
                share[i, k] += (before * widths[0, k] + after * widths[1, k]) / LINES
    return share


@njit(cache=True)
def _positive(a: float, b: float) -> float:
    """Share of a straight line from a to b that is positive."""
    if a > 0.0 and b > 0.0:
        return 1.0
    if a <= 0.0 and b <= 0.0:
        return 0.0
    return max(a, b) / abs(a - b)
