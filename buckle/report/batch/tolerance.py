"""What tolerances do: which of them moves the pressure most, and how likely a part falls short."""

import matplotlib
import numpy as np
from matplotlib.figure import Figure

from buckle.batch.numbers import Batch, Shortfall, Slope, effects
from buckle.report.batch.curves import POINT, load_digits
from buckle.report.batch.labels import label
from buckle.report.batch.notes import add_note, following_words, text_words
from buckle.report.batch.scatter import SHORT
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import GUIDE, METAL, STYLE

ROW = 0.34  # in for each bar
WORDS = "One standard deviation of each parameter, others held: up in blue, down in grey; whiskers 2 standard errors"


def draw_tornado(batch: Batch) -> Figure:
    """Return a bar for each parameter: what one standard deviation of it, both ways, does to the load."""
    found = effects(batch)[::-1]
    height = 1.8 + ROW * len(found)
    spread = batch.values.std(axis=0, ddof=1)
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(6.4, height)
        add_title(figure, batch.title, WORDS)
        axes = add_axes(figure, (2.5, 0.75, 6.1, height - 0.65))
        for at, each in enumerate(found):
            size = abs(each.slope)
            axes.barh(at, 2.0 * size, left=-size, height=0.6, color=METAL, zorder=2)
            axes.barh(at, each.slope, height=0.6, color=POINT, zorder=3)
            axes.errorbar(each.slope, at, xerr=2.0 * each.error, color="0.0", linewidth=0.8, capsize=2, zorder=4)
        axes.axvline(0.0, color="0.0", linewidth=0.8, zorder=5)
        axes.set_yticks(range(len(found)), [_name(each, batch, spread) for each in found])
        axes.set_xlabel(f"change of the governing {batch.load_words}  [{batch.load_unit}]")
        axes.grid(visible=False, axis="y")
        axes.tick_params(axis="y", length=0)
        reach = 1.15 * max(abs(each.slope) + 2.0 * each.error for each in found)
        axes.set_xlim(-reach, reach)
        add_note(figure, [*following_words(batch), *text_words(batch)])
    return figure


def _name(each: Slope, batch: Batch, spread: np.ndarray) -> str:
    return f"{label(each.name)}  ± {spread[batch.names.index(each.name)]:.3g}"


def draw_histogram(batch: Batch, shortfall: Shortfall | None) -> Figure:
    """Return how often which load comes out, what is required, and the chance of falling short of it."""
    mean, deviation = float(batch.load.mean()), float(batch.load.std(ddof=1))
    unit = batch.load_unit
    figures = f"mean {load_digits(mean, batch)} {unit}, standard deviation {deviation:.3g} {unit}"
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(6.0, 4.2)
        add_title(figure, batch.title, f"Scatter of the governing {batch.load_words}: {figures}")
        axes = add_axes(figure, (0.75, 0.8, 5.7, 3.55))
        edges = np.histogram_bin_edges(batch.load, bins="auto").tolist()
        axes.hist(batch.load, bins=edges, color=METAL, edgecolor="white", linewidth=0.5, zorder=2)
        if batch.demand is not None:
            below = batch.load[batch.load < batch.demand]
            axes.hist(below, bins=edges, color=SHORT, edgecolor="white", linewidth=0.5, zorder=3)
            axes.axvline(batch.demand, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)), zorder=4)
            axes.annotate(
                f"{load_digits(batch.demand, batch)} required",
                (batch.demand, 1.0),
                (3, -8),
                xycoords=("data", "axes fraction"),
                textcoords="offset points",
                color=GUIDE,
            )
        if shortfall is not None:
            figure.text(0.75 / 6.0, 0.18 / 4.2, shortfall.words)
        axes.set_xlabel(label(batch.load_name))
        axes.set_ylabel("designs")
    return figure
