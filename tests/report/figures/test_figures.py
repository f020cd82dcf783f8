"""Figures: each shows what it should, and no text of any touches another or leaves the paper."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from buckle.case import Case, read_case
from buckle.record.quantities import record
from buckle.report.figures.all import figures, save_figure
from buckle.report.figures.along import FACES, stretches
from buckle.report.figures.deformed import LINES, WORDS, draw_deformed
from buckle.report.figures.deviation import draw_off_shape
from buckle.report.figures.labels import digits
from buckle.report.figures.path import END, FAINT, draw_paths
from buckle.report.figures.plastic import draw_plastic_strain
from buckle.report.figures.plot import LOOKS
from buckle.report.figures.sheet import sheet_figures
from buckle.report.figures.spectrum import draw_spectrum
from buckle.report.figures.stress import draw_stresses
from buckle.results import BIFURCATION, GROWTH_CEILING, LIMIT_POINT, Event, OffShape, Outcome
from buckle.units import RECORDED, Units
from tests.helpers.made_run import made_case, made_collapse, made_outcomes
from tests.helpers.paths import ROOT

DEMO = ROOT / "cases" / "demo"
CASE = made_case()
OUTCOMES = made_outcomes(CASE)
TOUCH = 0.5  # pixels at 100 dpi that two boxes may share: boxes are wider than the ink in them


def _demo(name: str) -> tuple[Case, tuple[Outcome, ...]]:
    """A case of the demonstration with outcomes made up for it, near what it requires."""
    case = read_case(DEMO / f"{name}.toml")
    scale = case.requirements.pressure / 0.2
    linear, waves, *paths = made_outcomes(case, scale)
    return case, (linear, waves, made_collapse(case, scale), *paths)


def _tube() -> tuple[Case, tuple[Outcome, ...]]:
    """A tube whose waves begin far below its limit."""
    case = made_case(
        shape={"family": "cylinder", "radius_mm": 29.0, "length_mm": 90.0, "thickness_mm": 0.1},
        supports={"start_edge": "pinned", "outer_edge": "roller"},
        requirements={"pressure_bar": 0.3, "service_pressure_bar": 0.1},
    )
    linear, waves, _, path = made_outcomes(case)
    return case, (linear, waves, replace(path, bifurcation=Event(BIFURCATION, 0.031, 3), highest_limit=None))


def _texts(figure: Figure) -> list[tuple[str, np.ndarray]]:
    """Every text that is drawn with its box [pixels]: left, bottom, right, top."""
    figure.draw_without_rendering()
    canvas = figure.canvas
    assert isinstance(canvas, FigureCanvasAgg)
    renderer = canvas.get_renderer()
    hidden = set(_labels_out_of_range(figure))
    visible = [
        one for one in figure.findobj(Text) if one.get_visible() and one.get_text().strip() and one not in hidden
    ]
    return [(one.get_text(), np.array(one.get_window_extent(renderer).extents)) for one in visible]


def _labels_out_of_range(figure: Figure) -> Iterator[Text]:
    """Labels of ticks beyond the range of their axis exist but are not drawn."""
    for axis in (axis for axes in figure.axes for axis in (axes.xaxis, axes.yaxis)):
        low, high = sorted(axis.get_view_interval())
        slack = 1e-9 * (high - low)
        for tick in axis.get_major_ticks():
            if not low - slack <= tick.get_loc() <= high + slack:
                yield from (tick.label1, tick.label2)


def _check_legible(figure: Figure) -> None:
    texts = list(_texts(figure))
    width, height = figure.get_size_inches() * figure.dpi
    for text, (left, bottom, right, top) in texts:
        assert min(left, bottom, width - right, height - top) >= 0, f"{text!r} is cut"
    for (one, a), (other, b) in combinations(texts, 2):
        overlap = np.minimum(a[2:], b[2:]) - np.maximum(a[:2], b[:2])
        assert np.min(overlap) <= TOUCH, f"{one!r} touches {other!r}"


def _graphs(case: Case, outcomes: Sequence[Outcome]) -> dict[str, Figure]:
    return {name: figure for name, figure in figures(case, outcomes) if name != "section"}


@pytest.mark.parametrize("name", ["base", "end"])
def test_demonstration_is_legible(name: str) -> None:
    graphs = _graphs(*_demo(name))
    assert set(graphs) == {"stresses", "plastic-strain", "paths", "critical-pressures", "modes", "deformed"}
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


def test_crowded_events_are_kept_apart() -> None:
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
    texts = [text for text, _ in _texts(figure)]
    for text in ("2.01  GMNA limit", "2.00  GMNA bifurcation, n = 3", "2.00  GNA deformation theory, n = 4"):
        assert text in texts


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
    texts = [text.get_text() for text in axes.texts]
    assert {"2.00  required", "1.00  service", "2.50  GMNA limit", "3.00  GNA bifurcation, n = 3"} <= set(texts)


def test_paths_reach_their_marked_ends() -> None:
    """GNA rises to 3.75 bar and ends at 3.6; GMNA at 2.4; of a mechanism, which grows without end, no end is marked."""
    axes = draw_paths(CASE, (*OUTCOMES, made_collapse(CASE))).axes[0]
    ends = [line.get_xydata().tolist() for line in axes.lines if line.get_marker() == END]
    assert ends == [[[0.8, pytest.approx(3.6)]], [[0.8, pytest.approx(2.4)]]]
    left, right = axes.get_xlim()
    assert left < 0.0
    assert 0.8 < right < 1.0
    assert axes.get_ylim()[1] > 3.75


def test_a_path_that_rises_far_above_what_decides_is_shown_whole_and_enlarged() -> None:
    """Elastic paths without a limit go far: to the end of theirs in one graph, what decides in the other."""
    path = OUTCOMES[2].path
    assert path is not None
    endless = replace(OUTCOMES[2], limit=None, bifurcation=None, path=replace(path, load=100.0 * path.growth))
    whole, close = draw_paths(CASE, [endless, OUTCOMES[3]]).axes
    assert whole.get_ylim()[1] > 800.0
    assert close.get_ylim()[1] == pytest.approx(1.35 * 2.0)


def test_a_path_is_faint_from_where_it_is_stopped() -> None:
    """The made path comes to 2 bar at its third state, where growth is 0.3 mm: what comes after is no capacity."""
    stopped = replace(OUTCOMES[3], peak=Event(GROWTH_CEILING, 0.2), highest_limit=None, bifurcation=None)
    axes = draw_paths(CASE, [stopped]).axes[0]
    full, faint = axes.lines[:2]
    assert (full.get_alpha(), faint.get_alpha()) == (None, FAINT)
    assert full.get_xdata()[-1] == faint.get_xdata()[0] == 0.3
    assert "2.00  GMNA growth ceiling" in [text.get_text() for text in axes.texts]


def test_paths_show_the_whole_where_nothing_was_found() -> None:
    bare = made_case(requirements={})
    found = replace(OUTCOMES[2], limit=None, bifurcation=None)
    axes = draw_paths(bare, [found]).axes[0]
    assert axes.get_ylim()[1] == pytest.approx(1.12 * 3.75)


def test_spectrum_shows_every_wave_number_and_names_the_lowest() -> None:
    axes = draw_spectrum(CASE, OUTCOMES).axes[0]
    assert axes.lines[0].get_xydata().tolist() == [[0, 5.0], [1, 4.0], [2, 3.75], [3, 4.5]]
    texts = [text.get_text() for text in axes.texts]
    assert "3.75  LBA lowest, n = 2" in texts
    assert "2.00  GMNA bifurcation, n = 3" in texts


def test_spectrum_spans_what_it_reaches_and_says_what_it_leaves_out() -> None:
    """Of n = 0 to 40 whose pressures grow by 1 bar a wave from 1 bar at n = 10, those up to three times the lowest."""
    wide = made_case(analyses={"run": ["LBA"], "wave_numbers": [0, 40]}, requirements={})
    critical = tuple(Event(BIFURCATION, 0.1 * (1 + abs(n - 10)), n) for n in range(41))
    axes = draw_spectrum(wide, [replace(OUTCOMES[1], critical=critical)]).axes[0]
    assert axes.get_ylim()[1] == pytest.approx(3.3)
    assert axes.get_xlim() == (6.5, 13.5)  # 8 to 12 are reached, one more stands on either side
    assert axes.get_xlabel().endswith("n  (0 to 6 and 14 to 40 higher)")


def test_only_what_stands_has_a_drop_of_the_stand() -> None:
    """The made end travels upward and stands on nothing; the made base does."""
    for name, stands in (("base", True), ("end", False)):
        case, (*_, path) = _demo(name)
        assert path.path is not None
        if not stands:
            path = replace(path, path=replace(path.path, stand_drop=None))
        words = [text.get_text() for text in draw_deformed(case, [path]).axes[0].texts]
        assert ("drop of the stand" in words) is stands


def test_stresses_are_said_at_the_required_pressure_unless_a_dead_force_acts() -> None:
    """LA is at 1 MPa and 2 bar is required; beside a dead force the stresses are not in proportion to the pressure."""
    stresses = OUTCOMES[0].stresses
    assert stresses is not None
    scaled = draw_stresses(CASE, stresses).axes[0].lines[2].get_ydata()
    np.testing.assert_allclose(scaled, 0.2 * stresses.meridional[2], rtol=1e-14)
    pressed = replace(CASE, loads=CASE.loads.model_copy(update={"axial_force": -10.0}))
    plain = draw_stresses(pressed, stresses).axes[0].lines[2].get_ydata()
    np.testing.assert_allclose(plain, stresses.meridional[2], rtol=1e-14)


def test_plastic_strain_is_shown_in_percent_where_the_wall_yields() -> None:
    """Of the made run the outer quarter yields: 2, 0.5 and 1 % at its end, where the graph ends too."""
    axes = draw_plastic_strain(CASE, OUTCOMES).axes[0]
    assert [line.get_label() for line in axes.lines[:3]] == list(FACES)
    assert [line.get_ydata()[-1] for line in axes.lines[:3]] == pytest.approx([2.0, 0.5, 1.0])
    low, high = axes.get_xlim()
    assert 0.5 * CASE.meridian.length < low < 0.75 * CASE.meridian.length
    assert high == CASE.meridian.length
    assert axes.texts[0].get_text() == "GMNA, bifurcation, 2.00 bar"


def test_without_yield_there_is_no_plastic_strain_to_show() -> None:
    strain = OUTCOMES[3].plastic_strain
    assert strain is not None
    elastic = replace(OUTCOMES[3], plastic_strain=replace(strain, equivalent=0.0 * strain.equivalent))
    assert "plastic-strain" in dict(figures(CASE, OUTCOMES))
    assert "plastic-strain" not in dict(figures(CASE, (*OUTCOMES[:3], elastic)))


@pytest.mark.parametrize("name", ["base", "end"])
def test_magnified_sections_of_the_demonstration_are_legible(name: str) -> None:
    case, outcomes = _demo(name)
    visible = dict(sheet_figures(case, outcomes, record(case, outcomes, {})))
    _check_legible(visible["magnified"])


def test_magnified_sections_say_by_how_much_and_are_shown_so() -> None:
    """The apex of the made cap moves 0.1 mm at 1 bar and 0.3 mm at 2 bar; 12 % of its 27.1 mm are 3.2 mm."""
    figure = dict(sheet_figures(CASE, OUTCOMES, record(CASE, OUTCOMES, {})))["magnified"]
    service, required = figure.axes
    assert service.get_title(loc="left") == "GMNA, service: 1.00 bar\nmoved up to 0.1 mm,\ndrawn 20 times as far"
    assert required.get_title(loc="left") == "GMNA, required: 2.00 bar\nmoved up to 0.3 mm,\ndrawn 10 times as far"
    for axes, travel in ((service, 2.0), (required, 3.0)):
        unloaded, loaded = axes.lines[-2:]
        assert unloaded.get_ydata()[0] - loaded.get_ydata()[0] == pytest.approx(travel)


def test_deformed_panels_tell_every_state_in_the_order_of_the_legend() -> None:
    figure = draw_deformed(CASE, OUTCOMES)
    texts = figure.axes[-1].get_title(loc="left").splitlines()
    assert [line.split(":")[0] for line in texts] == [
        "GMNA",
        *(WORDS.get(name, name) for name in LINES if name != "unloaded"),
    ]


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
    assert len({(str(line["linestyle"]), line["linewidth"]) for line in LINES.values()}) == len(LINES)


@pytest.mark.parametrize(("value", "text"), [(12.013, "12.01"), (1.0, "1.00"), (0.10951, "0.110"), (0.3, "0.300")])
def test_digits_of_a_pressure(value: float, text: str) -> None:
    assert digits(value, RECORDED) == text


def test_graphs_in_psi_and_inches_show_what_those_in_bar_and_mm_show() -> None:
    """1 bar is 14.5038 psi (NIST SP 811, appendix B): the highest pressure is the same, and so is what ticks say."""
    metric, inch = (draw_paths(CASE, OUTCOMES, units).axes[0] for units in (RECORDED, Units("psi", "in")))
    assert inch.get_ylim()[1] == pytest.approx(14.503774 * metric.get_ylim()[1], rel=1e-7)
    assert (inch.get_xlabel()[-4:], inch.get_ylabel()[-5:]) == ("[in]", "[psi]")
    assert inch.get_xlim() == metric.get_xlim()  # lengths stay in mm; their ticks are round in inches
    inch.figure.canvas.draw()
    ticks = {
        float(label.get_text().replace("−", "-")): at
        for at, label in zip(inch.get_xticks(), inch.get_xticklabels(), strict=True)
    }
    assert len(ticks) > 2
    assert all(at == pytest.approx(25.4 * texts, abs=1e-9) for texts, at in ticks.items())


def test_nothing_is_shown_of_what_was_not_run() -> None:
    assert [name for name, _ in figures(CASE, ())] == ["section"]
    assert [name for name, _ in figures(CASE, OUTCOMES[:1])] == ["section", "stresses"]


def test_saved_svg_is_the_same_each_time_and_bears_no_date(tmp_path: Path) -> None:
    for name in ("one", "two"):
        save_figure(draw_paths(CASE, OUTCOMES), tmp_path, name, ("svg", "png"))
    one = (tmp_path / "one.svg").read_bytes()
    assert one == (tmp_path / "two.svg").read_bytes()
    assert b"dc:date" not in one
    assert (tmp_path / "one.png").read_bytes().startswith(b"\x89PNG")
    save_figure(draw_paths(CASE, OUTCOMES), tmp_path, "three")
    assert [path.name for path in tmp_path.glob("three.*")] == ["three.svg"]


@pytest.mark.parametrize("waves", [0, 18])
def test_a_deviation_in_a_mode_is_shown_along_and_around(waves: int) -> None:
    """Around only where it has waves, n of them, as high as it is at its largest along."""
    s = np.linspace(0.0, CASE.meridian.length, 101)
    off = -0.02 * np.sin(np.pi * s / s[-1])
    figure = draw_off_shape(CASE, "GMNIA", OffShape("mode 1 of LBA", waves, s, off))
    along, *around = figure.axes
    np.testing.assert_array_equal(along.lines[1].get_ydata(), off)
    assert len(around) == (1 if waves else 0)
    for axes in around:
        line = axes.lines[0].get_ydata()
        assert np.max(np.abs(line)) == pytest.approx(0.02)
        assert np.count_nonzero(np.diff(np.sign(line))) == 2 * waves
