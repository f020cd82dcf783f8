"""Labels of axes and values in words, in a reader's units; what is drawn to scale stays in mm and gets other ticks."""

from typing import Any

import numpy as np
from matplotlib.axis import Axis
from matplotlib.ticker import FuncFormatter, MaxNLocator

from buckle.increasing import PUSH, Increasing
from buckle.marked import four_digits
from buckle.results import AtLoad
from buckle.units import Units

_AS_MANY = {"nbins": "auto", "steps": [1, 2, 2.5, 5, 10]}
"""Settings of matplotlib's own automatic ticks: as many as there is room for."""


def show_length(axis: Axis, words: str, units: Units, *, most: int | None = None) -> None:
    """Say on an axis whose data are in mm what it shows, with round numbers of a reader's unit as ticks.

    `most` is the largest number of intervals between ticks; None leaves it to the room there is.
    """
    times = units.number(1.0, "mm")
    axis.set_label_text(axis_label(words, "mm", units))
    axis.set_major_locator(_Round(times, **_AS_MANY) if most is None else _Round(times, nbins=most))
    axis.set_major_formatter(length_ticks(units))


def length_ticks(units: Units) -> FuncFormatter:
    """Return what writes a length of an axis [mm] in a reader's unit."""
    times = units.number(1.0, "mm")
    return FuncFormatter(lambda value, _: f"{value * times + 0.0:g}".replace("-", "−"))


class _Round(MaxNLocator):
    """Round numbers of `times` the data, as a locator of its settings would find them in these."""

    def __init__(self, times: float, **settings: Any) -> None:
        super().__init__(**settings)
        self.times = times

    def tick_values(self, vmin: float, vmax: float) -> Any:
        return np.asarray(super().tick_values(vmin * self.times, vmax * self.times)) / self.times


def axis_label(words: str, own: str, units: Units) -> str:
    """Return what an axis says: what it shows and in which unit."""
    return f"{words}  [{units.unit(own)}]"


def shown_pressure(pressure: float, units: Units) -> float:
    """Return a pressure [MPa] as graphs show it."""
    return units.number(pressure, "MPa")


def pressure_number(pressure: float, units: Units) -> str:
    """Return a pressure [MPa] in digits as a graph gives it, without its unit."""
    return digits(shown_pressure(pressure, units), units)


def pressure_text(pressure: float, units: Units) -> str:
    """Return a pressure [MPa] with its unit."""
    return f"{pressure_number(pressure, units)} {units.unit('MPa')}"


def shown_load(size: float, increasing: Increasing, units: Units) -> float:
    """Return the size of a load [MPa] or [N] as graphs show it; a force upward, whatever its sense."""
    return shown_pressure(size, units) if increasing.is_pressure else size


def load_number(size: float, increasing: Increasing, units: Units) -> str:
    """Return the size of a load in digits as a graph gives it, without its unit."""
    return pressure_number(size, units) if increasing.is_pressure else four_digits(size)


def load_label(increasing: Increasing, units: Units) -> str:
    """Return what an axis of loads says; of a force its sense, since it is shown upward."""
    if increasing.is_pressure:
        return axis_label("pressure", "MPa", units)
    return axis_label(
        f"{increasing.words}, {'compression' if increasing == PUSH else 'tension'}", increasing.unit, units
    )


def load_text(what: AtLoad, units: Units) -> str:
    """Return the load of something with its unit, as it acts."""
    if what.increasing.is_pressure:
        return pressure_text(what.load, units)
    return f"{four_digits(what.axial_force)} {what.increasing.unit}"


def length_text(length: float, units: Units) -> str:
    """Return a length [mm] with its unit, three digits."""
    return f"{units.number(length, 'mm'):.3g} {units.unit('mm')}"


def digits(value: float, units: Units) -> str:
    """Return a pressure in a reader's unit: in bar with two decimals, three digits below 1; else with four digits."""
    if units.pressure != "bar":
        return f"{value:.4g}" if abs(value) < 9999.5 else f"{value:.0f}"
    return f"{value:.2f}" if value >= 1.0 else f"{value:#.3g}"
