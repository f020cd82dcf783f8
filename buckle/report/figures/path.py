"""Load against growth for every path of a run, with limits, bifurcations and what is required."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle

from buckle.case import Case
from buckle.report.figures.labels import load_label, load_number, show_length, shown_load
from buckle.report.figures.plot import LOOKS, Named, add_axes, add_title, name_values, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.results import LIMIT_POINT, Array, Event, Outcome, PathStates
from buckle.shapes import FAMILIES
from buckle.units import RECORDED, Units

_PITCH = 3.6  # in from one graph down to the next
CLOSER = 0.5  # what matters below this part of the height is shown again, enlarged
FLOW, DEFORMATION, LIMIT, CEILING = "bifurcation", "deformation theory", "limit", "ceiling"
MARKERS = {LIMIT: "o", CEILING: "s", FLOW: "^", DEFORMATION: "x"}
END = "|"  # marker where a path is followed no farther
FAINT = 0.4  # of a path beyond what stops it


@dataclass(frozen=True)
class _Level:
    """A load to be named: what is demanded, or an event of a path with its kind, sort and growth [mm]."""

    shown: float
    text: str
    kind: str = ""
    sort: str = ""  # a key of MARKERS
    growth: float | None = None


def draw_paths(case: Case, outcomes: Sequence[Outcome], units: Units = RECORDED) -> Figure:
    """Return the graph of all outcomes that have a path; a second one enlarges the lower part where it is crowded."""
    followed = [outcome for outcome in outcomes if outcome.path is not None]
    levels = [*_demand_levels(case, units), *(level for outcome in followed for level in _event_levels(outcome, units))]
    tops = _tops(followed, levels, units)
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(6.95, 4.6 + _PITCH * (len(tops) - 1))
        add_title(figure, case.title, f"Equilibrium paths: {case.loads.increasing.words} against {growth_words(case)}")
        for i, top in enumerate(tops):
            bottom = 1.05 + _PITCH * (len(tops) - 1 - i)
            axes = add_axes(figure, (0.65, bottom, 4.35, bottom + 2.9))
            _frame(axes, followed, top, units)
            _draw_lines(axes, followed, units)
            _draw_levels(axes, [level for level in levels if level.shown <= top], above=max(tops[i + 1 :], default=0.0))
            show_length(axes.xaxis, growth_words(case), units)
            axes.set_ylabel(load_label(case.loads.increasing, units))
        if len(tops) > 1:
            _mark_enlarged(*figure.axes)
        _add_legend(figure, followed, levels)
    return figure


def growth_words(case: Case) -> str:
    """Return what growth of the container is for a body of this family."""
    apex = "travel of the apex with the pressure" if case.meridian.closed_at_start else "largest displacement"
    return FAMILIES[case.family].growth or apex


def _demand_levels(case: Case, units: Units) -> Iterator[_Level]:
    load = case.loads.increasing
    for name, size in (("required", case.required_load), ("service", case.requirements.service_pressure)):
        if size is not None:
            yield _Level(shown_load(size, load, units), f"{load_number(size, load, units)}  {name}")


def _event_levels(outcome: Outcome, units: Units) -> Iterator[_Level]:
    events = [
        (LIMIT, outcome.limit),
        (LIMIT, outcome.highest_limit),
        (CEILING, _stop(outcome)),
        (FLOW, outcome.bifurcation),
        (DEFORMATION, outcome.deformation_bifurcation),
    ]
    for sort, event in events:
        if event is not None and outcome.path is not None:
            waves = f", n = {event.wave_number}" if sort in (FLOW, DEFORMATION) else ""
            name = event.kind if sort == CEILING else sort
            text = f"{load_number(event.load, event.increasing, units)}  {outcome.kind} {name}{waves}"
            yield _Level(
                shown_load(event.load, event.increasing, units),
                text,
                outcome.kind,
                sort,
                _growth_at(outcome.path, event),
            )


def _stop(outcome: Outcome) -> Event | None:
    """What stopped the path before a limit, if that is what decides."""
    found = outcome.axisymmetric
    return None if found is None or found.kind == LIMIT_POINT else found


def _tops(outcomes: Sequence[Outcome], levels: Sequence[_Level], units: Units) -> list[float]:
    """Highest load of the graph, and of the enlarged one if what decides lies in a low part of it."""
    whole = 1.12 * max([_highest(outcomes, units), *(level.shown for level in levels)])
    demands = [level.shown for level in levels if not level.kind]
    close = 1.35 * max([_first_failure(outcomes, units), *demands])
    return [whole, close] if 0.0 < close < CLOSER * whole else [whole]


def _growth_at(path: PathStates, event: Event) -> float:
    """Growth [mm] where the path first passes the load of an event, else at the state nearest to it."""
    i = _passes(path, event.load)
    before, after = path.load[max(i - 1, 0)], path.load[i]
    if not before < event.load <= after:
        return float(path.growth[i])
    share = (event.load - before) / (after - before)
    return float(path.growth[i - 1] + share * (path.growth[i] - path.growth[i - 1]))


def _passes(path: PathStates, load: float) -> int:
    """Index of the state with which the path first comes to a load, else of the state nearest to it."""
    reaches = np.flatnonzero(path.load >= load)
    return int(reaches[0] if reaches.size else np.argmin(np.abs(path.load - load)))


def _first_failure(outcomes: Sequence[Outcome], units: Units) -> float:
    """Capacity, as shown, by the last analysis with one, which knows the most; 0 if there is none."""
    capacities = [outcome.capacity for outcome in outcomes if outcome.capacity is not None]
    return shown_load(capacities[-1].load, capacities[-1].increasing, units) if capacities else 0.0


def _highest(outcomes: Sequence[Outcome], units: Units) -> float:
    return max(
        shown_load(float(np.max(outcome.path.load)), outcome.increasing, units)
        for outcome in outcomes
        if outcome.path is not None
    )


def _frame(axes: Axes, outcomes: Sequence[Outcome], top: float, units: Units) -> None:
    """Show what large-displacement paths reach below the top; a mechanism's growth has no end and does not count."""
    large = [outcome for outcome in outcomes if _has_size(outcome)] or outcomes
    growth = np.concatenate(
        [
            _growth_below(outcome.path, top / shown_load(1.0, outcome.increasing, units))
            for outcome in large
            if outcome.path is not None
        ]
    )
    low, high = min(0.0, float(np.min(growth))), float(np.max(growth))
    span = (high - low) or 1.0
    axes.set_xlim(low - 0.03 * span, high + 0.06 * span)
    axes.set_ylim(0.0, top)


