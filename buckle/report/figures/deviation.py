"""How far the body lies off its perfect shape along the meridian: one deviation, or a set of them."""

from typing import Any

import matplotlib
import numpy as np
from matplotlib.figure import Figure

from buckle.case import Case
from buckle.report.figures.along import LEFT, RIGHT, height_of_names, name_stretches, shade
from buckle.report.figures.labels import show_length
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.units import RECORDED, Units

_HEIGHT = 1.9  # in
SAMPLES = 1201
_ALONE: dict[str, Any] = {"color": "#D55E00", "linewidth": 1.5}
_OF_SET: dict[str, Any] = {"color": "#D55E00", "linewidth": 0.7, "alpha": 0.6}


def draw_deviation(case: Case, units: Units = RECORDED) -> Figure:
    """Return the deviation over the arc length of the perfect meridian, the pieces named above."""
    s = np.linspace(0.0, case.meridian.length, SAMPLES)
    line = _ALONE if len(case.deviated) == 1 else _OF_SET
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(RIGHT + 0.2, 0.7 + _HEIGHT + height_of_names(case.meridian) + 0.65)
        many = f", {len(case.deviated)} of them, each by itself" if len(case.deviated) > 1 else ""
        add_title(figure, case.title, f"Deviation from the perfect shape{many}; up: away from the pressure")
        axes = add_axes(figure, (LEFT, 0.7, RIGHT, 0.7 + _HEIGHT))
        for each in case.deviated:
            axes.plot(s, each.profile.values(s)[0], zorder=3, **line)
        axes.axhline(0.0, color=GUIDE, linewidth=0.6, zorder=2)
        shade(axes, case.meridian, (0.0, case.meridian.length))
        show_length(axes.yaxis, "deviation", units)
        show_length(axes.xaxis, "arc length along the perfect meridian", units)
        name_stretches(axes, case.meridian)
    return figure
