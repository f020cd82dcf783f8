"""Labels with leaders that touch neither each other nor the metal."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.lines import Line2D
from matplotlib.text import Annotation, Text
from matplotlib.transforms import Bbox
from numpy.typing import NDArray

from buckle.report.figures.callouts import Callout
from buckle.report.figures.panel import Panel, spread
from buckle.report.figures.style import GUIDE

Array = NDArray[np.float64]

_LINE = 0.26  # in between labels of a column
_CHARACTER = 0.064  # in, width of a character, a little generous
_MARGIN = 0.1  # in beside a column
_REACHES = (0.3, 0.4, 0.5, 0.6, 0.75, 0.9, 1.1, 1.35, 1.6)  # in, lengths of a leader that are tried
_LEANS = (0.0, 0.3, -0.3, 0.6, -0.6, 0.8, -0.8, 1.1, -1.1)  # rad, its leans from the normal that are tried
_CLEAR = 0.06  # in kept free around a label


@dataclass(frozen=True)
class _Place:
    """Where a label may stand: the end of its leader [mm] and which point of its box is there (0..1 each way)."""

    end: tuple[float, float]
    hold: tuple[float, float]


def column_width(texts: Sequence[Callout]) -> float:
    """Return the room the labels need beside a drawing [in]."""
    return 0.25 + _MARGIN + _CHARACTER * max((len(one.text) for one in texts), default=0)


def label_columns(panel: Panel, texts: Sequence[Callout], outline: Array, *, left: bool) -> None:
    """Write the labels in a column at the left or right side, in the order of what they point at."""
    start, _, end, _ = panel.frame
    reach = (column_width(texts) - 0.25) * panel.per_inch
    edges = (start, start + reach) if left else (end - reach, end)
    low, high = _free_stretch(panel, edges, outline)
    heights = spread(np.array([one.z for one in texts]), _LINE * panel.per_inch, low, high)
    for one, height in zip(texts, heights, strict=True):
        _annotate(panel, one, _Place((edges[1] if left else edges[0], float(height)), (float(left), 0.5)))


def _free_stretch(panel: Panel, edges: tuple[float, float], outline: Array) -> tuple[float, float]:
    """The larger of the stretches of a column below and above the metal that passes through it [mm]."""
    _, bottom, _, top = panel.frame
    pad = 0.2 * panel.per_inch
    inside = (outline[:, 0] > edges[0]) & (outline[:, 0] < edges[1]) & (outline[:, 1] > bottom) & (outline[:, 1] < top)
    if not inside.any():
        return bottom + pad, top - pad
    low, high = float(outline[inside, 1].min()), float(outline[inside, 1].max())
    return (bottom + pad, low - pad) if low - bottom > top - high else (high + pad, top - pad)


@dataclass(frozen=True)
class _Obstacles:
    """What labels must keep off: boxes of text, points along drawn lines and along the metal's outline [pixels]."""

    boxes: tuple[Bbox, ...]
    lines: Array
    metal: Array

    def joined_by(self, box: Bbox, leader: Array) -> "_Obstacles":
        """Return the obstacles with one more label and its leader."""
        return _Obstacles((*self.boxes, box), np.concatenate([self.lines, leader]), self.metal)


def label_beside(panel: Panel, texts: Sequence[Callout], outline: Array) -> None:
    """Write each label near its piece, where it clashes least with metal, dimensions and other labels."""
    obstacles = _obstacles(panel, outline)
    # The longest first: it has the fewest places to go to.
    for one in sorted(texts, key=lambda one: -len(one.text)):
        size = _size(panel, one.text)
        best = _best(panel, one, size, obstacles)
        _annotate(panel, one, best)
        obstacles = obstacles.joined_by(_box(panel, best, size), _leader(panel, one, best))


def _best(panel: Panel, one: Callout, size: tuple[float, float], obstacles: _Obstacles) -> _Place:
    """Return the place whose label and leader clash least, the first of equals."""
    best, least = None, math.inf
    for place in _places(panel, one):
        leader = _leader(panel, one, place)
        weight = _clashes(panel, _box(panel, place, size), leader, obstacles)
        if weight < least:  # only then is it worth looking along the metal, which takes longest
            weight += _over_metal(panel, leader, obstacles)
        if weight < least:
            best, least = place, weight
    assert best is not None
    return best


def _obstacles(panel: Panel, outline: Array) -> _Obstacles:
    renderer = _renderer(panel)
    boxes = tuple(Text.get_window_extent(text, renderer) for text in panel.axes.texts if text.get_text())
    metal = panel.axes.transData.transform(outline)
    drawn = [_line_pixels(line) for line in panel.axes.lines]
    return _Obstacles(boxes, np.concatenate([metal, *drawn, *_leader_pixels(panel)]), metal[::2])


