"""The drawing of a section: true thickness to scale, named dimensions, and its tight bends enlarged."""

import math
from dataclasses import dataclass
from typing import Any

import matplotlib
import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Polygon, Rectangle
from numpy.typing import NDArray

from buckle.meridian import Meridian, Station
from buckle.report.figures.callouts import SEPARATOR, Callout, callouts, caption, dimensions, tight_pieces
from buckle.report.figures.leaders import column_width, label_beside, label_columns
from buckle.report.figures.panel import Box, Margins, Panel, add_panel
from buckle.report.figures.style import GUIDE, METAL, OUTLINE, PAGE, STYLE
from buckle.units import RECORDED, Units

Array = NDArray[np.float64]

_LEAST, _MOST = 3.2, 6.4  # in, height of what is drawn
_FLAT = 0.45  # a section lower than this part of its width shares its height evenly with its detail
_LEVEL = 0.5  # sine of the slope below which a piece is labelled above or below instead of at the side
_ROW, _STEP = 0.26, 0.34  # in, a row of diameters; a step of heights
_ROOM = 0.06  # around the tight bends in the frame of a detail, as a part of their larger side
_DASHED: dict[str, Any] = {"color": OUTLINE, "linewidth": 0.7, "linestyle": (0, (3, 2)), "zorder": 5}


def draw_section(meridian: Meridian, *, title: str = "", density: float = 0.0, units: Units = RECORDED) -> Figure:
    """Return a figure of the half section with its axis, dimensions and detail; density [kg/m3] gives the mass."""
    with matplotlib.rc_context(dict(STYLE)):
        tight = tight_pieces(meridian)
        outline, texts = metal_outline(meridian), callouts(meridian, units)
        layout = _layout(_extent(outline), bool(tight))
        figure = Figure(figsize=layout.size)
        FigureCanvasAgg(figure)
        panel = _draw_whole(figure, layout.whole, meridian, units)
        if tight:
            detail = _draw_detail(figure, layout.detail, meridian, tight, texts, units)
            _mark_detail(panel, detail)
            texts = tuple(one for one in texts if not detail.shows(one.r, one.z))
        label_beside(panel, texts, outline)
        _write_around(figure, title, caption(meridian, density, units), units)
    return figure


def _write_around(figure: Figure, title: str, words: str, units: Units) -> None:
    """Title above, caption and note below."""
    high = figure.get_size_inches()[1]
    note = f"mid-surface dimensions in {units.unit('mm')}, angles from the axis; drawn to scale"
    figure.text(0.5, 1.0 - 0.28 / high, title, ha="center", va="center", fontsize=10)
    figure.text(0.5, 0.48 / high, _in_two_lines(words), ha="center", va="center")
    figure.text(0.5, 0.18 / high, note, ha="center", va="center", color=GUIDE)


def _in_two_lines(words: str) -> str:
    parts = words.split(SEPARATOR)
    return "\n".join(SEPARATOR.join(some) for some in (parts[:3], parts[3:]) if some)


@dataclass(frozen=True)
class _Layout:
    """Size of the figure and where the whole section and its detail stand on it [in]."""

    size: tuple[float, float]
    whole: Box
    detail: Box


def _layout(box: Box, with_detail: bool) -> _Layout:
    """Put the detail below the section; a figure is no higher than its section needs and fits a page."""
    left, bottom, right, over = 0.65, 1.15, PAGE - 0.2, 0.75
    slender = (box[3] - box[1]) / (box[2] - min(box[0], 0.0))
    high = _MOST if with_detail else min(max((right - left - 1.2) * slender + 1.9, _LEAST), _MOST)
    top, size = bottom + high, (PAGE, bottom + high + over)
    if with_detail:
        middle = bottom + (0.48 if slender < _FLAT else 0.42) * high
        return _Layout(size, (left, middle + 0.45, right, top), (left, bottom, right, middle - 0.3))
    return _Layout(size, (left, bottom, right, top), (left, bottom, right, top))


def _samples(meridian: Meridian) -> Station:
    """Stations close enough for smooth curves, both ends of every piece among them."""
    index = np.repeat(np.arange(len(meridian.pieces)), 81)
    share = np.tile(np.linspace(0.0, 1.0, 81), len(meridian.pieces))
    return meridian.at(index, share * np.diff(meridian.breaks)[index])


def _faces(at: Station) -> tuple[Array, Array]:
    """Points of the left and right face, (points, 2) each."""
    half = 0.5 * at.thickness
    normal = np.stack([-np.sin(at.heading), np.cos(at.heading)], axis=-1)
    middle = np.stack([at.r, at.z], axis=-1)
    return middle + half[:, None] * normal, middle - half[:, None] * normal


def metal_outline(meridian: Meridian) -> Array:
    """The closed outline of the metal, (points, 2)."""
    left, right = _faces(_samples(meridian))
    return np.concatenate([left, right[::-1]])


def _extent(points: Array) -> Box:
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _draw_metal(panel: Panel, outline: Array) -> Polygon:
    (metal,) = panel.axes.fill(
        outline[:, 0], outline[:, 1], facecolor=METAL, edgecolor=OUTLINE, linewidth=0.6, zorder=3
    )
    return metal


