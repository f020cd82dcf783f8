"""Linear stresses along the meridian at the inside, the middle and the outside of the wall."""

from dataclasses import dataclass
from itertools import groupby
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from buckle.case import Case
from buckle.meridian import Meridian
from buckle.results import Array, Stresses
from buckle.sheet.panel import spread
from buckle.sheet.plot import add_axes, add_title, bar_text, new_figure
from buckle.sheet.record import bar
from buckle.sheet.style import GUIDE, STYLE

FACES: dict[str, dict[str, Any]] = {
    "inside": {"color": "#0072B2", "linestyle": (0, (5, 2)), "linewidth": 1.2},
    "middle": {"color": "0.0", "linestyle": "-", "linewidth": 1.5},
    "outside": {"color": "#D55E00", "linestyle": (0, (1.5, 1.2)), "linewidth": 1.4},
}
_LEFT, _RIGHT, _PANEL, _GAP = 0.75, 9.0, 1.9, 0.25  # in
_COLUMN, _LETTER = 0.16, 0.066  # in between upright names; of a letter


@dataclass(frozen=True)
class Stretch:
    """Neighbouring pieces of one name, from one arc length to another [mm]."""

    name: str
    start: float
    end: float


def draw_stresses(case: Case, stresses: Stresses) -> Figure:
    """Return meridional, circumferential and von Mises stress over the arc length, the pieces named above.

    Without a dead force the linear stresses are told at the required pressure, else at that of the analysis.
    """
    pressure = _pressure(case, stresses)
    shown = {
        "meridional": stresses.meridional,
        "circumferential": stresses.circumferential,
        "von Mises": stresses.equivalent,
    }
    top = 0.7 + _PANEL * len(shown) + _GAP * (len(shown) - 1)
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(_RIGHT + 0.2, top + _height_of_names(case.meridian) + 0.65)
        words = f"Linear elastic stresses at {bar_text(bar(pressure))} bar along the meridian (LA)"
        add_title(figure, case.title, words)
        for i, (name, values) in enumerate(shown.items()):
            above = top - i * (_PANEL + _GAP)
            axes = add_axes(figure, (_LEFT, above - _PANEL, _RIGHT, above))
            _draw(axes, stresses.s, values * (pressure / stresses.pressure))
            _shade(axes, case.meridian)
            axes.set_ylabel(f"{name}  [MPa]")
            axes.tick_params(labelbottom=i == len(shown) - 1)
        figure.axes[-1].set_ylim(bottom=0.0)
        _mark_yield(figure.axes[-1], case)
        figure.axes[-1].set_xlabel("arc length along the meridian  [mm]")
        _name_stretches(figure.axes[0], case.meridian)
        figure.legend(*figure.axes[0].get_legend_handles_labels(), loc="lower left", ncols=3, frameon=False)
    return figure


def _pressure(case: Case, stresses: Stresses) -> float:
    """Pressure [MPa] that stresses are told at: scaling would be wrong beside a dead force."""
    required = case.requirements.pressure
    return stresses.pressure if required is None or case.loads.axial_force else required


def _draw(axes: Axes, s: Array, values: Array) -> None:
    for (face, line), stress in zip(FACES.items(), values, strict=True):
        axes.plot(s, stress, label=face, zorder=3, **line)
    axes.axhline(0.0, color=GUIDE, linewidth=0.6, zorder=2)


def _mark_yield(axes: Axes, case: Case) -> None:
    """Draw the yield stress where it is within sight or near it."""
    hardening = case.material.hardening
    if hardening is not None and hardening.yield_stress < 2.0 * axes.get_ylim()[1]:
        axes.axhline(hardening.yield_stress, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)), zorder=2)
        start = (axes.get_xlim()[0], hardening.yield_stress)
        axes.annotate("yield", start, (3, 2), textcoords="offset points", va="bottom", color=GUIDE)


def stretches(meridian: Meridian) -> list[Stretch]:
    """Return the named stretches of a meridian in their order."""
    numbered = groupby(range(len(meridian.pieces)), key=lambda i: meridian.pieces[i].name)
    groups = [(name, list(indices)) for name, indices in numbered]
    return [Stretch(name, float(meridian.breaks[at[0]]), float(meridian.breaks[at[-1] + 1])) for name, at in groups]


def _height_of_names(meridian: Meridian) -> float:
    """Room [in] that the longest name takes upright, with its leader."""
    return 0.25 + _LETTER * max(len(stretch.name) for stretch in stretches(meridian))


def _shade(axes: Axes, meridian: Meridian) -> None:
    """Shade every second stretch."""
    axes.set_xlim(0.0, meridian.length)
    axes.grid(visible=False, axis="x")
    for stretch in stretches(meridian)[1::2]:
        axes.axvspan(stretch.start, stretch.end, color="0.94", linewidth=0, zorder=0)


def _name_stretches(axes: Axes, meridian: Meridian) -> None:
    """Write the names upright above the axes, each on a leader from the middle of its stretch."""
    named = [stretch for stretch in stretches(meridian) if stretch.name]
    middles = np.array([0.5 * (one.start + one.end) for one in named])
    gap = _COLUMN * meridian.length / (_RIGHT - _LEFT)
    places = spread(middles, gap, 0.5 * gap, meridian.length - 0.5 * gap)
    across = axes.get_xaxis_transform()
    for one, middle, place in zip(named, middles, places, strict=True):
        axes.plot([middle, place], [1.0, 1.09], transform=across, color=GUIDE, linewidth=0.5, clip_on=False)
        axes.text(float(place), 1.11, one.name, transform=across, rotation=90.0, ha="center", va="bottom")
