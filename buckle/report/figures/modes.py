"""Buckling modes in section, through a crest and through a trough of their waves."""

from collections.abc import Sequence
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from buckle.case import Case
from buckle.report.figures.labels import load_text
from buckle.report.figures.panel import Box
from buckle.report.figures.plot import LOOKS, add_title
from buckle.report.figures.shapes import add_shape_panels, around, view_of
from buckle.report.figures.style import STYLE
from buckle.results import Array, Mode, Outcome
from buckle.units import RECORDED, Units

ACTIVE = 0.03  # what moves less than this part of the largest displacement is left out of sight
SIZE = 0.12  # largest displacement as drawn, as a part of the wide side of the view

UNLOADED: dict[str, Any] = {"color": "0.65", "linewidth": 2.2}
CUTS: dict[str, dict[str, Any]] = {
    "through a crest": {"color": "0.2", "linestyle": "-", "linewidth": 1.1},
    "through a trough": {"color": "0.2", "linestyle": (0, (4, 2)), "linewidth": 1.1},
}


def draw_modes(case: Case, outcomes: Sequence[Outcome], units: Units = RECORDED) -> Figure:
    """Return one panel for each mode: the unloaded mid-surface and the mode in both directions, not to scale."""
    found = [(outcome.kind, mode) for outcome in outcomes for mode in outcome.modes]
    with matplotlib.rc_context(dict(STYLE)):
        view = around([view_of(mode.r, mode.z, _size(mode), ACTIVE) for _, mode in found])
        figure, panels = add_shape_panels(view, len(found), 1, units)
        add_title(figure, case.title, "Buckling modes in section; displacements have no size and are drawn enlarged")
        for axes, (kind, mode) in zip(panels, found, strict=True):
            _draw(axes, view, kind, mode, units)
        handles = [Line2D([], [], label=word, **line) for word, line in {"unloaded": UNLOADED, **CUTS}.items()]
        figure.legend(handles=handles, loc="lower left", ncols=3, frameon=False, handlelength=2.8)
    return figure


def _size(mode: Mode) -> Array:
    return np.sqrt(mode.u**2 + mode.v**2 + mode.w**2)


def _draw(axes: Axes, view: Box, kind: str, mode: Mode, units: Units) -> None:
    factor = SIZE * max(view[2] - view[0], view[3] - view[1]) / float(np.max(_size(mode)))
    color = LOOKS[kind].color
    axes.plot(mode.r, mode.z, **UNLOADED)
    for sign, cut in zip((factor, -factor), CUTS.values(), strict=True):
        axes.plot(mode.r + sign * mode.u, mode.z + sign * mode.w, **(cut | {"color": color}))
    text = f"{kind}   n = {mode.wave_number}   {load_text(mode, units)}"
    axes.set_title(text, loc="left", fontsize=8.5)
