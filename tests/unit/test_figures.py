"""Figures: each shows what it should, and no text of any touches another or leaves the paper."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from buckle.analysis import run
from buckle.case import Case, read_case
from buckle.results import BIFURCATION, LIMIT_POINT, Event, Outcome
from buckle.sheet.figures import figures, save_figure
from buckle.sheet.path import draw_paths
from buckle.sheet.plot import LOOKS, bar_text
from buckle.sheet.spectrum import draw_spectrum
from buckle.sheet.stress import FACES, draw_stresses, stretches
from tests.unit.made_run import made_case, made_outcomes

DEMO = Path(__file__).parents[2] / "cases" / "demo"
CASE = made_case()
OUTCOMES = made_outcomes(CASE)
TOUCH = 0.5  # pixels at 100 dpi that two boxes may share: boxes are wider than the ink in them


@cache
def _demo(name: str) -> tuple[Case, tuple[Outcome, ...]]:
    case = read_case(DEMO / f"{name}.toml")
    return case, tuple(run(case, kind, estimate_error=False) for kind in case.analyses.run)


def _tube() -> tuple[Case, tuple[Outcome, ...]]:
    case = made_case(
        shape={"family": "cylinder", "radius_mm": 29.0, "length_mm": 90.0, "thickness_mm": 0.1},
        supports={"start_edge": "pinned", "outer_edge": "roller"},
        requirements={"pressure_bar": 0.3, "service_pressure_bar": 0.1},
        analyses={"run": ["LA", "LBA", "GMNA"], "wave_numbers": [0, 12]},
    )
    return case, tuple(run(case, kind, estimate_error=False) for kind in case.analyses.run)


def _texts(figure: Figure) -> list[tuple[str, np.ndarray]]:
    """Every text that is drawn with its box [pixels]: left, bottom, right, top."""
    figure.draw_without_rendering()
    canvas = figure.canvas
    assert isinstance(canvas, FigureCanvasAgg)
    renderer = canvas.get_renderer()
    hidden = set(_labels_out_of_range(figure))
    drawn = [one for one in figure.findobj(Text) if one.get_visible() and one.get_text().strip() and one not in hidden]
    return [(one.get_text(), np.array(one.get_window_extent(renderer).extents)) for one in drawn]


def _labels_out_of_range(figure: Figure) -> Iterator[Text]:
    """Labels of ticks beyond the range of their axis exist but are not drawn."""
    for axis in (axis for axes in figure.axes for axis in (axes.xaxis, axes.yaxis)):
        low, high = sorted(axis.get_view_interval())
        slack = 1e-9 * (high - low)
        for tick in axis.get_major_ticks():
            if not low - slack <= tick.get_loc() <= high + slack:
                yield from (tick.label1, tick.label2)


def _check_legible(figure: Figure) -> None:
    told = list(_texts(figure))
    width, height = figure.get_size_inches() * figure.dpi
    for text, (left, bottom, right, top) in told:
        assert min(left, bottom, width - right, height - top) >= 0, f"{text!r} is cut"
    for (one, a), (other, b) in combinations(told, 2):
        overlap = np.minimum(a[2:], b[2:]) - np.maximum(a[:2], b[:2])
        assert np.min(overlap) <= TOUCH, f"{one!r} touches {other!r}"


def _graphs(case: Case, outcomes: Sequence[Outcome]) -> dict[str, Figure]:
    return {name: figure for name, figure in figures(case, outcomes) if name != "section"}


@pytest.mark.parametrize("name", ["base", "end", "falls_short"])
def test_demonstration_is_legible(name: str) -> None:
    graphs = _graphs(*_demo(name))
    assert set(graphs) == {"stresses", "paths", "critical-pressures", "modes", "deformed"}
    for figure in graphs.values():
        _check_legible(figure)


def test_tube_whose_onset_lies_far_below_its_limit_is_legible() -> None:
    case, outcomes = _tube()
    graphs = _graphs(case, outcomes)
    assert len(graphs["paths"].axes) == 2
    for figure in graphs.values():
        _check_legible(figure)


def test_made_run_is_legible() -> None:
    for figure in _graphs(CASE, OUTCOMES).values():
        _check_legible(figure)


def test_crowded_events_are_told_apart() -> None:
    """Six events within 1 % of each other and of what is required."""
    path = replace(
        OUTCOMES[3],
        limit=Event(LIMIT_POINT, 0.2005),
        highest_limit=Event(LIMIT_POINT, 0.2006),
        bifurcation=Event(BIFURCATION, 0.2, 3),
        deformation_bifurcation=Event(BIFURCATION, 0.1995, 4),
    )
    figure = draw_paths(CASE, [replace(path, kind="GNA"), path])
    _check_legible(figure)
    told = [text for text, _ in _texts(figure)]
    for text in ("2.01  GMNA limit", "2.00  GMNA bifurcation, n = 3", "2.00  GNA deformation theory, n = 4"):
        assert text in told


def test_the_check_of_legibility_can_fail() -> None:
    figure = draw_paths(CASE, OUTCOMES)
    figure.text(0.5, 0.5, "one")
    figure.text(0.5, 0.5, "other")
    with pytest.raises(AssertionError, match="touches"):
        _check_legible(figure)
    other = draw_paths(CASE, OUTCOMES)
    other.text(0.99, 0.5, "a text that leaves the paper")
    with pytest.raises(AssertionError, match="is cut"):
        _check_legible(other)


def test_paths_mark_events_where_they_lie_and_what_is_demanded() -> None:
    axes = draw_paths(CASE, OUTCOMES).axes[0]
    assert axes.get_xlabel() == "travel of the apex with the pressure  [mm]"
    assert axes.get_ylabel() == "pressure  [bar]"
    lines = [line.get_xydata().tolist() for line in axes.lines]
    assert [0.6, 2.5] in [line[0] for line in lines if len(line) == 1]  # GMNA's limit, at the state that found it
    assert [0.3, 2.0] in [line[0] for line in lines if len(line) == 1]  # GMNA's bifurcation
    told = [text.get_text() for text in axes.texts]
    assert {"2.00  required", "1.00  service", "2.50  GMNA limit", "3.00  GNA bifurcation, n = 3"} <= set(told)


def test_paths_show_the_whole_where_nothing_was_found() -> None:
    bare = made_case(requirements={})
    found = replace(OUTCOMES[2], limit=None, bifurcation=None)
    axes = draw_paths(bare, [found]).axes[0]
    assert axes.get_ylim()[1] == pytest.approx(1.12 * 3.75)


def test_spectrum_shows_every_wave_number_and_names_the_lowest() -> None:
    axes = draw_spectrum(CASE, OUTCOMES).axes[0]
    assert axes.lines[0].get_xydata().tolist() == [[0, 5.0], [1, 4.0], [2, 3.75], [3, 4.5]]
    told = [text.get_text() for text in axes.texts]
    assert "3.75  LBA lowest, n = 2" in told
    assert "2.00  GMNA bifurcation, n = 3" in told


def test_stresses_are_told_at_the_required_pressure_unless_a_dead_force_acts() -> None:
    """LA is at 1 MPa and 2 bar is required; beside a dead force the stresses are not in proportion to the pressure."""
    stresses = OUTCOMES[0].stresses
    assert stresses is not None
    scaled = draw_stresses(CASE, stresses).axes[0].lines[2].get_ydata()
    np.testing.assert_allclose(scaled, 0.2 * stresses.meridional[2], rtol=1e-14)
    pressed = replace(CASE, loads=CASE.loads.model_copy(update={"axial_force": -10.0}))
    plain = draw_stresses(pressed, stresses).axes[0].lines[2].get_ydata()
    np.testing.assert_allclose(plain, stresses.meridional[2], rtol=1e-14)


def test_stretches_join_the_pieces_of_a_name() -> None:
    meridian = _demo("base")[0].meridian
    found = stretches(meridian)
    assert found[0].start == 0.0
    assert found[-1].end == meridian.length
    assert all(one.end == other.start and one.name != other.name for one, other in pairwise(found))


def test_looks_differ_without_colour() -> None:
    """In black and white the dash, or on the graph of wave numbers the marker, must tell the kinds apart."""
    paths = [look for kind, look in LOOKS.items() if kind != "LBA"]
    assert len({str(look.dash) for look in paths}) == len(paths)
    assert len({look.marker for look in LOOKS.values()}) == len(LOOKS)
    assert len({str(face["linestyle"]) for face in FACES.values()}) == len(FACES)


@pytest.mark.parametrize(("bar", "text"), [(12.013, "12.01"), (1.0, "1.00"), (0.10951, "0.110"), (0.3, "0.300")])
def test_bar_text(bar: float, text: str) -> None:
    assert bar_text(bar) == text


def test_nothing_is_drawn_of_what_was_not_run() -> None:
    assert [name for name, _ in figures(CASE, ())] == ["section"]
    assert [name for name, _ in figures(CASE, OUTCOMES[:1])] == ["section", "stresses"]


def test_saved_svg_is_the_same_each_time_and_bears_no_date(tmp_path: Path) -> None:
    for name in ("one", "two"):
        save_figure(draw_paths(CASE, OUTCOMES), tmp_path, name)
    one = (tmp_path / "one.svg").read_bytes()
    assert one == (tmp_path / "two.svg").read_bytes()
    assert b"dc:date" not in one
    assert (tmp_path / "one.png").read_bytes().startswith(b"\x89PNG")
