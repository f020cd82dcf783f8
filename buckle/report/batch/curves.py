"""Response curves of a batch: the governing pressure against each parameter, a number or a text."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import matplotlib
import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import NDArray

from buckle.batch.numbers import Array, Batch, strongest
from buckle.marked import four_digits
from buckle.report.batch.labels import bare_label, label
from buckle.report.batch.notes import add_note, following_words
from buckle.report.figures.labels import digits
from buckle.report.figures.panel import spread
from buckle.report.figures.plot import add_axes, add_title, new_figure
from buckle.report.figures.style import GUIDE, STYLE

ACROSS = 3  # graphs in a row
PITCH = (3.0, 2.6)  # in from one graph to the next
POINT = "#0072B2"
FEW, PICTURE = 500, 2000  # points
MOST = 12  # graphs
LINES = 60  # most lines that a graph can bear; with more only the points are drawn
NAMED = 8  # most lines whose ends are named
LONGEST = 24  # characters of a text beside an axis
_LETTER, _ROW = 0.055, 0.12  # in, a letter and a row of the smallest text
_NUMBER = 6  # letters of a number


@dataclass(frozen=True, eq=False)
class _Lines:
    """Designs alike in all but one parameter: row numbers in the order of it, and whether they are too many to draw."""

    rows: Sequence[NDArray[np.int_]]

    @property
    def too_many(self) -> bool:
        """Whether nobody could tell them apart."""
        return len(self.rows) > LINES


def draw_responses(batch: Batch) -> Figure:
    """Return a graph for each parameter; lines join designs that differ in nothing else, which the title says."""
    names = _shown(batch)
    lines = {name: _Lines(_alike(batch, name)) for name in names}
    below, beside = _room_below(batch), _room_beside(batch)
    across = PITCH[0] + beside
    rows, columns = -(-len(names) // ACROSS), min(ACROSS, len(names))
    pitch = PITCH[1] + below
    height = 0.95 + pitch * rows
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(max(0.4 + across * columns, 5.0), height)
        add_title(figure, batch.title, f"Governing {batch.load_words} against each parameter{_joined(lines)}")
        for at, name in enumerate(names):
            left, top = 0.65 + across * (at % ACROSS), height - 0.65 - pitch * (at // ACROSS)
            axes = add_axes(figure, (left, top - PITCH[1] + 0.55, left + PITCH[0] - 0.9, top))
            _draw(axes, batch, name, lines[name])
            axes.set_xlabel(label(name))
            axes.set_ylabel(label(batch.load_name) if at % ACROSS == 0 else "")
            draw_demand(axes, batch)
        add_note(figure, [*_weaker_words(batch, names), *following_words(batch), *_line_notes(batch, lines)])
    return figure


def _shown(batch: Batch) -> list[str]:
    """Return the parameters that have a graph: all, or texts and the numbers that move the pressure most."""
    texts = list(batch.texts)[:MOST]
    return [*strongest(batch, MOST - len(texts)), *texts]


def _weaker_words(batch: Batch, names: Sequence[str]) -> list[str]:
    weaker = len(batch.parameters) - len(names)
    return [f"{weaker} parameters that move the pressure less have no graph"] if weaker else []


def _joined(lines: dict[str, _Lines]) -> str:
    """Say what lines join; where there are none, why."""
    if any(each.rows and not each.too_many for each in lines.values()):
        return "; lines join designs alike in all others"
    return "" if any(each.too_many for each in lines.values()) else "; no two designs differ in one alone"


def _line_notes(batch: Batch, lines: dict[str, _Lines]) -> list[str]:
    crowded = [bare_label(name) for name, each in lines.items() if each.too_many]
    notes = [f"against {', '.join(crowded)} more than {LINES} lines are left out"] if crowded else []
    if len(batch.parameters) == 2 and any(each.rows and len(each.rows) <= NAMED for each in lines.values()):
        notes.append("beside the ends of lines stands what they have of the other parameter")
    return notes


def _room_below(batch: Batch) -> float:
    """Room [in] that the longest text below an axis takes upright beyond that of a number."""
    return max((_LETTER * min(len(each), LONGEST) for column in batch.texts.values() for each in column), default=0.0)


def _room_beside(batch: Batch) -> float:
    """Room [in] that the longest text beside the end of a line takes beyond that of a number."""
    texts = [each for column in batch.texts.values() for each in column] if len(batch.parameters) == 2 else []
    return max((_LETTER * (min(len(each), LONGEST) - _NUMBER) for each in texts), default=0.0)


def _draw(axes: Axes, batch: Batch, name: str, lines: _Lines) -> None:
    x = _along(batch, name)
    if name in batch.texts:
        texts = [_short(text) for text in dict.fromkeys(batch.texts[name])]
        axes.set_xticks(range(len(texts)), texts, rotation=90.0)
        axes.set_xlim(-0.5, len(texts) - 0.5)
    if not lines.too_many:
        for rows in lines.rows:
            axes.plot(x[rows], batch.load[rows], color="0.6", linewidth=0.8, zorder=2)
    axes.plot(x, batch.load, "o", **dots(len(x)), color=POINT, alpha=0.8, zorder=3)
    if len(batch.parameters) == 2 and len(lines.rows) <= NAMED:
        other = next(each for each in batch.parameters if each != name)
        last = [int(rows[-1]) for rows in lines.rows]
        _name_ends(axes, [_Ending(float(batch.load[row]), _one_of(batch, other, row)) for row in last])


def _along(batch: Batch, name: str) -> Array:
    """Return where the rows stand along a parameter; texts stand side by side in the order in which they come."""
    if name in batch.names:
        return batch.values[:, batch.names.index(name)]
    order = {text: at for at, text in enumerate(dict.fromkeys(batch.texts[name]))}
    return np.array([float(order[text]) for text in batch.texts[name]])


def _short(text: str) -> str:
    return text if len(text) <= LONGEST else f"...{text[3 - LONGEST :]}"


@dataclass(frozen=True)
class _Ending:
    """The pressure at which a line ends, and what to write there."""

    pressure: float
    text: str


def _one_of(batch: Batch, name: str, row: int) -> str:
    return (
        _short(batch.texts[name][row]) if name in batch.texts else f"{batch.values[row, batch.names.index(name)]:.5g}"
    )


def _name_ends(axes: Axes, ends: Sequence[_Ending]) -> None:
    """Write beside the right ends of lines what they stand for, no two over one another."""
    low, high = axes.get_ylim()
    tall = float(axes.get_position().height * axes.figure.get_size_inches()[1])  # type: ignore[union-attr]
    gap = _ROW * (high - low) / tall
    for each, at in zip(ends, spread(np.array([each.pressure for each in ends]), gap, low, high), strict=True):
        axes.annotate(
            each.text,
            (1.0, float(at)),
            (3, 0),
            xycoords=("axes fraction", "data"),
            textcoords="offset points",
            va="center",
            fontsize=6.5,
            color=GUIDE,
        )


def dots(count: int) -> dict[str, Any]:
    """Return the size of that many points; so many that nobody tells them apart are drawn as one picture."""
    return {"markersize": 3.0 if count < FEW else 1.5, "rasterized": count > PICTURE}


def _alike(batch: Batch, name: str) -> list[NDArray[np.int_]]:
    """Return the row numbers, more than one each time, that are alike in all but a parameter, in the order of it."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for row, kind in enumerate(batch.kinds(but=name)):
        groups.setdefault(kind, []).append(row)
    along = _along(batch, name)
    return [np.array(rows)[np.argsort(along[rows], kind="stable")] for rows in groups.values() if len(rows) > 1]


def draw_demand(axes: Axes, batch: Batch) -> None:
    """Draw and name the required load across a graph."""
    if batch.demand is None:
        return
    axes.axhline(batch.demand, color=GUIDE, linewidth=1.0, linestyle=(0, (8, 4)), zorder=1.5)
    axes.annotate(
        f"{load_digits(batch.demand, batch)} required",
        (1.0, batch.demand),
        (-2, 2),
        xycoords=("axes fraction", "data"),
        textcoords="offset points",
        ha="right",
        fontsize=6.5,
        color=GUIDE,
    )


def load_digits(load: float, batch: Batch) -> str:
    """Return a load in a reader's unit in as many digits as a graph gives it, without its unit."""
    return digits(load, batch.units) if batch.of_load.is_pressure else four_digits(load)
