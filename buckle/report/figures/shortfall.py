"""Picture of a distribution of reserves: shares below each reserve on a scale of normal scores, and what scatters."""

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from scipy.stats import norm

from buckle.case import Case
from buckle.container.container import Container
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.shortfall.distribution import SHARES, Distribution
from buckle.study.scores import Scatter

PLAIN, WEIGHTED, FIRST = "#0072B2", "#D55E00", "#000000"
TICKS = (0.5, 0.1, 1e-2, 1e-3, 1e-4, 1e-6)


def draw_shortfall(case: Case | Container, made: Distribution, scatter: Scatter) -> Figure:
    """Return the distribution of the least reserve by each way, and the share of each tolerance."""
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(7.0, 4.9)
        add_title(figure, case.title, "Share of all designs below a reserve factor, and what it scatters by")
        _draw_shares(add_axes(figure, (0.8, 1.85, 6.8, 4.3)), made)
        _draw_bars(add_axes(figure, (2.4, 0.45, 6.8, 1.3)), made, scatter)
    return figure


def _draw_shares(axes: Axes, made: Distribution) -> None:
    for sample, color, name in (
        (made.weighted, WEIGHTED, "about the design points"),
        (made.plain, PLAIN, "plain samples"),
    ):
        order = np.argsort(sample.reserves)
        weights = np.ones(len(order)) if sample.weights is None else sample.weights[order]
        below = np.cumsum(weights) / len(order)
        keep = (below > 1e-9) & (below < 0.98) & np.isfinite(sample.reserves[order])
        axes.plot(sample.reserves[order][keep], norm.ppf(below[keep]), color=color, linewidth=1.3, label=name)
    scores = [norm.ppf(share) for share in SHARES]
    axes.plot(made.first_levels, scores, color=FIRST, marker="o", linestyle="none", markersize=4, label="first order")
    if made.second_share:
        score = norm.ppf(made.second_share)
        axes.plot(made.asked, score, color=FIRST, marker="x", linestyle="none", markersize=6, label="second order")
    axes.axvline(made.asked, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)))
    axes.set_yticks([norm.ppf(each) for each in TICKS])
    axes.set_yticklabels(["50 %", "10 %", "1 %", "0.1 %", "100 ppm", "1 ppm"])
    axes.set_ylim(norm.ppf(2e-7), norm.ppf(0.98))
    axes.set_xlabel("least reserve factor over all requirements")
    axes.set_ylabel("share below")
    axes.legend(frameon=False, loc="upper left")


def _draw_bars(axes: Axes, made: Distribution, scatter: Scatter) -> None:
    order = np.argsort(made.scatter_shares)
    axes.barh(range(len(order)), 100.0 * made.scatter_shares[order], color="0.6", height=0.6)
    axes.set_yticks(range(len(order)))
    axes.set_yticklabels([scatter.keys[at] for at in order])
    axes.set_xlim(0.0, 100.0)
    axes.set_xlabel("share of the scatter, by first order  [%]")
