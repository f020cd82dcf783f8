"""How far the body lies off its perfect shape along the meridian: one deviation, or a set of them."""

from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from buckle.case import Case
from buckle.report.figures.along import LEFT, RIGHT, height_of_names, name_stretches, shade
from buckle.report.figures.labels import length_text, show_length
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.results import OffShape
from buckle.units import RECORDED, Units

_HEIGHT = 1.9  # in
_AROUND = 1.75  # in, top of the axes around the body where there are waves
PER_WAVE = 48  # points of the line around
SAMPLES = 1201
_ALONE: dict[str, Any] = {"color": "#D55E00", "linewidth": 1.5}
_OF_SET: dict[str, Any] = {"color": "#D55E00", "linewidth": 0.7, "alpha": 0.6}


def draw_deviation(case: Case, units: Units = RECORDED) -> Figure:
    """Return the deviation over the arc length of the perfect meridian, the pieces named above."""
    s = np.linspace(0.0, case.meridian.length, SAMPLES)
    line = _ALONE if len(case.deviated) == 1 else _OF_SET
    many = f", {len(case.deviated)} of them, each by itself" if len(case.deviated) > 1 else ""
    with matplotlib.rc_context(dict(STYLE)):
        figure, axes = _along(case, f"Deviation from the perfect shape{many}; up: away from the pressure", 0.0, units)
        for each in case.deviated:
            axes.plot(s, each.profile.values(s)[0], zorder=3, **line)
        name_stretches(axes, case.meridian)
    return figure


def draw_off_shape(case: Case, kind: str, deviation: OffShape, units: Units = RECORDED) -> Figure:
    """Return a deviation in a mode: over the arc length where it is largest around, and around where it is so along."""
    n, around = deviation.wave_number, _AROUND if deviation.wave_number else 0.0
    where = f", n = {n} waves, at a crest" if n else ", without waves"
    words = f"Deviation of {kind}: {deviation.words}{where}; up: away from the pressure"
    with matplotlib.rc_context(dict(STYLE)):
        figure, axes = _along(case, words, around, units)
        axes.plot(deviation.s, deviation.off, zorder=3, **_ALONE)
        name_stretches(axes, case.meridian)
        if n:
            _draw_around(add_axes(figure, (LEFT, 0.7, RIGHT, around)), deviation, units)
    return figure


def _along(case: Case, words: str, below: float, units: Units) -> tuple[Figure, Axes]:
    """Return a page with the axes of a deviation along the meridian, with room [in] for what stands below."""
    figure = new_figure(RIGHT + 0.2, below + 0.7 + _HEIGHT + height_of_names(case.meridian) + 0.65)
    add_title(figure, case.title, words)
    axes = add_axes(figure, (LEFT, below + 0.7, RIGHT, below + 0.7 + _HEIGHT))
    axes.axhline(0.0, color=GUIDE, linewidth=0.6, zorder=2)
    shade(axes, case.meridian, (0.0, case.meridian.length))
    show_length(axes.yaxis, "deviation", units)
    show_length(axes.xaxis, "arc length along the perfect meridian", units)
    return figure, axes


def _draw_around(axes: Axes, deviation: OffShape, units: Units) -> None:
    """Draw one turn around at the station where the deviation is largest."""
    at = int(np.argmax(np.abs(deviation.off)))
    theta = np.linspace(0.0, 360.0, 1 + PER_WAVE * deviation.wave_number)
    axes.plot(theta, deviation.off[at] * np.cos(deviation.wave_number * np.radians(theta)), **_ALONE)
    axes.axhline(0.0, color=GUIDE, linewidth=0.6, zorder=2)
    axes.set_xlim(0.0, 360.0)
    axes.set_xticks(np.arange(0.0, 361.0, 45.0))
    show_length(axes.yaxis, "deviation", units)
    axes.set_xlabel(f"angle around [deg] at arc length {length_text(float(deviation.s[at]), units)}")
