"""Waves that grow: load against their size for every deviation, and the body with its waves at three states."""

from collections.abc import Iterator, Sequence

import matplotlib
import numpy as np
from matplotlib.figure import Figure

from buckle.case import Case
from buckle.report.figures.labels import length_text, load_label, load_number, load_text, show_length, shown_load
from buckle.report.figures.plot import LOOKS, Named, add_axes, add_title, name_values, new_figure
from buckle.report.figures.style import GUIDE, STYLE
from buckle.report.figures.surface import View, add_patches, add_scale, looked_at
from buckle.results import Array, Outcome, WavePath, WaveShape
from buckle.units import RECORDED, Units

SIZE = 0.06  # largest waves as drawn, as a part of the largest radius
ACTIVE = 0.05  # what waves less than this part of the largest wave may be left out of sight
ALONG, STILL = 64, 16  # patches along the meridian where there are waves, and where there are none
PER_WAVE = 18  # patches around a wave
_WIDE, _GAP = 4.2, 0.35  # in, the picture of one state, and between two of them
_DASHES = ("-", (0, (6, 2)), (0, (3, 2)), (0, (1, 1.5)))


def draw_waves(case: Case, outcomes: Sequence[Outcome], units: Units = RECORDED) -> Figure:
    """Return the load against the size of the waves for every deviation, with onset and limit of the perfect body."""
    waved = next(outcome for outcome in outcomes if outcome.waves)
    perfect = next((outcome for outcome in outcomes if outcome.kind == waved.kind.replace("I", "")), None)
    load, number = case.loads.increasing, waved.waves[0].wave_number
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(7.6, 4.2)
        words = f"{waved.kind}: {load.words} against the waves that have grown, n = {number}, by the deviation before"
        add_title(figure, case.title, words)
        axes = add_axes(figure, (0.65, 0.55, 4.55, 3.5))
        named = []
        for path, dash in zip(waved.waves, _dashes(len(waved.waves)), strict=False):
            shown = np.array([shown_load(size, load, units) for size in path.load])
            label = length_text(path.deviation, units)
            axes.plot(path.waves, shown, color=LOOKS[waved.kind].color, linestyle=dash, linewidth=1.3, label=label)
            if path.peak is not None:
                text = f"{load_number(path.peak, load, units)}  from {length_text(path.deviation, units)}"
                named.append(Named(shown_load(path.peak, load, units), text, path.peak_waves))
        named += _of_perfect(perfect, units)
        axes.set_xlim(0.0, 1.02 * max(float(np.max(path.waves)) for path in waved.waves))
        axes.set_ylim(0.0, 1.08 * max(one.value for one in named))
        show_length(axes.xaxis, "largest movement that is not the same all around", units)
        axes.set_ylabel(load_label(load, units))
        name_values(axes, named)
        axes.legend(loc="lower right", title="deviation before", frameon=False, handlelength=3.2)
    return figure


def _dashes(count: int) -> list[object]:
    return [_DASHES[at % len(_DASHES)] for at in range(count)]


def _of_perfect(perfect: Outcome | None, units: Units) -> Iterator[Named]:
    """Yield what happens to the perfect body."""
    if perfect is None:
        return
    events = (
        (perfect.bifurcation, "onset of waves"),
        (perfect.deformation_bifurcation, "onset by deformation theory"),
        (perfect.axisymmetric, "without waves"),
    )
    for event, words in events:
        if event is not None:
            number = load_number(event.load, event.increasing, units)
            yield Named(shown_load(event.load, event.increasing, units), f"{number}  {words}", 0.0)


def draw_wave_shapes(case: Case, outcomes: Sequence[Outcome], units: Units = RECORDED) -> Figure:
    """Return the body with its waves, enlarged alike: at their onset, at the highest load and beyond."""
    waved = next(outcome for outcome in outcomes if outcome.waves)
    path = next((each for each in waved.waves[1:] if each.peak is not None), waved.waves[0])
    factor = _factor(path)
    views = [_seen(case, path, shape, factor) for shape in path.shapes]
    patches = [view.patches for view in views]
    low = np.min([each[:, :, :2].min(axis=(0, 1)) for each in patches], axis=0)
    high = np.max([each[:, :, :2].max(axis=(0, 1)) for each in patches], axis=0)
    per_inch = float(high[0] - low[0]) / _WIDE
    height = float(high[1] - low[1]) / per_inch
    wide, tall = 0.4 + _WIDE, 1.0 + (height + _GAP) * len(views)
    with matplotlib.rc_context(dict(STYLE)):
        figure = new_figure(wide, tall)
        about = f"from {length_text(path.deviation, units)} before; waves enlarged {factor:g} times"
        add_title(figure, case.title, f"{waved.kind}, n = {path.wave_number} {about}")
        for at, (each, shape) in enumerate(zip(patches, path.shapes, strict=True)):
            bottom = tall - 0.5 - (at + 1) * (height + _GAP)
            axes = figure.add_axes((0.2 / wide, bottom / tall, _WIDE / wide, height / tall))
            axes.set_xlim(low[0], high[0])
            axes.set_ylim(low[1], high[1])
            add_patches(axes, each)
            words = f"{shape.name}, {load_text(shape, units)}"
            figure.text(0.2 / wide, (bottom + height + 0.05) / tall, words, color=GUIDE, va="bottom")
        add_scale(figure, per_inch=per_inch, units=units)
    return figure


def _factor(path: WavePath) -> float:
    """A round factor, the same for all states, by which the largest waves become visible."""
    wanted = SIZE * float(np.max(path.shapes[0].r)) / max(float(np.max(_size(shape))) for shape in path.shapes)
    steps = np.array([1.0, 2.0, 5.0, 10.0]) * 10.0 ** np.floor(np.log10(wanted))
    return float(np.max(steps[steps <= wanted]))


def _size(shape: WaveShape) -> Array:
    """Largest waves at each station [mm], roughly."""
    return np.sqrt(np.sum(shape.u**2 + shape.v**2 + shape.w**2, axis=0))


def _seen(case: Case, path: WavePath, shape: WaveShape, factor: float) -> View:
    """Corners of the body out to where its waves end, seen by the eye."""
    size = _size(path.shapes[-1])
    active = np.flatnonzero(size >= ACTIVE * np.max(size))
    first, last = shape.s[max(int(active[0]) - 1, 0)], shape.s[min(int(active[-1]) + 1, len(size) - 1)]
    still = np.linspace(shape.s[0], first, STILL, endpoint=False) if first > shape.s[0] else shape.s[:0]
    at = np.concatenate([still, np.linspace(first, last, ALONG + 1)])
    theta = np.linspace(0.0, 2.0 * np.pi, PER_WAVE * shape.wave_number + 1)
    moved = [np.interp(at, shape.s, mean)[:, None] + 0.0 * theta for mean in (shape.r, 0.0 * shape.r, shape.z)]
    for direction, amplitudes in enumerate((shape.u, shape.v, shape.w)):
        for k, amplitude in enumerate(amplitudes, start=1):
            vary = np.sin if direction == 1 else np.cos
            own = np.interp(at, shape.s, amplitude)[:, None]
            moved[direction] = moved[direction] + factor * own * vary(k * shape.wave_number * theta)
    return looked_at(case, theta, (moved[0], moved[1], moved[2]))
