"""Points of a batch: every parameter against every other and the pressure, and the mass that a pressure costs."""

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from buckle.batch.numbers import Array, Batch, strongest
from buckle.report.batch.curves import POINT, dots, draw_demand
from buckle.report.batch.labels import label
from buckle.report.batch.notes import add_note, following_words, text_words
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import METAL, STYLE

PITCH = 1.6  # in from one graph of the matrix to the next
MOST = 6  # parameters of a matrix that can still be read
SHORT = "#D55E00"


def draw_matrix(batch: Batch) -> Figure:
    """Return the scatter matrix of the parameters and the governing pressure; designs that fall short stand out.

    Of many parameters those are shown that move the pressure most.
    """
    shown = [batch.names.index(name) for name in strongest(batch, MOST)]
    names = (*(batch.names[at] for at in shown), batch.load_name)
    values = np.column_stack([batch.values[:, shown], batch.load])
    size = 1.05 + PITCH * len(names)
    short = batch.short
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(size, size + 0.4)
        marked = "; orange squares fall short" if short.any() else ""
        which = "Every parameter" if len(shown) == len(batch.names) else f"The {MOST} parameters that matter most"
        add_title(figure, batch.title, f"{which} and the governing {batch.load_words} against each other{marked}")
        for row in range(len(names)):
            for column in range(row + 1):
                left, bottom = 0.75 + PITCH * column, 0.75 + PITCH * (len(names) - 1 - row)
                axes = add_axes(figure, (left, bottom, left + PITCH - 0.2, bottom + PITCH - 0.2))
                _draw_cell(axes, values[:, column], values[:, row] if row != column else None, short)
                _label_cell(axes, names, row, column)
        add_note(figure, [*following_words(batch), *text_words(batch)])
    return figure


def _draw_cell(axes: Axes, x: Array, y: Array | None, short: NDArray[np.bool_]) -> None:
    if y is None:
        axes.hist(x, bins=12, color=METAL)
        return
    for marker, color, rows in (("o", POINT, ~short), ("s", SHORT, short)):
        axes.plot(x[rows], y[rows], marker, **dots(len(x)), color=color, alpha=0.7)


def _label_cell(axes: Axes, names: tuple[str, ...], row: int, column: int) -> None:
    last = row == len(names) - 1
    axes.set_xlabel(label(names[column]) if last else "", fontsize=6.5)
    axes.set_ylabel((label(names[row]) if row else "designs") if column == 0 else "", fontsize=6.5)
    axes.tick_params(labelbottom=last, labelleft=column == 0, labelsize=6)
    if row == column and column:
        axes.tick_params(labelleft=False)


def draw_front(batch: Batch) -> Figure:
    """Return mass against governing pressure with the designs that no other beats in both."""
    assert batch.mass is not None
    front = pareto(batch.mass, batch.load)
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(5.6, 4.2)
        add_title(
            figure,
            batch.title,
            f"Mass against governing {batch.load_words}; {len(front)} designs that no other beats in both",
        )
        axes = add_axes(figure, (0.75, 0.6, 5.3, 3.55))
        axes.plot(batch.mass, batch.load, "o", **dots(len(batch.mass)), color="0.65", zorder=2)
        axes.step(batch.mass[front], batch.load[front], where="post", color="0.0", linewidth=1.0, zorder=3)
        axes.plot(batch.mass[front], batch.load[front], "o", color=POINT, markersize=5, zorder=4)
        axes.set_xlabel("mass  [g]")
        axes.set_ylabel(label(batch.load_name))
        axes.margins(0.06)
        draw_demand(axes, batch)
    return figure


def pareto(mass: Array, pressure: Array) -> Array:
    """Return the row numbers of designs for which no other is as light and as strong, lightest first."""
    order = np.lexsort((-pressure, mass))
    best = np.maximum.accumulate(np.concatenate([[-np.inf], pressure[order][:-1]]))
    return np.asarray(order[pressure[order] > best])
