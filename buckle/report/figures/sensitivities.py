"""How strongly each number moves the capacity, as bars to both sides."""

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from buckle.record.sheet.sensitivities import Sensitivities
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import GUIDE, METAL, STYLE

MOST = 20  # numbers that are shown
LEAST = 5e-4  # of the logarithms: less is told in the table alone
BAR = 0.19  # in
HEAD, FOOT = 0.6, 0.55  # in above and below the bars


def draw_sensitivities(title: str, made: Sensitivities) -> Figure:
    """Return bars of d ln capacity / d ln number, the largest on top: dark for a rise, light for a fall.

    What has no single derivative, and what hardly moves it, stands in the table alone.
    """
    shown = [each for each in made.effects if abs(each.capacity.relative or 0.0) > LEAST][:MOST]
    with matplotlib.rc_context(dict(STYLE)):
        height = HEAD + FOOT + BAR * (len(shown) + 0.6)
        figure = new_figure(7.0, height)
        quantity = made.quantity.rpartition("_")[0].replace("_", " ")
        add_title(figure, title, f"Per cent of {quantity} by one per cent of each number")
        axes = add_axes(figure, (2.55, FOOT, 6.4, height - HEAD))
        for at, effect in enumerate(shown):
            _draw_bar(axes, at, effect.capacity.relative or 0.0)
        axes.set_ylim(len(shown) - 0.2, -0.8)
        axes.set_yticks(range(len(shown)), [each.key for each in shown])
        axes.tick_params(axis="y", length=0.0)
        axes.axvline(0.0, color=GUIDE, linewidth=0.8)
        axes.margins(x=0.14)
        axes.set_xlabel("d ln p / d ln x  [–]")
    return figure


def _draw_bar(axes: Axes, at: int, value: float) -> None:
    side = 1.0 if value > 0.0 else -1.0
    color = "0.15" if value > 0.0 else METAL
    axes.barh(at, value, height=0.66, color=color, edgecolor="0.15", linewidth=0.6, zorder=3)
    axes.annotate(
        f"{value:+.3f}",
        (value, at),
        xytext=(3.0 * side, 0.0),
        textcoords="offset points",
        ha="left" if side > 0.0 else "right",
        va="center",
        fontsize=7.0,
    )
