"""Deformed sections to true scale: unloaded, at what is demanded, at the onset of waves, at the limit, at the end."""

from collections.abc import Mapping, Sequence
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from buckle.case import Case
from buckle.record.states import BEYOND, LIMIT, ONSET, REQUIRED, SERVICE, UNLOADED, deformed_states
from buckle.report.figures.labels import length_text, load_text
from buckle.report.figures.panel import Box
from buckle.report.figures.plot import add_title
from buckle.report.figures.shapes import add_shape_panels, around, view_of
from buckle.report.figures.style import STYLE
from buckle.results import Array, MidSurface, Outcome
from buckle.units import RECORDED, Units

ASIDE = 0.06  # of the width: an arrow beside the axis and beside the stand
SHORT = 0.01  # of the height: a shorter arrow shows nothing
ON_AXIS = 0.02  # of the largest radius: samples of a section lie a little off its ends
MOVING = 0.1  # what moves less than this part of the largest travel is left out of sight
LINES: dict[str, dict[str, Any]] = {
    UNLOADED: {"color": "0.65", "linewidth": 2.2, "linestyle": "-"},
    SERVICE: {"color": "#009E73", "linewidth": 1.0, "linestyle": (0, (1, 1.2))},
    REQUIRED: {"color": "#CC79A7", "linewidth": 1.2, "linestyle": (0, (7, 1.5))},
    ONSET: {"color": "#0072B2", "linewidth": 1.2, "linestyle": (0, (5, 2, 1, 2))},
    LIMIT: {"color": "0.0", "linewidth": 1.2, "linestyle": "-"},
    BEYOND: {"color": "#D55E00", "linewidth": 1.2, "linestyle": (0, (3, 2))},
}
WORDS = {BEYOND: "end of the path"}
"""What a state is called here where its own name may mislead: a path that rises again ends above its first limit."""


def draw_deformed(case: Case, outcomes: Sequence[Outcome], units: Units = RECORDED) -> Figure:
    """Return one panel for each analysis with large displacements that came to a state under load."""
    shapes = [(outcome, deformed_states(outcome)) for outcome in outcomes]
    shapes = [(outcome, states) for outcome, states in shapes if len(states) > 1]
    with matplotlib.rc_context(dict(STYLE)):
        view = around([_view(states) for _, states in shapes])
        figure, panels = add_shape_panels(view, len(shapes), max(len(states) for _, states in shapes), units)
        add_title(figure, case.title, "Deformed sections, axisymmetric path, true scale")
        for axes, (outcome, states) in zip(panels, shapes, strict=True):
            _draw(axes, outcome, states, units)
        shown = [name for name in LINES if any(name in states for _, states in shapes)]
        handles = [Line2D([], [], label=WORDS.get(name, name), **LINES[name]) for name in shown]
        figure.legend(handles=handles, loc="lower left", ncols=6, frameon=False, handlelength=2.6, columnspacing=1.3)
    return figure


def _travel(states: Mapping[str, MidSurface], name: str) -> Array:
    start, end = states[UNLOADED], states[name]
    return np.hypot(end.r - start.r, end.z - start.z)


def _view(states: Mapping[str, MidSurface]) -> Box:
    """The box around whatever moves in any state, before and after."""
    moved = np.max([_travel(states, name) for name in states], axis=0)
    sections = states.values()
    r, z = np.concatenate([one.r for one in sections]), np.concatenate([one.z for one in sections])
    return view_of(r, z, np.tile(moved, len(states)), MOVING)


def _draw(axes: Axes, outcome: Outcome, states: Mapping[str, MidSurface], units: Units) -> None:
    shown = [name for name in LINES if name in states]
    for name in shown:
        axes.plot(states[name].r, states[name].z, **LINES[name])
    loaded = [name for name in shown if name != UNLOADED]
    lines = [
        f"{WORDS.get(name, name)}: {load_text(states[name], units)}, {_farthest(states, name, units)}"
        for name in loaded
    ]
    axes.set_title("\n".join([outcome.kind, *lines]), loc="left", fontsize=7.5)
    largest = next((name for name in (LIMIT, REQUIRED, SERVICE) if name in states), None)
    if largest is not None:
        stands = outcome.path is not None and outcome.path.stand_drop is not None
        _mark_growth(axes, states[UNLOADED], states[largest], stands=stands)


def _mark_growth(axes: Axes, start: MidSurface, end: MidSurface, *, stands: bool) -> None:
    """Arrows at what is called growth (of the apex) and drop of the stand, from the unloaded shape to another."""
    if start.r[0] > ON_AXIS * float(np.max(start.r)):
        return
    _arrow(axes, 0.0, (float(start.z[0]), float(end.z[0])), "growth")
    if stands:
        lowest = int(np.argmin(start.z))
        _arrow(axes, float(start.r[lowest]), (float(start.z[lowest]), float(np.min(end.z))), "drop of the stand")


def _arrow(axes: Axes, at: float, heights: tuple[float, float], words: str) -> None:
    """An upright arrow a little inward of its radius, where the lines meet, with its words beyond its head."""
    start, end = heights
    if abs(end - start) < SHORT * float(np.ptp(axes.get_ylim())):
        return
    style = {"arrowstyle": "-|>", "color": "0.0", "linewidth": 0.8, "shrinkA": 0.0, "shrinkB": 0.0, "mutation_scale": 7}
    beside = at - ASIDE * float(np.ptp(axes.get_xlim()))
    axes.annotate("", (beside, end), (beside, start), arrowprops=style, annotation_clip=False)
    up = end > start
    axes.annotate(
        words,
        (max(beside - ASIDE * float(np.ptp(axes.get_xlim())), axes.get_xlim()[0]), end),
        (3, 4 if up else -4),
        textcoords="offset points",
        ha="left",
        va="bottom" if up else "top",
        fontsize=7,
        bbox={"facecolor": "white", "edgecolor": "none", "pad": 0.5},
    )


def _farthest(states: Mapping[str, MidSurface], name: str, units: Units) -> str:
    return f"moved up to {length_text(float(np.max(_travel(states, name))), units)}"
