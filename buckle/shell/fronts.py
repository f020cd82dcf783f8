"""How much of each layer flows: fronts between elastic and plastic metal, followed between the points.

Whether a layer's point flows is a matter of yes or no. With moduli that jump with each point, the onset of waves moved
by 1 % with the number of layers and elements; with the share of its cell that lies beyond a front, placed by straight
lines between the points, along the meridian and through the wall, it moves by a fifth of that.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
PLACES = 4  # in each cell along the meridian, at which it is looked at through the wall


@dataclass(frozen=True, eq=False)
class Cells:
    """What surrounds each layer point, and where levels known at the points are looked at in between."""

    left: Index  # (points * PLACES,) the point before each place along the meridian
    onward: Array  # (points * PLACES, 1) share of the way to the next point
    xi: Array  # (layers,)
    widths: tuple[Array, Array]  # of a layer before and after its point, (layers,) as shares of it
    to_edges: Array  # (layers, layers + 1) from values at the layers to those at their edges

    def share_beyond(self, level: Array) -> Array:
        """Share of each cell in which a level (points, layers) is positive, (points, layers)."""
        between = level[self.left] * (1.0 - self.onward) + level[self.left + 1] * self.onward
        at_edges = between @ self.to_edges
        before, after = _positive(at_edges[:, :-1], between), _positive(between, at_edges[:, 1:])
        share = before * self.widths[0] + after * self.widths[1]
        return share.reshape(len(level), PLACES, -1).mean(axis=1)


def cells_of(s: Array, length: Array, rule: tuple[Array, Array]) -> Cells:
    """Cells of points at arc lengths s (points,) that stand for some length of meridian each, and of a layer rule."""
    starts = np.append(0.0, np.cumsum(length))[:-1]
    places = (starts[:, None] + length[:, None] * (np.arange(PLACES) + 0.5) / PLACES).ravel()
    left = np.clip(np.searchsorted(s, places) - 1, 0, len(s) - 2)
    onward = (places - s[left]) / (s[left + 1] - s[left])
    xi, weight = rule
    edges = np.append(0.0, np.cumsum(weight)) - 1.0
    widths = (xi - edges[:-1]) / weight, (edges[1:] - xi) / weight
    return Cells(left, onward[:, None], xi, widths, _to_edges(xi, edges).T)


def _positive(a: Array, b: Array) -> Array:
    """Share of a straight line from a to b that is positive."""
    up, down = np.maximum(a, 0.0) + np.maximum(b, 0.0), np.maximum(-a, 0.0) + np.maximum(-b, 0.0)
    share: Array = up / np.maximum(up + down, 1e-300)
    return share


def _to_edges(xi: Array, edges: Array) -> Array:
    """Matrix (layers + 1, layers) from values at the points to those at the edges, by straight lines."""
    left = np.clip(np.searchsorted(xi, edges) - 1, 0, len(xi) - 2)
    share = (edges - xi[left]) / (xi[left + 1] - xi[left])
    out = np.zeros((len(edges), len(xi)))
    rows = np.arange(len(edges))
    out[rows, left], out[rows, left + 1] = 1.0 - share, share
    return out
