"""Plastic strain along the meridian at the governing event: inside, middle and outside of the wall."""

from collections.abc import Sequence

import matplotlib
import numpy as np
from matplotlib.figure import Figure

from buckle.case import Case
from buckle.report.figures.along import LEFT, RIGHT, draw_faces, height_of_names, name_stretches, shade
from buckle.report.figures.labels import load_text, show_length
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import STYLE
from buckle.results import Outcome, PlasticStrain
from buckle.units import RECORDED, Units

YIELDED = 0.01  # of the largest strain: where there is less, the meridian is out of sight
HEAD = 1.18  # top of the graph over the largest strain: room for words
_PANEL, _GAP = 2.6, 0.25  # in
_ROOM, _LEAST = 0.12, 0.1  # at each side, as a part of what has yielded; the least view, as a part of the meridian


def has_yielded(outcome: Outcome) -> bool:
    """Tell whether an outcome has plastic strain to show."""
    return outcome.plastic_strain is not None and bool(np.any(outcome.plastic_strain.equivalent))


def draw_plastic_strain(case: Case, outcomes: Sequence[Outcome], units: Units = RECORDED) -> Figure:
    """Return equivalent plastic strain over the arc length, a panel for each outcome that has yielded."""
    shown = [(outcome, outcome.plastic_strain) for outcome in outcomes if has_yielded(outcome)]
    views = [_view(strain, case.meridian.length) for _, strain in shown if strain is not None]
    low, high = min(view[0] for view in views), max(view[1] for view in views)
    top = 0.7 + _PANEL * len(shown) + _GAP * (len(shown) - 1)
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(RIGHT + 0.2, top + height_of_names(case.meridian) + 0.65)
        add_title(figure, case.title, "Equivalent plastic strain at the governing event, where the wall yields")
        for i, (outcome, strain) in enumerate(shown):
            assert strain is not None
            above = top - i * (_PANEL + _GAP)
            axes = add_axes(figure, (LEFT, above - _PANEL, RIGHT, above))
            draw_faces(axes, strain.s, 100.0 * strain.equivalent)
            shade(axes, case.meridian, (low, high))
            axes.set_ylim(0.0, HEAD * 100.0 * float(np.max(strain.equivalent)))
            axes.set_ylabel("plastic strain  [%]")
            axes.ticklabel_format(axis="y", scilimits=(-2, 3))
            axes.text(0.99, 0.97, _event(outcome, units), transform=axes.transAxes, ha="right", va="top")
            axes.tick_params(labelbottom=i == len(shown) - 1)
        show_length(figure.axes[-1].xaxis, "arc length along the meridian", units)
        name_stretches(figure.axes[0], case.meridian)
        figure.legend(*figure.axes[0].get_legend_handles_labels(), loc="lower left", ncols=3, frameon=False)
    return figure


def _event(outcome: Outcome, units: Units) -> str:
    governing = outcome.capacity
    if governing is None:
        return outcome.kind
    return f"{outcome.kind}, {governing.kind}, {load_text(governing, units)}"


def _view(strain: PlasticStrain, length: float) -> tuple[float, float]:
    """Range of arc length [mm] that has yielded, with room on both sides."""
    most = np.max(strain.equivalent, axis=0)
    here = strain.s[most >= YIELDED * np.max(most)]
    middle, half = 0.5 * (here[0] + here[-1]), 0.5 * max(float(here[-1] - here[0]), _LEAST * length)
    reach = (1.0 + 2.0 * _ROOM) * half
    return max(0.0, float(middle) - reach), min(length, float(middle) + reach)
