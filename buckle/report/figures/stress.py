"""Linear stresses along the meridian at the inside, the middle and the outside of the wall."""

from dataclasses import replace

import matplotlib
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from buckle.case import Case
from buckle.report.figures.along import LEFT, RIGHT, draw_faces, height_of_names, name_stretches, shade
from buckle.report.figures.labels import load_text, show_length
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.results import Stresses
from buckle.units import RECORDED, Units

_PANEL, _GAP = 1.75, 0.25  # in


def draw_stresses(case: Case, stresses: Stresses, units: Units = RECORDED) -> Figure:
    """Return meridional, circumferential and von Mises stress over the arc length, the pieces named above.

    Where nothing stays constant the linear stresses are told at the required load, else at that of the analysis.
    """
    at = _at(case, stresses)
    shown = {
        "meridional": stresses.meridional,
        "circumferential": stresses.circumferential,
        "von Mises": stresses.equivalent,
    }
    top = 0.7 + _PANEL * len(shown) + _GAP * (len(shown) - 1)
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(RIGHT + 0.2, top + height_of_names(case.meridian) + 0.65)
        words = f"Linear elastic stresses at {load_text(at, units)} along the meridian (LA)"
        add_title(figure, case.title, words)
        for i, (name, values) in enumerate(shown.items()):
            above = top - i * (_PANEL + _GAP)
            axes = add_axes(figure, (LEFT, above - _PANEL, RIGHT, above))
            draw_faces(axes, stresses.s, values * (at.load / stresses.load))
            shade(axes, case.meridian, (0.0, case.meridian.length))
            axes.set_ylabel(f"{name}  [MPa]")
            axes.tick_params(labelbottom=i == len(shown) - 1)
        figure.axes[-1].set_ylim(bottom=0.0)
        _mark_yield(figure.axes[-1], case)
        show_length(figure.axes[-1].xaxis, "arc length along the meridian", units)
        name_stretches(figure.axes[0], case.meridian)
        figure.legend(*figure.axes[0].get_legend_handles_labels(), loc="lower left", ncols=3, frameon=False)
    return figure


def _at(case: Case, stresses: Stresses) -> Stresses:
    """The stresses with the load that they are told at: scaling would be wrong beside a load that stays."""
    required, loads = case.required_load, case.loads
    stays = loads.axial_force if loads.increasing.is_pressure else loads.pressure
    return stresses if required is None or stays else replace(stresses, load=required)


def _mark_yield(axes: Axes, case: Case) -> None:
    """Draw the yield stress where it is within sight or near it."""
    hardening = case.material.hardening
    if hardening is not None and hardening.yield_stress < 2.0 * axes.get_ylim()[1]:
        axes.axhline(hardening.yield_stress, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)), zorder=2)
        start = (axes.get_xlim()[0], hardening.yield_stress)
        axes.annotate("yield", start, (3, 2), textcoords="offset points", va="bottom", color=GUIDE)
