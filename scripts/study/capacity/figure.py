"""The figure of docs/capacity.md: paths of one base in several gauges, and its capacity and first limit over gauge."""

from collections.abc import Sequence

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.figure import Figure

import buckle
from buckle.case import case_from_dict
from scripts.study.capacity.bodies import SERIES_BASE, with_value
from scripts.study.capacity.table import DOCS, SweepRow, lines

GAUGES = (0.24, 0.26, 0.28, 0.30)
SHADES = ("0.75", "0.55", "0.3", "black")
EVENTS = {"limit point": "o", "growth ceiling": "^", "walls touch": "s", "strain ceiling": "D", "bifurcation": "v"}


def draw(rows: Sequence[SweepRow]) -> None:
    mpl.rcParams["svg.hashsalt"] = "capacity"
    figure = Figure(figsize=(11.0, 4.5), layout="constrained")
    paths, series = figure.subplots(1, 2)
    _paths(paths)
    _series(series, next(line for body, key, line in lines(rows) if (body, key) == ("series", "shape.gauge_mm")))
    figure.savefig(DOCS / "capacity.svg", metadata={"Date": None})


def _paths(axes: Axes) -> None:
    case = case_from_dict(SERIES_BASE)
    for gauge, shade in zip(GAUGES, SHADES, strict=True):
        outcome = buckle.run(with_value(case, "shape.gauge_mm", gauge), "GMNA", estimate_error=False)
        axes.plot(outcome.path.growth, 10.0 * outcome.path.pressure, color=shade, label=f"gauge {gauge:g} mm")
        capacity = outcome.capacity
        end = outcome.path.pressure.searchsorted(capacity.pressure)
        axes.plot(outcome.path.growth[end], 10.0 * capacity.pressure, EVENTS[capacity.kind], color=shade)
    axes.set(xlabel="growth mm", ylabel="pressure bar", title="Paths, and what is counted as their capacity")
    axes.legend(frameon=False, loc="lower right")


def _series(axes: Axes, line: Sequence[SweepRow]) -> None:
    for event, mark in EVENTS.items():
        some = [row for row in line if row.event == event]
        if some:
            axes.plot(
                [row.value for row in some],
                [row.pressure_bar for row in some],
                mark,
                color="black",
                markersize=3.0,
                label=event,
            )
    axes.set(xlabel="gauge mm", ylabel="capacity bar", title="Capacity of the same base over its gauge")
    axes.legend(frameon=False, loc="upper left")