def _renderer(panel: Panel) -> RendererAgg:
    canvas = panel.axes.figure.canvas
    assert isinstance(canvas, FigureCanvasAgg)
    renderer = canvas.get_renderer()  # type: ignore[no-untyped-call]  # not annotated by matplotlib
    assert isinstance(renderer, RendererAgg)
    return renderer


def _size(panel: Panel, text: str) -> tuple[float, float]:
    """Width and height of a text [pixels]."""
    sample = panel.axes.text(0.0, 0.0, text)
    width, height = sample.get_window_extent(_renderer(panel)).size
    sample.remove()
    return float(width), float(height)


def _leader_pixels(panel: Panel) -> list[Array]:
    """Points along the leaders already drawn [pixels]."""
    drawn = [text for text in panel.axes.texts if isinstance(text, Annotation) and text.get_text()]
    return [_between(*panel.axes.transData.transform([text.xy, text.get_position()])) for text in drawn]


def _leader(panel: Panel, one: Callout, place: _Place) -> Array:
    """Points along a leader [pixels]."""
    return _between(*panel.axes.transData.transform([(one.r, one.z), place.end]))


def _between(start: Array, end: Array) -> Array:
    return np.asarray(start + np.linspace(0.0, 1.0, 60)[:, None] * (end - start), dtype=np.float64)


def _line_pixels(line: Line2D) -> Array:
    """Points along a drawn line, close together [pixels]."""
    ends = line.get_transform().transform(np.asarray(line.get_xydata(), dtype=np.float64))
    share = np.linspace(0.0, 1.0, 200)[:, None]
    return np.concatenate([a + share * (b - a) for a, b in pairwise(ends)])


def _annotate(panel: Panel, one: Callout, place: _Place) -> None:
    leader = {
        "arrowstyle": "-|>,head_length=0.3,head_width=0.12",
        "color": GUIDE,
        "linewidth": 0.6,
        "shrinkA": 1.0,
        "shrinkB": 0.0,
        "relpos": place.hold,
    }
    across = {0.0: "left", 0.5: "center", 1.0: "right"}[place.hold[0]]
    up = {0.0: "bottom", 0.5: "center", 1.0: "top"}[place.hold[1]]
    panel.axes.annotate(one.text, (one.r, one.z), place.end, ha=across, va=up, zorder=7, arrowprops=leader)


def _places(panel: Panel, one: Callout) -> list[_Place]:
    """Ends of leaders along both normals, the shortest and straightest first."""
    found = []
    for reach in _REACHES:
        for lean in _LEANS:
            for side in (1.0, -1.0):
                angle = one.heading + side * 0.5 * math.pi + lean
                x, y = math.cos(angle), math.sin(angle)
                end = one.r + reach * panel.per_inch * x, one.z + reach * panel.per_inch * y
                if abs(x) > abs(y):
                    found.append(_Place(end, (float(x < 0.0), 0.5)))
                else:
                    found += [_Place(end, (across, float(y < 0.0))) for across in (0.5, 0.0, 1.0)]
    return found


def _box(panel: Panel, place: _Place, size: tuple[float, float]) -> Bbox:
    """The label's box with its clearance [pixels]."""
    clear = _CLEAR * panel.axes.figure.dpi
    low = panel.axes.transData.transform(place.end) - np.array(size) * place.hold
    return Bbox([low - clear, low + np.array(size) + clear])


def _clashes(panel: Panel, box: Bbox, leader: Array, obstacles: _Obstacles) -> int:
    """Weigh what a label and its leader would cover; leaving the axes is the worst, then text on text."""
    frame = panel.axes.get_window_extent()
    outside = not (frame.contains(*box.min) and frame.contains(*box.max))
    on_text = sum(box.overlaps(other) for other in obstacles.boxes)
    through_text = sum(_any_inside(leader, other) for other in obstacles.boxes)
    on_metal, on_line = _any_inside(obstacles.metal, box), _any_inside(obstacles.lines, box)
    steps = int(np.linalg.norm(leader[-1] - leader[0]) / (0.25 * panel.axes.figure.dpi))
    return 1000 * outside + 100 * (on_text + on_metal) + 50 * through_text + 10 * on_line + 2 * steps


def _any_inside(points: Array, box: Bbox) -> bool:
    return bool(np.all((points > box.min) & (points < box.max), axis=1).any())


def _over_metal(panel: Panel, leader: Array, obstacles: _Obstacles) -> bool:
    """Whether a leader passes over metal other than what it points at."""
    dpi = panel.axes.figure.dpi
    away = leader[np.linalg.norm(leader - leader[0], axis=1) > 0.15 * dpi]
    gaps = np.linalg.norm(away[:, None, :] - obstacles.metal, axis=2)
    return bool(gaps.size > 0 and gaps.min() < 0.03 * dpi)
