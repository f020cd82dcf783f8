"""What all graphs share: the look of each analysis kind, axes placed in inches, values named at the right edge."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from buckle.report.figures.panel import Box, spread
from buckle.report.figures.style import GUIDE

ROW = 0.17  # in between the texts of a column


@dataclass(frozen=True)
class Look:
    """Colour, dash and marker of a kind; the dashes and markers alone tell the kinds apart in black and white."""

    color: str
    dash: Any
    marker: str

    @property
    def line(self) -> dict[str, Any]:
        """Keywords for a line."""
        return {"color": self.color, "linestyle": self.dash, "linewidth": 1.4}


# Colours that people of every colour vision tell apart: M. Okabe and K. Ito, Color Universal Design, 2002, from memory.
LOOKS = {
    "LBA": Look("#009E73", "-", "s"),
    "MNA": Look("#56B4E9", (0, (1.2, 1.2)), "v"),
    "GNA": Look("#0072B2", (0, (5, 2)), "D"),
    "GMNA": Look("#000000", "-", "o"),
    "GNIA": Look("#CC79A7", (0, (5, 2, 1, 2)), "P"),
    "GMNIA": Look("#D55E00", (0, (8, 2, 1, 2, 1, 2)), "X"),
}


@dataclass(frozen=True)
class Named:
    """A value on the vertical axis with its text; the leader starts at x, or at the right edge if x is None."""

    value: float
    text: str
    x: float | None = None


def new_figure(width: float, height: float) -> Figure:
    """Return an empty figure [in] that draws without a screen."""
    figure = Figure(figsize=(width, height))
    FigureCanvasAgg(figure)
    return figure


def add_axes(figure: Figure, area: Box) -> Axes:
    """Add axes with the place left, bottom, right, top [in]."""
    width, height = figure.get_size_inches()
    left, bottom, right, top = area
    axes = figure.add_axes((left / width, bottom / height, (right - left) / width, (top - bottom) / height))
    axes.spines[["top", "right"]].set_visible(False)
    axes.grid(visible=True, color="0.92", linewidth=0.5)
    axes.set_axisbelow(True)
    return axes


def add_title(figure: Figure, title: str, words: str) -> None:
    """Write the title of the case and, below it, what the figure shows."""
    height = float(figure.get_size_inches()[1])
    figure.text(0.15 / figure.get_size_inches()[0], 1.0 - 0.2 / height, title, va="center", fontsize=10)
    figure.text(0.15 / figure.get_size_inches()[0], 1.0 - 0.41 / height, words, va="center", color=GUIDE)


def name_values(axes: Axes, named: Sequence[Named]) -> None:
    """Write texts in a column right of the axes, each on a thin leader from its value; they never touch each other."""
    low, high = axes.get_ylim()
    right = axes.get_xlim()[1]
    height = axes.get_position().height * float(axes.get_figure(root=True).get_size_inches()[1])  # type: ignore[union-attr]
    shares = np.array([(one.value - low) / (high - low) for one in named])
    heights = spread(shares, ROW / height, 0.0, 1.0 + 0.5 * ROW / height)
    thin: dict[str, Any] = {"color": GUIDE, "linewidth": 0.5, "zorder": 1.5}
    for one, share, area in zip(named, shares, heights, strict=True):
        if one.x is not None:
            axes.plot([one.x, right], [one.value, one.value], **thin)
        axes.plot([1.0, 1.045], [share, area], transform=axes.transAxes, clip_on=False, **thin)
        axes.text(1.055, float(area), one.text, transform=axes.transAxes, va="center")
