"""Panels of half sections, all to one scale in both directions and close enough to see what moves."""

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from buckle.report.figures.labels import show_length
from buckle.report.figures.panel import Box
from buckle.report.figures.plot import add_axes, new_figure
from buckle.report.figures.style import GUIDE, PAGE
from buckle.results import Array
from buckle.units import Units

WIDTH = PAGE  # in, the figure
_LEFT, _BELOW, _LINE = 0.6, 0.55, 0.15  # in around every panel for numbers; a line of its title
_HEAD, _FOOT = 0.6, 0.35  # in, the title and the legend of the figure
_TALLEST = 4.6  # in, a panel
_SLIM, _ROOM = 0.2, 0.15  # parts of the wide side of a view: the least narrow side; the room around


def view_of(r: Array, z: Array, moved: Array, share: float) -> Box:
    """Return the box [mm] around the points that move more than a share of the largest movement, with room."""
    here = moved >= share * np.max(moved)
    low = np.array([np.min(r[here]), np.min(z[here])])
    high = np.array([np.max(r[here]), np.max(z[here])])
    widest = float(np.max(high - low)) or 1.0
    middle, half = 0.5 * (low + high), 0.5 * np.maximum(high - low, _SLIM * widest) + _ROOM * widest
    return _box(middle - half, middle + half)


def around(views: Sequence[Box]) -> Box:
    """Return the box around all views, so that panels can be compared."""
    corners = np.array(views)
    return _box(np.min(corners[:, :2], axis=0), np.max(corners[:, 2:], axis=0))


def _box(low: Array, high: Array) -> Box:
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def add_shape_panels(view: Box, count: int, title_lines: int, units: Units) -> tuple[Figure, list[Axes]]:
    """Return a figure with axes of the same view, more of them side by side the taller it is."""
    above = 0.1 + _LINE * title_lines
    tallness = (view[3] - view[1]) / (view[2] - view[0])
    columns = min(count, 3 if tallness > 0.8 else 2 if tallness > 0.25 or count > 2 else 1)
    rows = -(-count // columns)
    width = WIDTH / columns - _LEFT - 0.15
    height = min(width * tallness, _TALLEST)
    figure = new_figure(WIDTH, _HEAD + _FOOT + rows * (height + _BELOW + above))
    panels = []
    for i in range(count):
        left = _LEFT + (i % columns) * (WIDTH / columns)
        bottom = _FOOT + _BELOW + (rows - 1 - i // columns) * (height + _BELOW + above)
        panels.append(_panel(figure, (left, bottom, left + width, bottom + height), view, units))
    return figure, panels


def _panel(figure: Figure, area: Box, view: Box, units: Units) -> Axes:
    """Add axes that show at least the view, and the axis of revolution where it is in sight."""
    axes = add_axes(figure, area)
    wide, tall = area[2] - area[0], area[3] - area[1]
    per_inch = max((view[2] - view[0]) / wide, (view[3] - view[1]) / tall)
    across, up = 0.5 * (view[0] + view[2]), 0.5 * (view[1] + view[3])
    axes.set_xlim(across - 0.5 * wide * per_inch, across + 0.5 * wide * per_inch)
    axes.set_ylim(up - 0.5 * tall * per_inch, up + 0.5 * tall * per_inch)
    axes.axvline(0.0, color=GUIDE, linewidth=0.7, linestyle=(0, (10, 3, 2, 3)), zorder=1)
    show_length(axes.xaxis, "r", units, most=max(3, int(1.6 * wide)))
    show_length(axes.yaxis, "z", units, most=max(4, int(2.0 * tall)))
    return axes
