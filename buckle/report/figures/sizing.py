"""Pictures of a sizing: reserves along one variable."""

from collections.abc import Sequence

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from buckle.case import Case
from buckle.report.figures.plot import Named, add_axes, add_title, name_values, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.size.one import Scan
from buckle.size.trial import Trial
from buckle.units import Units

COLORS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9")
MARKERS = ("o", "s", "D", "^", "v", "P")
HIGHEST = 2.5
"""Reserve factors over this multiple of what is asked are not worth their height on paper."""


def draw_scan(case: Case, scan: Scan, units: Units) -> Figure:
    """Return the reserve of each requirement along a variable, and the answer."""
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(7.0, 3.9)
        add_title(figure, case.title, f"Reserve factors against {scan.variable.key}")
        axes = add_axes(figure, (0.65, 0.55, 4.5, 3.3))
        unit = f"  [{scan.variable.unit}]" if scan.variable.unit else ""
        axes.set_xlabel(f"{scan.variable.key}{unit}")
        axes.set_ylabel("reserve factor")
        _draw_reserves(axes, scan)
    return figure


def _draw_reserves(axes: Axes, scan: Scan) -> None:
    judged = [(value, trial) for value, trial in scan.judged if (trial.least or 0.0) <= HIGHEST * scan.asked]
    names = list(dict.fromkeys(name for _, trial in judged for name in trial.reserves))
    for name, color, marker in zip(names, COLORS, MARKERS, strict=False):
        rows = [(value, trial.reserves[name]) for value, trial in judged if name in trial.reserves]
        if rows:
            axes.plot(*zip(*rows, strict=True), color=color, marker=marker, markersize=3.5, linewidth=1.2)
    axes.axhline(scan.asked, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)))
    answer = scan.answer
    if answer is not None:
        axes.axvline(answer.value, color=GUIDE, linewidth=1.0, linestyle=(0, (2, 2)))
    axes.margins(x=0.03)
    if judged:
        axes.set_ylim(0.0, 1.05 * min(HIGHEST * scan.asked, max(_highest(trial) for _, trial in judged)))
        name_values(axes, _named(scan, names, judged))


def _highest(trial: Trial) -> float:
    return max(trial.reserves.values())


def _named(scan: Scan, names: Sequence[str], judged: Sequence[tuple[float, Trial]]) -> list[Named]:
    last = judged[-1]
    named = [
        Named(min(last[1].reserves[name], HIGHEST * scan.asked), name.replace("_", " "), last[0])
        for name in names
        if name in last[1].reserves
    ]
    return [*named, Named(scan.asked, f"asked: {scan.asked:g}")]
