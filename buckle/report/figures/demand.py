"""Pressure of the contents against temperature: every condition, what is required, what the container carries."""

from collections.abc import Iterator

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from buckle.case import Case
from buckle.demand.balance import balance
from buckle.demand.conditions import Demand, with_weiss
from buckle.demand.filling import Filling
from buckle.demand.limits import TEMPERATURES
from buckle.errors import ContentsError
from buckle.margins.held import softening_of
from buckle.margins.holding import Holding
from buckle.report.figures.labels import axis_label, digits, shown_pressure
from buckle.report.figures.plot import Named, add_axes, add_title, name_values, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.results import Array
from buckle.units import RECORDED, Units

BEYOND = 8.0  # degC that the graph goes on past what it marks
CONTENTS, WEISS, CARRIED = "#0072B2", "#56B4E9", "#000000"


def draw_demand(case: Case, holding: Holding | None = None, units: Units = RECORDED) -> Figure:
    """Return the graph of a case with contents; what it carries and up to where is drawn where that is known."""
    demand = case.demand
    assert demand is not None
    altitude = demand.governing.condition.altitude
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(7.0, 4.1)
        add_title(figure, case.title, f"Pressure that the contents make, at {altitude:g} m; gauge")
        axes = add_axes(figure, (0.65, 0.85, 4.4, 3.45))
        across = _temperatures(demand, holding)
        axes.set_xlim(float(across[0]), float(across[-1]))
        _draw_curves(axes, demand, across, altitude, units)
        _draw_conditions(axes, demand, altitude, units)
        named = list(_named(case, demand, units))
        if holding is not None:
            named += _draw_carried(axes, case, holding, across, units)
        _frame(axes, [each.value for each in named])
        for level in (each for each in named if each.x is None):
            axes.axhline(level.value, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)), zorder=2)
        name_values(axes, named)
        axes.set_xlabel("temperature of contents  [°C]")
        axes.set_ylabel(axis_label("pressure", "MPa", units))
        _add_legend(figure, demand, altitude, carried=holding is not None)
    return figure


def _temperatures(demand: Demand, holding: Holding | None) -> Array:
    marked = [each.condition.temperature for each in demand.met]
    if holding is not None and holding.held.temperature is not None:
        marked.append(holding.held.temperature)
    low, high = min(*marked, 4.0), max(marked)
    return np.arange(max(TEMPERATURES.low, low - 4.0), min(TEMPERATURES.high, high + BEYOND) + 0.25, 0.5)


def _draw_curves(axes: Axes, demand: Demand, across: Array, altitude: float, units: Units) -> None:
    axes.plot(across, _curve(demand.filling, across, altitude, units), color=CONTENTS, linewidth=1.6, zorder=3)
    other = with_weiss(demand.filling)
    if other is not None:
        dashes = (0, (4, 2))
        axes.plot(
            across, _curve(other, across, altitude, units), color=WEISS, linewidth=1.0, linestyle=dashes, zorder=2.5
        )


def _curve(filling: Filling, across: Array, altitude: float, units: Units) -> Array:
    """Gauge pressure as shown; NaN where the container has no room left."""
    return np.array([_pressure(filling, float(temperature), altitude, units) for temperature in across])


def _pressure(filling: Filling, temperature: float, altitude: float, units: Units) -> float:
    try:
        return shown_pressure(balance(filling, temperature, altitude).gauge, units)
    except ContentsError:
        return float("nan")


def _draw_conditions(axes: Axes, demand: Demand, altitude: float, units: Units) -> None:
    for met in demand.met:
        face = CONTENTS if met.condition.altitude == altitude else "white"
        at = [met.condition.temperature], [shown_pressure(met.state.gauge, units)]
        axes.plot(*at, "o", color=CONTENTS, markerfacecolor=face, markersize=5, zorder=4)


def _named(case: Case, demand: Demand, units: Units) -> Iterator[Named]:
    met = demand.governing
    value = shown_pressure(met.state.gauge, units)
    yield Named(
        value,
        f"{digits(value, units)}  {'demand' if demand.acting > 0.0 else 'highest'}, {met.condition.temperature:g} °C",
        met.condition.temperature,
    )
    if case.asked.pressure is not None and case.loads.pressure_side == "inside":
        required = shown_pressure(case.asked.pressure, units)
        yield Named(required, f"{digits(required, units)}  required")


def _draw_carried(axes: Axes, case: Case, holding: Holding, across: Array, units: Units) -> list[Named]:
    """Draw what the container carries against temperature, and where the contents come to it."""
    softening = softening_of(case)
    left = [1.0 if softening is None else softening.at_least(float(each), holding.metal) for each in across]
    carried = shown_pressure(holding.capacity, units) * np.array(left)
    axes.plot(across, carried, color=CARRIED, linewidth=1.4, linestyle=(0, (1.2, 1.2)), zorder=3)
    value, held = shown_pressure(holding.capacity, units), holding.held
    named = [Named(value, f"{digits(value, units)}  carried, metal {holding.metal:g} °C", holding.metal)]
    if held.temperature is not None and not held.at_least:
        reached = float(np.interp(held.temperature, across, carried))
        axes.plot([held.temperature] * 2, [0.0, reached], color=CARRIED, linewidth=0.7, zorder=2)
        axes.plot([held.temperature], [reached], "D", color=CARRIED, markersize=5, zorder=4)
        named.append(Named(reached, f"{digits(reached, units)}  holds to {held.temperature:.1f} °C", held.temperature))
    return named


def _frame(axes: Axes, levels: list[float]) -> None:
    """Show all that is named; below zero only where there is a vacuum."""
    values = np.concatenate([np.asarray(line.get_ydata(), float) for line in axes.lines])
    low = min(0.0, float(np.nanmin(values)))
    axes.set_ylim(1.1 * low, 1.15 * max(*levels, 0.1))


def _add_legend(figure: Figure, demand: Demand, altitude: float, *, carried: bool) -> None:
    handles = [Line2D([], [], color=CONTENTS, linewidth=1.6, label="contents")]
    if with_weiss(demand.filling) is not None:
        handles.append(Line2D([], [], color=WEISS, linewidth=1.0, linestyle=(0, (4, 2)), label="solubility by Weiss"))
    handles.append(_dot("condition", CONTENTS))
    if any(met.condition.altitude != altitude for met in demand.met):
        handles.append(_dot("at another altitude", "white"))
    if carried:
        handles.append(Line2D([], [], color=CARRIED, linewidth=1.4, linestyle=(0, (1.2, 1.2)), label="carried"))
    figure.legend(handles=handles, loc="lower left", ncols=5, frameon=False, handlelength=2.6, columnspacing=1.3)


def _dot(label: str, face: str) -> Line2D:
    return Line2D([], [], color=CONTENTS, linestyle="none", marker="o", markerfacecolor=face, markersize=5, label=label)
