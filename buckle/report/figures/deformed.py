"""Deformed sections to true scale: unloaded, at what is demanded, at the onset of waves, at the limit, beyond it."""

from collections.abc import Mapping, Sequence
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from buckle.case import Case
from buckle.record.states import BEYOND, LIMIT, ONSET, REQUIRED, SERVICE, UNLOADED, deformed_states
from buckle.report.figures.labels import pressure_text
from buckle.report.figures.panel import Box
from buckle.report.figures.plot import add_title
from buckle.report.figures.shapes import add_shape_panels, around, view_of
from buckle.report.figures.style import STYLE
from buckle.results import Array, Outcome, Section

ASIDE = 0.06  # of the width: an arrow beside the axis and beside the stand
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


def draw_deformed(case: Case, outcomes: Sequence[Outcome]) -> Figure:
    """Return one panel for each analysis with large displacements that came to a state under load."""
    told = [(outcome.kind, deformed_states(outcome)) for outcome in outcomes]
    told = [(kind, states) for kind, states in told if len(states) > 1]
    with matplotlib.rc_context(dict(STYLE)):
        view = around([_view(states) for _, states in told])
        figure, panels = add_shape_panels(view, len(told), title_lines=max(len(states) for _, states in told))
        add_title(figure, case.title, "Deformed sections, axisymmetric path, true scale")
        for axes, (kind, states) in zip(panels, told, strict=True):
            _draw(axes, kind, states)
        shown = [name for name in LINES if any(name in states for _, states in told)]
        handles = [Line2D([], [], label=name, **LINES[name]) for name in shown]
        figure.legend(handles=handles, loc="lower left", ncols=6, frameon=False, handlelength=2.6, columnspacing=1.3)
    return figure


def _travel(states: Mapping[str, Section], name: str) -> Array:
    start, end = states[UNLOADED], states[name]
    return np.hypot(end.r - start.r, end.z - start.z)


def _view(states: Mapping[str, Section]) -> Box:
    """The box around whatever moves in any state, before and after."""
    moved = np.max([_travel(states, name) for name in states], axis=0)
    sections = states.values()
    r, z = np.concatenate([one.r for one in sections]), np.concatenate([one.z for one in sections])
    return view_of(r, z, np.tile(moved, len(states)), MOVING)


def _draw(axes: Axes, kind: str, states: Mapping[str, Section]) -> None:
    shown = [name for name in LINES if name in states]
    for name in shown:
        axes.plot(states[name].r, states[name].z, **LINES[name])
    loaded = [name for name in shown if name != UNLOADED]
    told = [f"{name}: {pressure_text(states[name].pressure)}, {_farthest(states, name)}" for name in loaded]
    axes.set_title("\n".join([kind, *told]), loc="left", fontsize=7.5)
    largest = next((name for name in (LIMIT, REQUIRED, SERVICE) if name in states), None)
    if largest is not None:
        _mark_growth(axes, states[UNLOADED], states[largest])


def _mark_growth(axes: Axes, start: Section, end: Section) -> None:
    """Arrows at what is called growth (of the apex) and drop of the stand, from the unloaded shape to another."""
    if start.r[0] > ON_AXIS * float(np.max(start.r)):
        return
    _arrow(axes, (0.0, float(start.z[0])), (0.0, float(end.z[0])), "growth")
    lowest = int(np.argmin(start.z))
    if 0 < lowest < len(start.z) - 1 and start.z[-1] > start.z[lowest] < start.z[0]:
        at = float(start.r[lowest])
        _arrow(axes, (at, float(start.z[lowest])), (at, float(np.min(end.z))), "drop of the stand")


def _arrow(axes: Axes, start: tuple[float, float], end: tuple[float, float], words: str) -> None:
    """An arrow beside its place, since the lines meet there."""
    style = {"arrowstyle": "-|>", "color": "0.0", "linewidth": 0.8, "shrinkA": 0.0, "shrinkB": 0.0, "mutation_scale": 7}
    aside = ASIDE * float(np.ptp(axes.get_xlim()))
    axes.annotate("", (end[0] - aside, end[1]), (start[0] - aside, start[1]), arrowprops=style, annotation_clip=False)
    axes.annotate(
        words, (end[0] - aside, end[1]), (0, -4), textcoords="offset points", ha="center", va="top", fontsize=7
    )


def _farthest(states: Mapping[str, Section], name: str) -> str:
    return f"moved up to {float(np.max(_travel(states, name))):.3g} mm"
