"""A rectangle of a figure drawn to scale, with margins of a stated width in inches for what is written beside."""

from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import NDArray

from buckle.report.figures.labels import show_length
from buckle.units import Units

Array = NDArray[np.float64]
_TICK = 0.4  # in between ticks
Box = tuple[float, float, float, float]  # left, bottom, right, top


@dataclass(frozen=True)
class Margins:
    """Room kept free inside a panel [in]."""

    left: float
    bottom: float
    right: float
    top: float


@dataclass(frozen=True)
class Panel:
    """Axes whose data are millimetres, how many millimetres an inch of paper shows, and the box they are to show."""

    axes: Axes
    per_inch: float
    shown: Box

    @property
    def frame(self) -> Box:
        """Left, bottom, right, top of the axes [mm]."""
        (left, right), (bottom, top) = self.axes.get_xlim(), self.axes.get_ylim()
        return left, bottom, right, top

    def shows(self, r: float, z: float) -> bool:
        """Whether a point lies in the box that is shown."""
        left, bottom, right, top = self.shown
        return left < r < right and bottom < z < top


def add_panel(figure: Figure, area: Box, shown: Box, margins: Margins, units: Units) -> Panel:
    """Add axes at a place [in] that show the box `shown` [mm] as large as its margins allow, centred."""
    width, height = area[2] - area[0], area[3] - area[1]
    free = width - margins.left - margins.right, height - margins.bottom - margins.top
    span = shown[2] - shown[0], shown[3] - shown[1]
    per_inch = max(span[0] / free[0], span[1] / free[1])
    spare = free[0] * per_inch - span[0], free[1] * per_inch - span[1]
    left = shown[0] - margins.left * per_inch - 0.5 * spare[0]
    bottom = shown[1] - margins.bottom * per_inch - 0.5 * spare[1]
    across, up = figure.get_size_inches()
    axes = figure.add_axes((area[0] / across, area[1] / up, width / across, height / up))
    axes.set_xlim(left, left + width * per_inch)
    axes.set_ylim(bottom, bottom + height * per_inch)
    show_length(axes.xaxis, "r", units)
    show_length(axes.yaxis, "z", units)
    _keep_ticks_beside(axes, shown, per_inch, units)
    return Panel(axes, per_inch, shown)


def _keep_ticks_beside(axes: Axes, shown: Box, per_inch: float, units: Units) -> None:
    """Keep only the ticks that lie beside the drawing: margins are no coordinates."""
    times = units.number(1.0, "mm")
    left, bottom, right, top = (times * edge for edge in shown)
    axes.set_xticks([tick / times for tick in _ticks(left, right, times * per_inch)])
    axes.set_yticks([tick / times for tick in _ticks(bottom, top, times * per_inch)])


def _ticks(low: float, high: float, per_inch: float) -> list[float]:
    """Round numbers between two bounds, not crowded; one alone where there is no room for more."""
    most = min(6, int((high - low) / per_inch / _TICK))
    found = MaxNLocator(max(most, 1), steps=[1, 2, 5, 10]).tick_values(low, high)
    slack = 1e-6 * (high - low)
    if most < 2:
        return [float(min(found, key=lambda x: abs(x - 0.5 * (low + high))))]
    return [float(x) for x in found if low - slack <= x <= high + slack]


def spread(wanted: Array, gap: float, low: float, high: float) -> Array:
    """Return places in the order of the wanted ones, at least a gap apart, within the limits if there is room."""
    order = np.argsort(wanted, kind="stable")
    spots = np.array(wanted, dtype=np.float64)
    least = low
    for i in order:
        spots[i] = least = max(float(spots[i]), least)
        least += gap
    most = high
    for i in order[::-1]:
        spots[i] = most = min(float(spots[i]), most)
        most -= gap
    return spots
