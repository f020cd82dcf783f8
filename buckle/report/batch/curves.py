"""Response curves of a batch: the governing pressure against each parameter."""

from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from buckle.report.batch.data import Array, Batch, label
from buckle.report.figures.labels import digits
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.units import RECORDED

ACROSS = 3  # graphs in a row
PITCH = (3.0, 2.6)  # in from one graph to the next
POINT = "#0072B2"
FEW, PICTURE = 500, 2000  # points
LINES = 60  # most lines that a graph can bear; with more only the points are drawn


def draw_responses(batch: Batch) -> Figure:
    """Return a graph for each parameter; lines join designs that differ in nothing else."""
    rows = -(-len(batch.names) // ACROSS)
    columns = min(ACROSS, len(batch.names))
    height = 0.75 + PITCH[1] * rows
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(max(0.4 + PITCH[0] * columns, 5.0), height)
        add_title(
            figure, batch.title, "Governing pressure against each parameter; lines join designs alike in all others"
        )
        for at, name in enumerate(batch.names):
            left, top = 0.65 + PITCH[0] * (at % ACROSS), height - 0.65 - PITCH[1] * (at // ACROSS)
            axes = add_axes(figure, (left, top - PITCH[1] + 0.55, left + PITCH[0] - 0.75, top))
            _draw(axes, batch, at)
            axes.set_xlabel(label(name))
            axes.set_ylabel(label(batch.pressure_name) if at % ACROSS == 0 else "")
            draw_demand(axes, batch.demand)
    return figure


def _draw(axes: Axes, batch: Batch, at: int) -> None:
    x = batch.values[:, at]
    groups = _groups(np.delete(batch.values, at, axis=1))
    lines = [group for group in groups if len(group) > 1]
    if len(lines) <= LINES:
        for group in lines:
            order = group[np.argsort(x[group])]
            axes.plot(x[order], batch.pressure[order], color="0.6", linewidth=0.8, zorder=2)
    axes.plot(x, batch.pressure, "o", **dots(len(x)), color=POINT, alpha=0.8, zorder=3)


def dots(count: int) -> dict[str, Any]:
    """Return the size of that many points; so many that nobody tells them apart are drawn as one picture."""
    return {"markersize": 3.0 if count < FEW else 1.5, "rasterized": count > PICTURE}


def _groups(others: Array) -> list[Array]:
    """Return the row numbers that share all other parameters."""
    found: dict[tuple[float, ...], list[int]] = {}
    for row, values in enumerate(others):
        found.setdefault(tuple(values), []).append(row)
    return [np.array(rows) for rows in found.values()]


def draw_demand(axes: Axes, demand: float | None) -> None:
    """Draw and name the required pressure [bar] across a graph."""
    if demand is None:
        return
    axes.axhline(demand, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)), zorder=1.5)
    axes.annotate(
        f"{digits(demand, RECORDED)} required",
        (1.0, demand),
        (-2, 2),
        xycoords=("axes fraction", "data"),
        textcoords="offset points",
        ha="right",
        fontsize=6.5,
        color=GUIDE,
    )
