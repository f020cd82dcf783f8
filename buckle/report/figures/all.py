"""All figures of a run by name, and the only place that saves any."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from pathlib import Path

import matplotlib
from matplotlib.figure import Figure

from buckle.case import Case
from buckle.margins.judge import FIDELITY
from buckle.record.states import deformed_states
from buckle.report.figures.deformed import draw_deformed
from buckle.report.figures.deviation import draw_deviation, draw_off_shape
from buckle.report.figures.modes import draw_modes
from buckle.report.figures.path import draw_paths
from buckle.report.figures.plastic import draw_plastic_strain, has_yielded
from buckle.report.figures.section import draw_section
from buckle.report.figures.spectrum import draw_spectrum
from buckle.report.figures.stress import draw_stresses
from buckle.report.figures.style import STYLE
from buckle.report.figures.waves import draw_wave_shapes, draw_waves
from buckle.results import Outcome
from buckle.units import RECORDED, Units

SVG = "svg"
"""The format of pictures unless another is asked for: sharp at every size, and what the margin sheet takes in."""
DPI = 150  # of a PNG, and of what an SVG holds as points of a screen


def figures(case: Case, outcomes: Sequence[Outcome], units: Units = RECORDED) -> Iterator[tuple[str, Figure]]:
    """Yield every figure that the outcomes have something to show for, with its name."""
    yield "section", draw_section(case.meridian, title=case.title, density=case.material.density, units=units)
    if case.deviated:
        yield "deviation", draw_deviation(case, units)
    off_shapes = {outcome.kind: outcome.off_shape for outcome in outcomes if outcome.off_shape is not None}
    if off_shapes:
        kind = next(each for each in FIDELITY if each in off_shapes)  # one picture: of the analysis that decides
        yield "deviation", draw_off_shape(case, kind, off_shapes[kind], units)
    for outcome in outcomes:
        if outcome.stresses is not None:
            yield "stresses", draw_stresses(case, outcome.stresses, units)
    for name, (shows, draw) in _GRAPHS.items():
        if any(shows(outcome) for outcome in outcomes):
            yield name, draw(case, outcomes, units)


def _has_path(outcome: Outcome) -> bool:
    return outcome.path is not None


def _has_waves(outcome: Outcome) -> bool:
    return bool(outcome.critical) or outcome.bifurcation is not None


def _has_modes(outcome: Outcome) -> bool:
    return bool(outcome.modes)


def _has_shape(outcome: Outcome) -> bool:
    return len(deformed_states(outcome)) > 1


def _has_wave_paths(outcome: Outcome) -> bool:
    return bool(outcome.waves)


_Graph = tuple[Callable[[Outcome], bool], Callable[[Case, Sequence[Outcome], Units], Figure]]
_GRAPHS: Mapping[str, _Graph] = {
    "paths": (_has_path, draw_paths),
    "plastic-strain": (has_yielded, draw_plastic_strain),
    "critical-pressures": (_has_waves, draw_spectrum),
    "modes": (_has_modes, draw_modes),
    "deformed": (_has_shape, draw_deformed),
    "waves": (_has_wave_paths, draw_waves),
    "wave-shapes": (_has_wave_paths, draw_wave_shapes),
}


def save_figure(
    figure: Figure, directory: Path, name: str, formats: Sequence[str] = (SVG,), units: Units = RECORDED
) -> None:
    """Save a figure as NAME.FORMAT in each format, the same bytes each time, which tell its units. Raises OSError."""
    with matplotlib.rc_context(dict(STYLE)):
        for each in formats:
            metadata = {"Description": units.in_words} | ({"Date": None} if each == SVG else {})
            figure.savefig(directory / f"{name}.{each}", dpi=DPI, metadata=metadata)