def _draw_whole(figure: Figure, area: Box, meridian: Meridian, units: Units) -> Panel:
    diameters, heights = (dimensions(meridian, along, units) for along in ("diameter", "height"))
    outline = metal_outline(meridian)
    left, bottom, right, top = _extent(outline)
    margins = Margins(0.25, 0.3 + _ROW * len(diameters), 0.3 + _STEP * len(heights), 0.3)
    panel = add_panel(figure, area, (min(left, 0.0), bottom, right, top), margins, units)
    _draw_metal(panel, outline)
    _, low, _, high = panel.frame
    panel.axes.plot([0.0, 0.0], [low, high], color=GUIDE, linewidth=0.7, linestyle=(0, (10, 3, 2, 3)), zorder=1)
    for row, one in enumerate(diameters):
        _draw_diameter(panel, one.text, one.end, bottom - (0.2 + _ROW * (row + 0.5)) * panel.per_inch)
    for row, one in enumerate(heights):
        _draw_height(panel, one.text, (one.start, one.end), right + (0.1 + _STEP * (row + 0.7)) * panel.per_inch)
    return panel


def _draw_diameter(panel: Panel, text: str, point: tuple[float, float], z: float) -> None:
    """A dimension line from the axis to below the point: half of the diameter that the text tells."""
    r = point[0]
    panel.axes.plot([r, r], [point[1], z - 0.06 * panel.per_inch], color=GUIDE, linewidth=0.5, zorder=2)
    panel.axes.annotate("", (r, z), (0.0, z), arrowprops=_arrow("-|>"))
    _write(panel, (0.5 * r, z), text.replace("diameter", "⌀"), 0.0)


def _draw_height(panel: Panel, text: str, ends: tuple[tuple[float, float], tuple[float, float]], r: float) -> None:
    for point in ends:
        panel.axes.plot(
            [point[0], r + 0.06 * panel.per_inch], [point[1], point[1]], color=GUIDE, linewidth=0.5, zorder=2
        )
    panel.axes.annotate("", (r, ends[0][1]), (r, ends[1][1]), arrowprops=_arrow("<|-|>"))
    beside, middle = r - 0.09 * panel.per_inch, 0.5 * (ends[0][1] + ends[1][1])
    _write(panel, (beside, middle), text, 90.0)


def _arrow(style: str) -> dict[str, object]:
    return {
        "arrowstyle": f"{style},head_length=0.45,head_width=0.16",
        "color": GUIDE,
        "linewidth": 0.6,
        "shrinkA": 0,
        "shrinkB": 0,
    }


def _write(panel: Panel, at: tuple[float, float], text: str, rotation: float) -> None:
    back = {"facecolor": "white", "edgecolor": "none", "pad": 0.8}
    panel.axes.text(*at, text, ha="center", va="center", rotation=rotation, bbox=back, zorder=4)


def _draw_detail(
    figure: Figure, area: Box, meridian: Meridian, tight: range, texts: tuple[Callout, ...], units: Units
) -> Panel:
    """The tight bends in a dashed frame, and nothing outside it but their labels."""
    frame = _frame(meridian, tight)
    left, right = _sides([one for one in texts if one.piece in tight])
    panel = add_panel(figure, area, frame, Margins(column_width(left), 0.3, column_width(right), 0.3), units)
    at, outline = _samples(meridian), metal_outline(meridian)
    (middle,) = panel.axes.plot(at.r, at.z, color=OUTLINE, linewidth=0.5, linestyle=(0, (8, 2, 2, 2)), zorder=4)
    window = Rectangle(frame[:2], frame[2] - frame[0], frame[3] - frame[1], transform=panel.axes.transData)
    for each in (_draw_metal(panel, outline), middle):
        each.set_clip_path(window)
    seen = outline[[panel.shows(r, z) for r, z in outline]]
    label_columns(panel, left, seen, left=True)
    label_columns(panel, right, seen, left=False)
    rest = [one for one in texts if panel.shows(one.r, one.z) and one not in left and one not in right]
    _draw_frame(panel, frame)
    label_beside(panel, rest, seen)
    return panel


def _frame(meridian: Meridian, tight: range) -> Box:
    """The box around the tight bends, with room [mm]."""
    index = np.repeat(np.array(tight), 81)
    share = np.tile(np.linspace(0.0, 1.0, 81), len(tight))
    box = _extent(np.concatenate(_faces(meridian.at(index, share * np.diff(meridian.breaks)[index]))))
    room = _ROOM * max(box[2] - box[0], box[3] - box[1])
    return box[0] - room, box[1] - room, box[2] + room, box[3] + room


def _draw_frame(panel: Panel, frame: Box) -> None:
    left, bottom, right, top = frame
    panel.axes.plot([left, right, right, left, left], [bottom, bottom, top, top, bottom], **_DASHED)


def _sides(texts: list[Callout]) -> tuple[list[Callout], list[Callout]]:
    """Callouts of pieces that descend and that ascend along the walk; the nearly level ones are in neither."""
    descending = [one for one in texts if math.sin(one.heading) <= -_LEVEL]
    return descending, [one for one in texts if math.sin(one.heading) >= _LEVEL]


def _mark_detail(panel: Panel, detail: Panel) -> None:
    """Frame on the whole section what its detail shows, and say how much larger it is there."""
    detail.axes.set_title(f"A   enlarged {panel.per_inch / detail.per_inch:.1f} times", loc="left", fontweight="bold")
    _draw_frame(panel, detail.shown)
    left, _, _, top = detail.shown
    panel.axes.text(left, top, "A", ha="right", va="bottom", fontweight="bold", zorder=6)
