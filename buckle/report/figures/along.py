"""What graphs along the meridian share: lines of the inside, the middle and the outside, and the pieces by name."""

from dataclasses import dataclass
from itertools import groupby
from typing import Any

import numpy as np
from matplotlib.axes import Axes

from buckle.meridian import Meridian
from buckle.report.figures.panel import spread
from buckle.report.figures.style import GUIDE, PAGE
from buckle.results import Array

FACES: dict[str, dict[str, Any]] = {
    "inside": {"color": "#0072B2", "linestyle": (0, (5, 2)), "linewidth": 1.2},
    "middle": {"color": "0.0", "linestyle": "-", "linewidth": 1.5},
    "outside": {"color": "#D55E00", "linestyle": (0, (1.5, 1.2)), "linewidth": 1.4},
}
LEFT, RIGHT = 0.75, PAGE - 0.2  # in, of the axes
_COLUMN, _LETTER = 0.16, 0.066  # in between upright names; of a letter


@dataclass(frozen=True)
class Stretch:
    """Neighbouring pieces of one name, from one arc length to another [mm]."""

    name: str
    start: float
    end: float


def draw_faces(axes: Axes, s: Array, values: Array) -> None:
    """Draw values (3, stations) over the arc length: inside, middle, outside."""
    for (face, line), along in zip(FACES.items(), values, strict=True):
        axes.plot(s, along, label=face, zorder=3, **line)
    axes.axhline(0.0, color=GUIDE, linewidth=0.6, zorder=2)


def stretches(meridian: Meridian) -> list[Stretch]:
    """Return the named stretches of a meridian in their order."""
    numbered = groupby(range(len(meridian.pieces)), key=lambda i: meridian.pieces[i].name)
    groups = [(name, list(indices)) for name, indices in numbered]
    return [Stretch(name, float(meridian.breaks[at[0]]), float(meridian.breaks[at[-1] + 1])) for name, at in groups]


def height_of_names(meridian: Meridian) -> float:
    """Room [in] that the longest name takes upright, with its leader."""
    return 0.25 + _LETTER * max(len(stretch.name) for stretch in stretches(meridian))


def shade(axes: Axes, meridian: Meridian, view: tuple[float, float]) -> None:
    """Show a range of arc length [mm] and shade every second stretch."""
    axes.set_xlim(*view)
    axes.grid(visible=False, axis="x")
    for stretch in stretches(meridian)[1::2]:
        axes.axvspan(stretch.start, stretch.end, color="0.94", linewidth=0, zorder=0)


def name_stretches(axes: Axes, meridian: Meridian) -> None:
    """Write the names upright above the axes, each on a leader from the middle of what is seen of its stretch."""
    low, high = axes.get_xlim()
    named = [stretch for stretch in stretches(meridian) if stretch.name and stretch.end > low and stretch.start < high]
    middles = np.array([0.5 * (max(one.start, low) + min(one.end, high)) for one in named])
    gap = _COLUMN * (high - low) / (RIGHT - LEFT)
    ats = spread(middles, gap, low + 0.5 * gap, high - 0.5 * gap)
    across = axes.get_xaxis_transform()
    for one, middle, at in zip(named, middles, ats, strict=True):
        axes.plot([middle, at], [1.0, 1.09], transform=across, color=GUIDE, linewidth=0.5, clip_on=False)
        axes.text(float(at), 1.11, one.name, transform=across, rotation=90.0, ha="center", va="bottom")
