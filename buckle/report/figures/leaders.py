"""Labels with leaders that touch neither each other nor the metal."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg, RendererAgg
from matplotlib.lines import Line2D
from matplotlib.text import Annotation, Text
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
class _Spot:
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
        _annotate(panel, one, _Spot((edges[1] if left else edges[0], float(height)), (float(left), 0.5)))


def _free_stretch(panel: Panel, edges: tuple[float, float], outline: Array) -> tuple[float, float]:
    """The larger of the stretches of a column below and above the metal that passes through it [mm]."""
    _, bottom, _, top = panel.frame
    pad = 0.2 * panel.per_inch
    inside = (outline[:, 0] > edges[0]) & (outline[:, 0] < edges[1]) & (outline[:, 1] > bottom) & (outline[:, 1] < top)
    if not inside.any():
        return bottom + pad, top - pad
    low, high = float(outline[inside, 1].min()), float(outline[inside, 1].max())
    return (bottom + pad, low - pad) if low - bottom > top - high else (high + pad, top - pad)


@dataclass(frozen=True, eq=False)
class _Obstacles:
    """What labels must keep off [pixels]: boxes of text (boxes, 2, 2), points along lines and the metal (points, 2)."""

    boxes: Array
    lines: Array
    metal: Array

    def joined_by(self, box: Array, leader: Array) -> "_Obstacles":
        """Return the obstacles with one more label and its leader."""
        return _Obstacles(np.concatenate([self.boxes, box[None]]), np.concatenate([self.lines, leader]), self.metal)


def label_beside(panel: Panel, texts: Sequence[Callout], outline: Array) -> None:
    """Write each label near its piece, where it clashes least with metal, dimensions and other labels."""
    obstacles = _obstacles(panel, outline)
    # The longest first: it has the fewest places to go to.
    for one in sorted(texts, key=lambda one: -len(one.text)):
        best, box, leader = _best(panel, one, obstacles)
        _annotate(panel, one, best)
        obstacles = obstacles.joined_by(box, leader)


def _best(panel: Panel, one: Callout, obstacles: _Obstacles) -> tuple[_Spot, Array, Array]:
    """Return the place whose label and leader clash least, the first of equals, with its box and leader [pixels].

    Places are looked at closely in the order of what is known of all of them at once, until no other can be better.
    """
    spots = _spots(panel, one)
    ends = panel.axes.transData.transform([spot.end for spot in spots])
    start = panel.axes.transData.transform((one.r, one.z))
    boxes = _boxes(panel, ends, np.array([spot.hold for spot in spots]), _size(panel, one.text))
    bounds = _seen_at_once(panel, boxes, np.linalg.norm(ends - start, axis=1), obstacles)
    least, best = math.inf, 0
    for i in np.argsort(bounds, kind="stable"):
        if bounds[i] > least:
            break
        weight = bounds[i] + _clashes(panel, boxes[i], _between(start, ends[i]), obstacles)
        if (weight, i) < (least, best):
            least, best = weight, int(i)
    return spots[best], boxes[best], _between(start, ends[best])


def _obstacles(panel: Panel, outline: Array) -> _Obstacles:
    renderer = _renderer(panel)
    boxes = [Text.get_window_extent(text, renderer).get_points() for text in panel.axes.texts if text.get_text()]
    metal = panel.axes.transData.transform(outline)
    lines = [_line_pixels(line) for line in panel.axes.lines]
    points = np.concatenate([metal, *lines, *_leader_pixels(panel)])
    return _Obstacles(np.array(boxes).reshape(-1, 2, 2), points, metal[::2])


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
    leading = [text for text in panel.axes.texts if isinstance(text, Annotation) and text.get_text()]
    return [_between(*panel.axes.transData.transform([text.xy, text.get_position()])) for text in leading]


def _between(start: Array, end: Array) -> Array:
    return np.asarray(start + np.linspace(0.0, 1.0, 60)[:, None] * (end - start), dtype=np.float64)


def _line_pixels(line: Line2D) -> Array:
    """Points along a drawn line, close together [pixels]."""
    ends = line.get_transform().transform(np.asarray(line.get_xydata(), dtype=np.float64))
    share = np.linspace(0.0, 1.0, 200)[:, None]
    return np.concatenate([a + share * (b - a) for a, b in pairwise(ends)])


def _annotate(panel: Panel, one: Callout, spot: _Spot) -> None:
    leader = {
        "arrowstyle": "-|>,head_length=0.3,head_width=0.12",
        "color": GUIDE,
        "linewidth": 0.6,
        "shrinkA": 1.0,
        "shrinkB": 0.0,
        "relpos": spot.hold,
    }
    across = {0.0: "left", 0.5: "center", 1.0: "right"}[spot.hold[0]]
    up = {0.0: "bottom", 0.5: "center", 1.0: "top"}[spot.hold[1]]
    panel.axes.annotate(one.text, (one.r, one.z), spot.end, ha=across, va=up, zorder=7, arrowprops=leader)


def _spots(panel: Panel, one: Callout) -> list[_Spot]:
    """Ends of leaders along both normals, the shortest and straightest first."""
    found = []
    for reach in _REACHES:
        for lean in _LEANS:
            for side in (1.0, -1.0):
                angle = one.heading + side * 0.5 * math.pi + lean
                x, y = math.cos(angle), math.sin(angle)
                end = one.r + reach * panel.per_inch * x, one.z + reach * panel.per_inch * y
                if abs(x) > abs(y):
                    found.append(_Spot(end, (float(x < 0.0), 0.5)))
                else:
                    found += [_Spot(end, (across, float(y < 0.0))) for across in (0.5, 0.0, 1.0)]
    return found


def _boxes(panel: Panel, ends: Array, holds: Array, size: tuple[float, float]) -> Array:
    """The boxes (places, 2, 2) of a label held at the ends of leaders, with their clearance [pixels]."""
    clear = _CLEAR * panel.axes.figure.dpi
    low = ends - np.array(size) * holds
    return np.stack([low - clear, low + size + clear], axis=1)


def _seen_at_once(panel: Panel, boxes: Array, lengths: Array, obstacles: _Obstacles) -> Array:
    """Weigh what is seen of all places: leaving the axes is the worst, then text on text, then a long leader."""
    frame = panel.axes.get_window_extent()
    outside = np.any((boxes[:, 0] < frame.min) | (boxes[:, 1] > frame.max), axis=1)
    apart = (boxes[:, None, 0] > obstacles.boxes[:, 1]) | (boxes[:, None, 1] < obstacles.boxes[:, 0])
    on_text = np.sum(~np.any(apart, axis=2), axis=1)
    steps = (lengths / (0.25 * panel.axes.figure.dpi)).astype(int)
    return np.asarray(1000.0 * outside + 100.0 * on_text + 2.0 * steps)


def _clashes(panel: Panel, box: Array, leader: Array, obstacles: _Obstacles) -> float:
    """Weigh what a label covers and what its leader runs through."""
    on_metal, on_line = _any_inside(obstacles.metal, box), _any_inside(obstacles.lines, box)
    through_text = np.sum(_any_inside(leader, obstacles.boxes))
    weight = 100.0 * on_metal + 50.0 * through_text + 10.0 * on_line
    return float(weight + _over_metal(panel, leader, obstacles))


def _any_inside(points: Array, boxes: Array) -> NDArray[np.bool_]:
    """Whether any of the points (points, 2) lies in each of the boxes (..., 2, 2)."""
    low, high = boxes[..., None, 0, :], boxes[..., None, 1, :]
    return np.asarray(np.any(np.all((points > low) & (points < high), axis=-1), axis=-1))


def _over_metal(panel: Panel, leader: Array, obstacles: _Obstacles) -> bool:
    """Whether a leader passes over metal other than what it points at."""
    near = 0.03 * panel.axes.figure.dpi
    away = leader[np.linalg.norm(leader - leader[0], axis=1) > 5.0 * near]
    if away.size == 0:
        return False
    around = np.all((obstacles.metal > away.min(axis=0) - near) & (obstacles.metal < away.max(axis=0) + near), axis=1)
    gaps = np.linalg.norm(away[:, None, :] - obstacles.metal[around], axis=2)
    return bool(gaps.size > 0 and gaps.min() < near)
