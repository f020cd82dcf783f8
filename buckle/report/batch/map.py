"""A map of a batch over two parameters: governing over required pressure, or the pressure if none is required."""

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from buckle.report.batch.data import Array, Batch, label
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import GUIDE, STYLE

LEVELS = 10


def draw_map(batch: Batch) -> Figure:
    """Return the contours over the two parameters of a batch that has two; the line of 1 is drawn strongest."""
    shown = batch.pressure if batch.demand is None else batch.pressure / batch.demand
    words = label(batch.pressure_name) if batch.demand is None else "governing / required pressure"
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(5.6, 4.6)
        add_title(figure, batch.title, f"Contours of the {words}; dots are the designs")
        axes = add_axes(figure, (0.75, 0.6, 5.3, 3.95))
        axes.set_xlabel(label(batch.names[0]))
        axes.set_ylabel(label(batch.names[1]))
        _draw(axes, batch.values, shown, batch.demand is not None)
    return figure


def _draw(axes: Axes, values: Array, shown: Array, is_reserve: bool) -> None:
    x, y = values.T
    levels = MaxNLocator(LEVELS).tick_values(float(shown.min()), float(shown.max()))
    axes.tricontourf(x, y, shown, levels=levels, cmap="Greys", alpha=0.45, zorder=1)
    lines = axes.tricontour(x, y, shown, levels=levels, colors="0.35", linewidths=0.7, zorder=2)
    axes.clabel(lines, fontsize=7, fmt="%g")
    if is_reserve and shown.min() < 1.0 < shown.max():
        strong = axes.tricontour(x, y, shown, levels=[1.0], colors="#D55E00", linewidths=2.0, zorder=3)
        axes.clabel(strong, fontsize=8, fmt="%g")
    axes.plot(x, y, "o", color=GUIDE, markersize=2.5, zorder=4, clip_on=False)


def can_map(batch: Batch) -> bool:
    """Tell whether a batch has two parameters and points that do not lie on one line."""
    if len(batch.names) != 2 or len(batch.pressure) < 4:
        return False
    centred = (batch.values - batch.values.mean(axis=0)) / np.ptp(batch.values, axis=0)
    return bool(np.linalg.matrix_rank(centred, tol=1e-6) == 2)
