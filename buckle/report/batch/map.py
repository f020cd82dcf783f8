"""Maps of a batch over two parameters: governing over required pressure, or the pressure if none is required."""

from collections.abc import Sequence
from dataclasses import dataclass

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from matplotlib.tri import Triangulation
from numpy.typing import NDArray

from buckle.batch.numbers import Array, Batch
from buckle.report.batch.labels import bare_label, label
from buckle.report.batch.notes import add_note, following_words
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import GUIDE, STYLE

LEVELS = 10
MOST = 6  # maps side by side and below one another that can still be read
_PITCH = (3.5, 3.1)  # in from one of several maps to the next
_LARGE, _SMALL = (5.6, 4.8), (2.75, 2.3)  # in, the figure of one map; one of several


@dataclass(frozen=True, eq=False)
class _Part:
    """The rows of a batch that have the same texts, and these in words."""

    words: str
    rows: NDArray[np.int_]


def can_map(batch: Batch) -> bool:
    """Tell whether a batch has two parameters that are numbers, and points that do not lie on one line."""
    return len(batch.names) == 2 and bool(_parts(batch))


def draw_map(batch: Batch) -> Figure:
    """Return contours over the two parameters, a map for each combination of texts; the line of 1 is the strongest."""
    parts = _parts(batch)
    shown = batch.load if batch.demand is None else batch.load / batch.demand
    what = label(batch.load_name) if batch.demand is None else f"governing / required {batch.load_words}"
    mapped = parts[:MOST]
    levels = np.asarray(MaxNLocator(LEVELS).tick_values(*_range(shown, mapped)))
    with matplotlib.rc_context(dict(STYLE)):
        figure, panels = _panels(len(mapped))
        add_title(figure, batch.title, f"Contours of the {what}; dots are the designs")
        for axes, part in zip(panels, mapped, strict=True):
            _draw(axes, batch.values[part.rows], shown[part.rows], levels, is_reserve=batch.demand is not None)
            axes.set_title(part.words, loc="left", fontsize=7.5)
            axes.set_xlabel(label(batch.names[0]))
            axes.set_ylabel(label(batch.names[1]))
        add_note(figure, [*following_words(batch), *_left_out(batch, parts)])
    return figure


def _parts(batch: Batch) -> list[_Part]:
    """Return the rows by their texts, those that contours can be drawn through, in the order in which they come."""
    found: dict[tuple[str, ...], list[int]] = {}
    for row, texts in enumerate(zip(*batch.texts.values(), strict=True) if batch.texts else [()] * len(batch.load)):
        found.setdefault(texts, []).append(row)
    parts = [_Part(", ".join(texts), np.array(rows)) for texts, rows in found.items()]
    return [part for part in parts if _spans(batch.values[part.rows])]


def _spans(values: Array) -> bool:
    spread = np.ptp(values, axis=0)
    if len(values) < 4 or np.any(spread == 0.0):
        return False
    return bool(np.linalg.matrix_rank((values - values.mean(axis=0)) / spread, tol=1e-6) == 2)


def _range(shown: Array, parts: Sequence[_Part]) -> tuple[float, float]:
    """Least and largest value of all maps, so that a grey means the same in each."""
    values = np.concatenate([shown[part.rows] for part in parts])
    return float(values.min()), float(values.max())


def _left_out(batch: Batch, parts: Sequence[_Part]) -> list[str]:
    """Say which designs no map shows."""
    missing = len(batch.load) - sum(len(part.rows) for part in parts[:MOST])
    names = " and ".join(map(bare_label, batch.texts))
    return [f"{missing} designs in other combinations of {names} are left out"] if missing else []


def _panels(count: int) -> tuple[Figure, list[Axes]]:
    if count == 1:
        figure = new_figure(*_LARGE)
        return figure, [add_axes(figure, (0.75, 0.8, _LARGE[0] - 0.3, _LARGE[1] - 0.65))]
    rows, columns = -(-count // 2), 2
    height = 0.95 + _PITCH[1] * rows
    figure = new_figure(0.3 + _PITCH[0] * columns, height)
    corners = [(0.75 + _PITCH[0] * (i % columns), height - 0.85 - _PITCH[1] * (i // columns)) for i in range(count)]
    return figure, [add_axes(figure, (left, top - _SMALL[1], left + _SMALL[0], top)) for left, top in corners]


def _draw(axes: Axes, values: Array, shown: Array, levels: Array, *, is_reserve: bool) -> None:
    x, y = values.T
    mesh = _triangles(values)
    axes.tricontourf(mesh, shown, levels=levels, cmap="Greys", alpha=0.45, zorder=1)
    lines = axes.tricontour(mesh, shown, levels=levels, colors="0.35", linewidths=0.7, zorder=2)
    axes.clabel(lines, fontsize=7, fmt="%g")
    if is_reserve and shown.min() < 1.0 < shown.max():
        strong = axes.tricontour(mesh, shown, levels=[1.0], colors="#D55E00", linewidths=2.0, zorder=3)
        axes.clabel(strong, fontsize=8, fmt="%g")
    axes.plot(x, y, "o", color=GUIDE, markersize=2.5, zorder=4, clip_on=False)


def _triangles(values: Array) -> Triangulation:
    """Return triangles between points, near ones joined: seen with both axes as long, so that no unit decides."""
    alike = (values - values.min(axis=0)) / np.ptp(values, axis=0)
    near = Triangulation(alike[:, 0], alike[:, 1]).triangles
    return Triangulation(values[:, 0], values[:, 1], near)