def _has_size(outcome: Outcome) -> bool:
    """Whether displacements are large ones: those of a small-strain collapse have no size, and its path no end."""
    return outcome.kind.startswith("G")


def _growth_below(path: PathStates, top: float) -> Array:
    """Growth of the states below a load, and where the path leaves it."""
    below = path.load <= top
    leaves = np.flatnonzero(below[:-1] & ~below[1:])
    leaving = [_growth_at(path, Event("", top)) for _ in leaves[:1]]
    return np.append(path.growth[below], leaving)


def _draw_lines(axes: Axes, outcomes: Sequence[Outcome], units: Units) -> None:
    """Draw every path to its end, faint from where it is stopped; the end of those whose displacements have a size."""
    for outcome in outcomes:
        assert outcome.path is not None
        growth, load = outcome.path.growth, shown_load(1.0, outcome.increasing, units) * outcome.path.load
        stop = _stop(outcome)
        upto = len(growth) if stop is None else 1 + _passes(outcome.path, stop.load)
        look = LOOKS[outcome.kind]
        axes.plot(growth[:upto], load[:upto], zorder=3, **look.line)
        if upto < len(growth):
            axes.plot(growth[upto - 1 :], load[upto - 1 :], zorder=2.5, alpha=FAINT, **look.line)
        if _has_size(outcome):
            axes.plot(growth[-1:], load[-1:], END, color=look.color, markersize=9, markeredgewidth=1.6, zorder=3.5)


def _draw_levels(axes: Axes, levels: Sequence[_Level], above: float) -> None:
    """Mark all levels; name those above a load, the others being named where they are enlarged."""
    right = axes.get_xlim()[1]
    for level in levels:
        if level.growth is None:
            axes.axhline(level.shown, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)), zorder=2)
        else:
            color = LOOKS[level.kind].color
            face: dict[str, Any] = {
                "markerfacecolor": color if level.sort in (LIMIT, CEILING) else "white",
                "markeredgecolor": color,
            }
            axes.plot([level.growth], [level.shown], MARKERS[level.sort], markersize=6, zorder=4, **face)
    starts = [(level, None if level.growth is None else min(level.growth, right)) for level in levels]
    name_values(axes, [Named(level.shown, level.text, start) for level, start in starts if level.shown > above])


def _mark_enlarged(whole: Axes, close: Axes) -> None:
    """Shade on the whole graph what the other enlarges."""
    (left, right), top = close.get_xlim(), close.get_ylim()[1]
    whole.add_patch(Rectangle((left, 0.0), right - left, top, facecolor="0.93", edgecolor="0.75", zorder=0.5))
    close.set_facecolor("0.97")
    whole.text(1.055, 0.5 * top / whole.get_ylim()[1], "see below", transform=whole.transAxes, va="center", color=GUIDE)


def _add_legend(figure: Figure, outcomes: Sequence[Outcome], levels: Sequence[_Level]) -> None:
    """Two rows below the graphs, so that they cover nothing."""
    lines = [Line2D([], [], label=one.kind, **LOOKS[one.kind].line) for one in outcomes]
    words = {
        LIMIT: "limit point",
        CEILING: "where the path is stopped",
        FLOW: "bifurcation into n waves",
        DEFORMATION: "the same by deformation theory",
    }
    sorts = [sort for sort in MARKERS if any(level.sort == sort for level in levels)]
    dots = [_dot(MARKERS[sort], words[sort], filled=sort in (LIMIT, CEILING)) for sort in sorts]
    lines.append(_dot(END, "end of the path", filled=True))
    for row, handles in enumerate((dots, lines)):
        corner = (0.0, 0.2 * row / float(figure.get_size_inches()[1]))
        figure.legend(
            handles=handles, loc="lower left", bbox_to_anchor=corner, ncols=5, frameon=False, handlelength=2.8
        )


def _dot(marker: str, label: str, *, filled: bool) -> Line2D:
    face = "black" if filled else "white"
    return Line2D([], [], color="black", linestyle="none", marker=marker, markerfacecolor=face, label=label)
