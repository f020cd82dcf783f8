"""The figure of docs/crosscheck.md: how far the shell is above the solid, and what that goes with."""

from collections.abc import Sequence

import matplotlib as mpl
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.layout_engine import ConstrainedLayoutEngine

from buckle.crosscheck.bands import PLASTIC
from scripts.study.crosscheck.runs import GROWTHS, THINNER, Row
from scripts.study.crosscheck.table import BODIES, DOCS, GOAL, THIN, above, at_growth, read_rows, shell_above, spread

MARKS = {"bases": "o", "ends": "^"}
COLOURS = {"bases": "#1f5f99", "ends": "#b3541e"}
BESIDE = {"bases": -0.16, "ends": 0.16}  # of a step, in the panel of growths


def draw() -> None:
    mpl.rcParams["svg.hashsalt"] = "crosscheck"
    figure_of(read_rows(BODIES), read_rows(THIN)).savefig(DOCS / "crosscheck.svg", metadata={"Date": None})


def figure_of(rows: Sequence[Row], thin: Sequence[Row]) -> Figure:
    figure = Figure(figsize=(11.0, 8.5), layout=ConstrainedLayoutEngine(h_pad=0.12, w_pad=0.12))
    axes = figure.subplots(2, 2)
    _capacities(axes[0, 0], rows)
    _growths(axes[0, 1], rows)
    _onsets(axes[1, 0], rows)
    _thinner(axes[1, 1], thin)
    for each in axes.flat:
        each.axhline(0.0, color="0.6", linewidth=0.8, zorder=0)
        each.set_ylabel("shell above solid, %")
    return figure


def _capacities(axes: Axes, rows: Sequence[Row]) -> None:
    for what, mark in MARKS.items():
        own = [row for row in rows if row["body"] == what and above("capacity")(row) is not None]
        half = [0.5 * row["solid_shear_share_percent"] for row in own]
        found = [above("capacity")(row) for row in own]
        axes.plot(half, found, mark, color=COLOURS[what], markersize=4.0, fillstyle="none", label=what)
    span = np.array([0.0, axes.get_xlim()[1]])
    axes.plot(span, span, "-", color="0.4", linewidth=0.8, label="one to one")
    _band(axes)
    axes.set(xlabel="half of the share of shear in the plastic work, %", title="Capacity, waves left aside")
    axes.set_xlim(0.0, span[1])
    axes.legend(frameon=False, loc="lower right")


def _growths(axes: Axes, rows: Sequence[Row]) -> None:
    """Median, the middle four fifths as a bar, and extremes as a line."""
    for what, mark in MARKS.items():
        own = [row for row in rows if row["body"] == what]
        for at, growth in enumerate(GROWTHS):
            values = spread(own, at_growth(growth)).values
            if not values:
                continue
            x, (low, high) = at + BESIDE[what], np.percentile(values, [10.0, 90.0])
            axes.plot([x, x], [min(values), max(values)], "-", color="0.6", linewidth=0.8)
            axes.plot([x, x], [low, high], "-", color=COLOURS[what], linewidth=4.0, solid_capstyle="butt")
            name = what if at == 0 else None
            look = {"color": COLOURS[what], "markerfacecolor": "white", "markersize": 6.0}
            axes.plot(x, np.median(values), mark, label=name, **look)
    for level in (-GOAL, GOAL):
        axes.axhline(level, color="0.6", linewidth=0.8, linestyle=":")
    axes.set_xticks(range(len(GROWTHS)), [f"{growth:g}" for growth in GROWTHS])
    axes.set(xlabel="growth, mm", title="Pressure at a growth: median, four fifths, extremes")
    axes.legend(frameon=False)


def _onsets(axes: Axes, rows: Sequence[Row]) -> None:
    for key, name, style in (("onset", "flow theory", "full"), ("lower_onset", "deformation theory", "none")):
        for what, mark in MARKS.items():
            own = [row for row in rows if row["body"] == what and above(key)(row) is not None]
            shares = [row[f"solid_{key}"] / row["solid_capacity"] for row in own]
            differences = [above(key)(row) for row in own]
            label = f"{what}, {name}" if own else None
            axes.plot(shares, differences, mark, color=COLOURS[what], markersize=4.0, fillstyle=style, label=label)
    _band(axes)
    axes.set(xlabel="onset / capacity without waves, both of the solid", title="Onset of waves")
    low, high = axes.get_ylim()
    axes.set_ylim(low, high + 0.3 * (high - low))  # room for the legend
    axes.legend(frameon=False, loc="upper center", ncols=2, fontsize=9)


def _thinner(axes: Axes, rows: Sequence[Row]) -> None:
    """All pressures, and their medians at each gauge."""
    for what, mark in MARKS.items():
        by_share = [[shell_above(row) for row in rows if (row["body"], row["share"]) == (what, at)] for at in THINNER]
        look = {"color": COLOURS[what], "markerfacecolor": "white"}
        for share, own in zip(THINNER, by_share, strict=True):
            x = [share * 2.0 ** (0.5 * BESIDE[what])] * len(own)
            axes.plot(x, own, mark, markersize=3.0, alpha=0.5, **look)
        medians = [np.median(own) for own in by_share]
        axes.plot(THINNER, medians, f"-{mark}", markersize=6.0, label=f"{what}, median", **look)
    axes.set_xscale("log", base=2)
    axes.set_xticks(THINNER, [f"{share:g}" for share in THINNER])
    axes.set(xlabel="gauge, of what it was", title="Thinner walls: pressures at 1, 2 and 3 mm of growth")
    axes.legend(frameon=False)


def _band(axes: Axes) -> None:
    for level in (-PLASTIC, PLASTIC):
        axes.axhline(level, color="0.6", linewidth=0.8, linestyle=":")
