"""The drawing of a container whole: section through its axis, its parts named, the drink, the lines, the brim."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import NDArray

from buckle.container.container import Container
from buckle.container.parts import Part
from buckle.container.summary import Volumes, volumes_of
from buckle.container.whole import body_of, standing_parts
from buckle.report.figures.panel import Margins, Panel, add_panel, spread
from buckle.report.figures.section import metal_outline
from buckle.report.figures.style import GUIDE, METAL, OUTLINE, PAGE, STYLE
from buckle.units import RECORDED, Units

Array = NDArray[np.float64]

_HIGH, _ABOVE, _BELOW = 6.2, 0.55, 1.1  # in: the drawing, the title over it, the words under it
_COLUMN, _LEVELS = 2.2, 1.6  # in, for the names on the right and the levels on the left
_ROW = 0.3  # in between names
_DRINK = "0.93"
_JOINT: dict[str, Any] = {"color": OUTLINE, "linewidth": 1.1, "solid_capstyle": "butt", "zorder": 5}


@dataclass(frozen=True)
class _Level:
    """A height [mm] and what it is called."""

    z: float
    words: str


def draw_container(container: Container, units: Units = RECORDED) -> Figure:
    """Return a figure of the whole section, true thickness to scale."""
    parts, volumes = standing_parts(container), volumes_of(container)
    with matplotlib.rc_context(dict(STYLE)):
        figure = Figure(figsize=(PAGE, _ABOVE + _HIGH + _BELOW))
        FigureCanvasAgg(figure)
        panel = _panel(figure, parts, units)
        if volumes is not None:
            _draw_drink(panel, container, volumes)
        for part in parts:
            _draw_part(panel, part)
        _name_parts(panel, parts, units)
        _draw_levels(panel, _levels(container, parts, volumes, units))
        _write_around(figure, container, parts, volumes, units)
    return figure


def _panel(figure: Figure, parts: Sequence[Part], units: Units) -> Panel:
    points = np.concatenate([metal_outline(part.meridian) for part in parts])
    wide, low, high = float(points[:, 0].max()), float(points[:, 1].min()), float(points[:, 1].max())
    area = (0.6, _BELOW, PAGE - 0.15, _BELOW + _HIGH)
    panel = add_panel(figure, area, (-wide, low, wide, high), Margins(_LEVELS, 0.2, _COLUMN, 0.2), units)
    bottom, top = panel.frame[1], panel.frame[3]
    panel.axes.plot([0.0, 0.0], [bottom, top], color=GUIDE, linewidth=0.7, linestyle=(0, (10, 3, 2, 3)), zorder=1)
    return panel


def _draw_part(panel: Panel, part: Part) -> None:
    """Both halves of a part; short ticks where it begins and ends off the axis."""
    outline = metal_outline(part.meridian)
    for side in (1.0, -1.0):
        panel.axes.fill(
            side * outline[:, 0], outline[:, 1], facecolor=METAL, edgecolor=OUTLINE, linewidth=0.6, zorder=3
        )
    for s in (0.0, part.meridian.length):
        at = part.meridian.at_s(s)
        if float(at.r) > 1.0:
            half = 0.06 * panel.per_inch * np.array([-np.sin(at.heading), np.cos(at.heading)])
            for side in (1.0, -1.0):
                r = side * (float(at.r) + half[0] * np.array([-1.0, 1.0]))
                panel.axes.plot(r, float(at.z) + half[1] * np.array([-1.0, 1.0]), **_JOINT)


def _draw_drink(panel: Panel, container: Container, volumes: Volumes) -> None:
    """What the liquid fills, up to its level in the open body."""
    body = body_of(container)
    if body is None or volumes.filled_to is None:
        return
    s = np.linspace(0.0, body.meridian.length, 2000)
    at = body.meridian.at_s(s)
    covered = at.z <= volumes.filled_to
    last = int(np.flatnonzero(covered)[-1]) + 1
    r = np.append(at.r[:last], [0.0])
    z = np.append(np.minimum(at.z[:last], volumes.filled_to), [volumes.filled_to])
    for side in (1.0, -1.0):
        panel.axes.fill(side * r, z, facecolor=_DRINK, edgecolor="none", zorder=0.5)


# What is written ------------------------------------------------------------------------------------------------------


def _name_parts(panel: Panel, parts: Sequence[Part], units: Units) -> None:
    """A column of names on the right: part, thickness and mass, each with a leader to the middle of its meridian."""
    middles = [part.meridian.at_s(0.55 * part.meridian.length) for part in parts]
    _, bottom, right, top = panel.frame
    wanted = np.array([float(each.z) for each in middles])
    heights = spread(wanted, _ROW * panel.per_inch, bottom, top)
    column = right - (_COLUMN - 0.25) * panel.per_inch
    for part, at, height in zip(parts, middles, heights, strict=True):
        panel.axes.annotate(
            _name(part, units),
            xy=(float(at.r), float(at.z)),
            xytext=(column, float(height)),
            va="center",
            arrowprops={"arrowstyle": "-", "color": GUIDE, "linewidth": 0.6, "shrinkA": 2, "shrinkB": 0},
            zorder=6,
        )


def _name(part: Part, units: Units) -> str:
    thick = [each for piece in part.meridian.pieces for each in piece.thickness]
    low, high = (units.digits(each, "mm") for each in (min(thick), max(thick)))
    gauge = f"{low}" if low == high else f"{low} to {high}"
    mass = f", {part.mass:.2f} g" if part.density else ""
    return f"{part.name}: {gauge} {units.unit('mm')}{mass}"


def _levels(container: Container, parts: Sequence[Part], volumes: Volumes | None, units: Units) -> list[_Level]:
    """The brim, the drink and the line that the file names."""
    body = body_of(container)
    if body is None or volumes is None:
        return []
    brim = float(body.meridian.at_s(body.meridian.length).z)
    found = [_Level(brim, f"brim, {_ml(volumes.brim)}")]
    line = container.whole.fill_below_brim
    if volumes.filled_to is not None and container.contents is not None:
        found.append(_Level(volumes.filled_to, f"drink, {_ml(container.contents.liquid)}"))
    if line is not None and volumes.to_line is not None:
        found.append(_Level(brim - line, f"fill line, {_ml(volumes.to_line)}"))
    return found


def _ml(volume: float) -> str:
    return f"{volume / 1000.0:.1f} ml"


def _draw_levels(panel: Panel, levels: Sequence[_Level]) -> None:
    left, bottom, _, top = panel.frame
    end = left + (_LEVELS - 0.3) * panel.per_inch
    heights = spread(np.array([each.z for each in levels]), 0.6 * _ROW * panel.per_inch, bottom, top) if levels else ()
    for each, height in zip(levels, heights, strict=True):
        dash = (0, (4, 3)) if each.words.startswith("fill line") else "-"
        panel.axes.plot([end, 0.0], [each.z, each.z], color=GUIDE, linewidth=0.6, linestyle=dash, zorder=2)
        panel.axes.plot(
            [end - 0.15 * panel.per_inch, end], [float(height), each.z], color=GUIDE, linewidth=0.6, zorder=2
        )
        panel.axes.text(end - 0.2 * panel.per_inch, float(height), each.words, ha="right", va="center", zorder=6)


def _write_around(
    figure: Figure, container: Container, parts: Sequence[Part], volumes: Volumes | None, units: Units
) -> None:
    high = figure.get_size_inches()[1]
    words = []
    if all(part.density for part in parts):
        words.append(f"metal {sum(part.mass for part in parts):.2f} g")
    if volumes is not None and volumes.closed is not None:
        words.append(f"closed {_ml(volumes.closed)}")
    if volumes is not None and volumes.headspace is not None:
        words.append(f"headspace {_ml(volumes.headspace)}")
    figure.text(0.5, 1.0 - 0.28 / high, container.title, ha="center", va="center", fontsize=10)
    figure.text(0.5, 0.48 / high, "; ".join(words), ha="center", va="center")
    note = f"lengths in {units.unit('mm')}, true thickness to scale; curl, hooks and flange of the seam are not drawn"
    figure.text(0.5, 0.22 / high, note, ha="center", va="center", color=GUIDE)
