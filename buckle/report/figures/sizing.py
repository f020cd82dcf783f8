"""Pictures of a sizing: reserves along one variable; what searches looked at, the section before and after."""

import math
from collections.abc import Sequence

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from buckle.batch.reserves import in_words
from buckle.case import Case
from buckle.container.container import Container
from buckle.container.parts import without_stub
from buckle.container.whole import standing_parts
from buckle.meridian import Meridian
from buckle.report.figures.plot import Named, add_axes, add_title, name_values, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.shapes import FAMILIES
from buckle.size.front import OnFront
from buckle.size.objective import UNITS
from buckle.size.one import Scan
from buckle.size.sizing import Sized
from buckle.size.trial import Trial
from buckle.units import Units

HISTORY = ("#0072B2", "#D55E00")
COLORS = ("#0072B2", "#D55E00", "#009E73", "#CC79A7", "#E69F00", "#56B4E9")
MARKERS = ("o", "s", "D", "^", "v", "P")
HIGHEST = 2.5
"""Reserve factors over this multiple of what is asked are not worth their height on paper."""


def draw_scan(case: Case | Container, scan: Scan, units: Units) -> Figure:
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
    names = _lowest(judged)
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


def _lowest(judged: Sequence[tuple[float, Trial]]) -> list[str]:
    """Return the requirements, in order; of more than there are colours those whose reserves are the least."""
    names = list(dict.fromkeys(name for _, trial in judged for name in trial.reserves))
    least = {name: min(trial.reserves.get(name, math.inf) for _, trial in judged) for name in names}
    kept = sorted(names, key=lambda name: least[name])[: len(COLORS)]
    return [name for name in names if name in kept]


def _highest(trial: Trial) -> float:
    return max(trial.reserves.values())


def _named(scan: Scan, names: Sequence[str], judged: Sequence[tuple[float, Trial]]) -> list[Named]:
    last = judged[-1]
    named = [
        Named(min(last[1].reserves[name], HIGHEST * scan.asked), in_words(name), last[0])
        for name in names
        if name in last[1].reserves
    ]
    return [*named, Named(scan.asked, f"asked: {scan.asked:g}")]


def draw_sizing(case: Case | Container, sized: Sized, after: Case | Container, units: Units) -> Figure:
    """Return what was least and the least reserve by evaluation, and the section before and after."""
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(7.0, 6.4)
        add_title(figure, case.title, "What the searches looked at, and the middle of the metal before and after")
        least = add_axes(figure, (0.65, 4.55, 6.8, 5.8))
        reserve = add_axes(figure, (0.65, 3.1, 6.8, 4.3))
        _draw_history(least, reserve, sized)
        _draw_sections(add_axes(figure, (0.65, 0.5, 6.8, 2.6)), case, after, units)
    return figure


def _draw_history(least: Axes, reserve: Axes, sized: Sized) -> None:
    rows = [(at, each) for at, each in enumerate(sized.visits, start=1) if each.trial.least is not None]
    for axes, values, name in (
        (least, [each.objective for _, each in rows], _objective_name(sized)),
        (reserve, [each.trial.least or 0.0 for _, each in rows], "least reserve factor"),
    ):
        colors = [HISTORY[0] if each.holds else HISTORY[1] for _, each in rows]
        axes.scatter([at for at, _ in rows], values, c=colors, s=12, zorder=2)
        axes.set_ylabel(name)
        axes.set_xlim(0, len(sized.visits) + 1)
    least.tick_params(labelbottom=False)
    reserve.axhline(sized.problem.asked, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)))
    reserve.set_xlabel("design of the searches, one after the other (blue: everything is met)")


def _objective_name(sized: Sized) -> str:
    return f"{sized.problem.table.minimise.replace('_', ' ')}  [{UNITS[sized.problem.table.minimise]}]"


def _draw_sections(axes: Axes, before: Case | Container, after: Case | Container, units: Units) -> None:
    times, lies = units.number(1.0, "mm"), isinstance(before, Container)  # it is higher than wide
    for case, style, name in ((before, (0, (4, 2)), "before"), (after, "-", "sized")):
        for number, body in enumerate(_sections(case)):
            at = body.at_s(np.linspace(0.0, body.length, 600))
            label = "" if number else name
            along, up = (at.z, at.r) if lies else (at.r, at.z)
            axes.plot(times * along, times * up, color="#000000", linestyle=style, linewidth=1.1, label=label)
    axes.set_aspect("equal", adjustable="datalim")
    axes.set_xlabel(f"{'z' if lies else 'r'}  [{units.length}]")
    axes.set_ylabel(f"{'r' if lies else 'z'}  [{units.length}]")
    axes.legend(frameon=False, loc="center" if lies else "lower left")


def _sections(base: Case | Container) -> list[Meridian]:
    """Return what is of the case, or of each part of a container where it stands."""
    if isinstance(base, Container):
        return [part.meridian for part in standing_parts(base)]
    return [without_stub(base.meridian, FAMILIES[base.family])]


def draw_front(case: Case | Container, sized: Sized, front: Sequence[OnFront]) -> Figure:
    """Return what is least against the reserve factor that is asked, and against the growth that is allowed."""
    reserves = [each for each in front if each.growth == front[0].growth]
    growths = [each for each in front if each.asked == front[0].asked and each.growth is not None]
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(7.0, 3.4)
        add_title(figure, case.title, "The lightest designs: what more reserve, or less growth, costs")
        for left, row, name, values in (
            (0.65, reserves, "reserve factor asked", [each.asked for each in reserves]),
            (4.0, growths, "growth allowed  [mm]", [each.growth or 0.0 for each in growths]),
        ):
            if len(row) < 2:
                continue
            axes = add_axes(figure, (left, 0.5, left + 2.8, 2.75))
            axes.plot(values, [each.visit.objective for each in row], color=HISTORY[0], marker="o", markersize=4)
            rises = (values[-1] - values[0]) * (row[-1].visit.objective - row[0].visit.objective) > 0.0
            for value, each in zip(values, row, strict=True):
                axes.annotate(
                    str(each.number),
                    (value, each.visit.objective),
                    xytext=(-4, 4) if rises else (4, 4),  # on the side of a point to which its line does not go on
                    ha="right" if rises else "left",
                    textcoords="offset points",
                )
            axes.set_xlabel(name)
            axes.set_ylabel(_objective_name(sized))
    return figure
