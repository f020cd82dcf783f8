"""What a batch says, on tables whose answers are known, and that its pictures show what they should."""

import math
import re

import numpy as np
import pytest
from matplotlib.text import Text

from buckle.batch.numbers import Shortfall, batch_of, effects, exponents, shortfall
from buckle.batch.summary import causes
from buckle.report.batch.curves import draw_responses
from buckle.report.batch.figures import batch_figures, write_figures
from buckle.report.batch.labels import label
from buckle.report.batch.map import draw_map
from buckle.report.batch.scatter import pareto
from buckle.store import Table
from buckle.units import RECORDED, Units

GAUGE, YIELD = "shape.gauge_mm", "material.yield_stress_MPa"
PRESSURE = "GMNA.governing_pressure_bar"


def table(rows, *, varied=(GAUGE, YIELD), random=False):
    quantities = tuple(dict.fromkeys(key for row in rows for key in row if key not in (*varied, "status", "reason")))
    made = [{"design": at, "status": "solved", "reason": "", **row} for at, row in enumerate(rows, start=1)]
    return Table("made up", varied, quantities, tuple(made), random)


def power_law(gauge, stress):
    """Pressure 7 bar * (t / 0.25)^1.4 (yield / 260)^0.9 against 6.2 bar."""
    pressure = 7.0 * (gauge / 0.25) ** 1.4 * (stress / 260.0) ** 0.9
    judged = {"required": True, "required_pressure_bar": 6.2, "verdict": "met" if pressure >= 6.2 else "not met"}
    return {GAUGE: gauge, YIELD: stress, PRESSURE: pressure, "mass_g": 17.0 * gauge, **judged}


GRID = [power_law(gauge, stress) for gauge in (0.2, 0.22, 0.24, 0.26) for stress in (240.0, 260.0, 280.0)]


def test_exponents_of_a_power_law():
    """Exact but for rounding."""
    found = exponents(batch_of(table(GRID)))
    assert [each.name for each in found] == [GAUGE, YIELD]
    assert [each.slope for each in found] == pytest.approx([1.4, 0.9], abs=1e-12)
    assert all(each.error < 1e-11 for each in found)


def test_too_few_rows_give_no_exponents():
    assert exponents(batch_of(table([GRID[0], GRID[1], GRID[3]]))) == []


def test_effects_are_those_of_one_standard_deviation_the_strongest_first():
    rows = [{GAUGE: x, YIELD: y, PRESSURE: 5.0 + 2.0 * x - 30.0 * y} for x in (1.0, 2.0, 3.0) for y in (0.1, 0.2)]
    found = effects(batch_of(table(rows)))
    assert [each.name for each in found] == [GAUGE, YIELD]
    spread = [math.sqrt(4.0 / 5.0), math.sqrt(6 * 0.05**2 / 5.0)]  # of 1, 2, 3 twice each; of 0.1, 0.2 thrice each
    assert [each.slope for each in found] == pytest.approx([2.0 * spread[0], -30.0 * spread[1]], rel=1e-12)


def test_a_parameter_that_follows_from_another_is_no_parameter_of_its_own():
    rows = [{**row, "shape.wall_gauge_mm": 0.4 * row[GAUGE], "shape.heel_radius_mm": 4.0} for row in GRID]
    varied = (GAUGE, "shape.wall_gauge_mm", "shape.heel_radius_mm", YIELD)
    assert batch_of(table(rows, varied=varied)).names == (GAUGE, YIELD)


def test_rows_without_a_pressure_are_left_out_and_the_demand_is_found():
    batch = batch_of(table([*GRID, {GAUGE: 0.1, YIELD: 260.0, "status": "failed"}]))
    assert len(batch.load) == len(GRID)
    assert batch.demand == pytest.approx(6.2, rel=1e-12)
    assert batch.title == "made up (1 of 13 designs without a load not shown)"
    assert list(batch.short) == [pressure < 6.2 for pressure in batch.load]
    assert batch_of(table([{GAUGE: 0.1, YIELD: 1.0}])) is None


def test_interval_of_a_share():
    """Clopper and Pearson: of 0 in 60 the upper end is 1 - 0.025^(1/60); of 10 in 100 they are 4.90 and 17.62 %.

    The second pair is in every table of exact binomial limits, from memory.
    """
    assert Shortfall(0, 0, 60).interval == pytest.approx((0.0, 1.0 - 0.025 ** (1.0 / 60.0)), rel=1e-9)
    assert Shortfall(60, 0, 60).interval == pytest.approx((0.025 ** (1.0 / 60.0), 1.0), rel=1e-9)
    assert Shortfall(10, 0, 100).interval == pytest.approx((0.0490, 0.1762), abs=5e-5)
    assert Shortfall(7, 3, 100).interval == Shortfall(10, 0, 100).interval
    assert Shortfall(7, 3, 100).words.startswith("10 % fall short (10 of 100, 3 of them in doubt or without a verdict)")


def test_only_random_samples_have_a_chance_of_falling_short():
    rows = [*GRID, {GAUGE: 0.1, YIELD: 260.0, "status": "failed"}]
    assert shortfall(table(rows)) is None
    found = shortfall(table(rows, random=True))
    below = sum(row[PRESSURE] < 6.2 for row in GRID)
    assert (found.short, found.unknown, found.count) == (below, 1, len(GRID) + 1)
    assert 0 < below < len(GRID)


def test_a_sample_falls_short_by_its_verdict_whatever_its_pressure():
    """A row whose growth is missed, or that is met with doubt, counts; its pressure would do."""
    strong = GRID[-1]
    rows = [strong, strong | {"verdict": "not met"}, strong | {"verdict": "met with doubt"}]
    found = shortfall(table(rows, random=True))
    assert (found.short, found.unknown, found.count) == (1, 1, 3)


def test_front():
    mass, pressure = np.array([3.0, 1.0, 2.0, 2.0, 4.0, 1.0]), np.array([7.0, 5.0, 6.0, 6.5, 6.9, 4.0])
    assert list(pareto(mass, pressure)) == [1, 3, 0]


def test_causes_are_grouped_whatever_their_numbers():
    rows = [{"status": "failed", "reason": f"moves by {at}.5 % at 1e-3"} for at in range(3)]
    rows.append({"status": "not built", "reason": "too thick"})
    found = causes(table([GRID[0], *rows], varied=()))
    assert [(cause.count, cause.example, cause.status) for cause in found] == [(3, 2, "failed"), (1, 5, "not built")]
    assert found[0].reason == "moves by 0.5 % at 1e-3"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("shape.gauge_mm", "gauge  [mm]"),
        ("material.yield_stress_MPa", "yield stress  [MPa]"),
        ("GMNA.governing_pressure_bar", "GMNA governing pressure  [bar]"),
        ("material.poissons_ratio", "poissons ratio"),
        ("numerics.step", "numerics step"),
    ],
)
def test_labels(name, words):
    assert label(name) == words


@pytest.mark.parametrize(
    ("rows", "random", "names"),
    [
        (GRID, False, ["responses", "map", "mass"]),
        (GRID * 2, True, ["responses", "map", "scatter", "mass", "tornado", "histogram"]),
        ([{GAUGE: 0.2, YIELD: 250.0, "status": "failed"}], False, []),
    ],
    ids=["grid", "tolerances", "nothing"],
)
def test_which_figures_a_batch_has(rows, random, names):
    assert [name for name, _ in batch_figures(table(rows, random=random))] == names


def test_figures_show_the_designs(tmp_path):
    figures = dict(batch_figures(table(GRID * 2, random=True)))
    points = figures["responses"].axes[0].lines
    assert sorted({round(float(x), 9) for line in points for x in line.get_xdata()} - {0.0, 1.0}) == [
        0.2,
        0.22,
        0.24,
        0.26,
    ]
    assert len(figures["scatter"].axes) == 6  # three by three, the lower half
    assert "fall short" in figures["histogram"].texts[-1].get_text()
    assert write_figures(table(GRID), tmp_path) == [tmp_path / f"{name}.svg" for name in ("responses", "map", "mass")]
    assert {path.suffix for path in tmp_path.iterdir()} == {".svg"}
    first = (tmp_path / "map.svg").read_bytes()
    write_figures(table(GRID), tmp_path)
    assert (tmp_path / "map.svg").read_bytes() == first


def test_a_matrix_of_many_parameters_shows_those_that_matter_most():
    names = [f"shape.key{at}_mm" for at in range(9)]
    values = np.random.default_rng(5).uniform(1.0, 2.0, (40, 9))
    weights = np.array([0.1, 5.0, 0.2, 4.0, 3.0, 0.3, 2.0, 1.5, 1.0])
    rows = [{**dict(zip(names, row, strict=True)), PRESSURE: float(row @ weights)} for row in values.tolist()]
    figure = dict(batch_figures(table(rows, varied=tuple(names), random=True)))["scatter"]
    labels = [axes.get_xlabel() for axes in figure.axes if axes.get_xlabel()]
    assert labels[:-1] == [f"key{at}  [mm]" for at in (1, 3, 4, 6, 7, 8)]
    assert any("The 6 parameters that matter most" in text.get_text() for text in figure.texts)


GRADE, EDGE = "material.grade", "supports.outer_edge"
GRADES = {
    f"{grade} {edge}": [row | {GRADE: grade, EDGE: edge, PRESSURE: factor * row[PRESSURE]} for row in GRID]
    for grade, edge, factor in (("hard", "clamped", 1.1), ("hard", "pinned", 1.05), ("soft", "clamped", 0.9))
}
VARIED = (GAUGE, YIELD, GRADE, EDGE)


def joined(axes):
    """The points of every line of a graph that joins designs."""
    lines = [line.get_xydata() for line in axes.lines if line.get_marker() == "None" and line.get_color() == "0.6"]
    return [[(round(float(x), 9), float(y)) for x, y in points] for points in lines]


def test_lines_join_only_what_is_alike_in_all_else():
    """Grades and supports are no numbers, but designs that differ in them differ."""
    rows = [row for each in GRADES.values() for row in each]
    batch = batch_of(table(rows, varied=VARIED))
    assert batch.parameters == VARIED
    gauge, stress, grade, edge = draw_responses(batch).axes
    assert [axes.get_xlabel() for axes in (gauge, stress, grade, edge)] == [label(name) for name in VARIED]
    pressure = {(row[GAUGE], row[YIELD], row[GRADE], row[EDGE]): row[PRESSURE] for row in rows}
    wanted = [
        [(x, pressure[x, stress_of, *kind]) for x in (0.2, 0.22, 0.24, 0.26)]
        for kind in (("hard", "clamped"), ("hard", "pinned"), ("soft", "clamped"))
        for stress_of in (240.0, 260.0, 280.0)
    ]
    assert sorted(joined(gauge)) == sorted(wanted)
    assert [len(line) for line in joined(stress)] == [3] * 12
    assert [text.get_text() for text in grade.get_xticklabels()] == ["hard", "soft"]
    assert [len(line) for line in joined(grade)] == [2] * 12  # clamped ones; no soft one is pinned
    assert [len(line) for line in joined(edge)] == [2] * 12


def test_a_batch_of_texts_alone_has_a_picture():
    rows = [GRADES[name][0] for name in GRADES]
    assert [name for name, _ in batch_figures(table(rows, varied=(GRADE, EDGE)))] == ["responses"]


def test_a_map_mixes_no_grades_and_says_what_it_leaves_out():
    """Each combination of texts has a map of its own, all in the same greys; three designs in a row make none."""
    rows = [*GRADES["hard clamped"], *GRADES["soft clamped"], *GRADES["hard pinned"][:3]]
    figure = draw_map(batch_of(table(rows, varied=VARIED)))
    assert [axes.get_title(loc="left") for axes in figure.axes] == ["hard, clamped", "soft, clamped"]
    for axes, kind in zip(figure.axes, ("hard clamped", "soft clamped"), strict=True):
        points = axes.lines[-1].get_xydata()
        assert {tuple(point) for point in points.tolist()} == {(row[GAUGE], row[YIELD]) for row in GRADES[kind]}
    assert note(figure) == "3 designs in other combinations of grade and supports outer edge are left out"


def note(figure):
    """What stands at the foot of a picture."""
    return " ".join(text.get_text() for text in reversed(figure.texts[2:]))


def test_pictures_say_what_follows_and_what_they_leave_out():
    rows = [{**row, "shape.wall_gauge_mm": 0.4 * row[GAUGE]} for row in GRADES["hard clamped"]]
    rows += [{**row, "shape.wall_gauge_mm": 0.4 * row[GAUGE]} for row in GRADES["soft clamped"]]
    figures = dict(batch_figures(table(rows, varied=(GAUGE, "shape.wall_gauge_mm", YIELD, GRADE))))
    assert note(figures["responses"]) == "wall gauge follows from the others"
    assert note(figures["scatter"]) == "wall gauge follows from the others; grade is no number and has no graph here"
    assert "lines join designs alike in all others" in figures["responses"].texts[1].get_text()


def test_lines_that_would_be_too_many_are_left_out_and_it_is_said():
    rows = [power_law(0.2 + 0.01 * at, 200.0 + each) for at in range(2) for each in range(61)]
    figure = draw_responses(batch_of(table(rows)))
    assert [len(joined(axes)) for axes in figure.axes] == [0, 2]
    assert note(figure).startswith("against gauge more than 60 lines are left out")


def test_ends_of_lines_are_named_where_one_other_parameter_varies():
    figure = draw_responses(batch_of(table(GRID)))
    ends = [[text.get_text() for text in axes.texts if text.get_text()[0].isdigit()] for axes in figure.axes]
    assert [each for each in ends[0] if "required" not in each] == ["240", "260", "280"]
    assert [each for each in ends[1] if "required" not in each] == ["0.2", "0.22", "0.24", "0.26"]


def test_a_grid_has_no_tornado():
    """One standard deviation of values that somebody listed means nothing."""
    assert "tornado" not in dict(batch_figures(table(GRID * 2)))
    assert "tornado" in dict(batch_figures(table(GRID * 2, random=True)))


def test_of_very_many_parameters_the_strongest_have_graphs():
    names = tuple(f"shape.key{at}_mm" for at in range(14))
    values = np.random.default_rng(7).uniform(1.0, 2.0, (40, 14))
    weights = np.arange(14.0, 0.0, -1.0)
    rows = [{**dict(zip(names, row, strict=True)), PRESSURE: float(row @ weights)} for row in values.tolist()]
    figure = draw_responses(batch_of(table(rows, varied=names)))
    assert len(figure.axes) == 12
    assert note(figure) == "2 parameters that move the pressure less have no graph"
    assert figure.texts[1].get_text().endswith("no two designs differ in one alone")


INCHES = Units("psi", "in")
TIMES = {"[mm]": 1.0 / 25.4, "[bar]": 14.503774, "": 1.0}  # in a mm; psi a bar, NIST SP 811, appendix B


def scale(axis_label):
    """What a number of an axis in bar or mm is multiplied by for a reader of psi and inches."""
    return next(times for unit, times in TIMES.items() if axis_label.endswith(unit))


def test_pictures_in_psi_and_inches_show_what_those_in_bar_and_mm_show():
    """Every point of every graph, times what its axes say: a picture that scaled one alone would lie."""
    rows = table(GRID * 2, random=True)
    metric, inch = dict(batch_figures(rows)), dict(batch_figures(rows, INCHES))
    assert list(metric) == list(inch)
    for name in ("responses", "map", "scatter", "mass"):
        for one, other in zip(metric[name].axes, inch[name].axes, strict=True):
            if one.get_xlabel() and one.get_ylabel():
                factors = scale(one.get_xlabel()), scale(one.get_ylabel())
                for line, read in zip(one.lines, other.lines, strict=True):
                    if line.get_transform() is one.transData or line.get_marker() == "o":
                        assert read.get_xydata() == pytest.approx(line.get_xydata() * factors, rel=1e-6)
    for name in ("tornado", "histogram"):
        (one,), (other,) = metric[name].axes, inch[name].axes
        sizes = [sorted(patch.get_width() for patch in axes.patches) for axes in (one, other)]
        assert sizes[1] == pytest.approx([TIMES["[bar]"] * size for size in sizes[0]], rel=1e-6)
    said = [text.get_text() for figure in inch.values() for text in texts(figure)]
    assert not [text for text in said if re.search(r"\b(bar|mm)\b", text)]
    assert "89.92 required" in said  # 6.2 bar
    assert any(text.endswith("[in]  ± 0.000899") for text in said)  # of 0.2, 0.22, 0.24, 0.26 mm: 0.0228 mm


def test_contours_of_a_pressure_that_nothing_is_required_of_are_in_psi():
    """Without a demand the map shows the pressure itself, and its levels are round numbers of the reader's unit."""
    rows = [{key: value for key, value in row.items() if not key.startswith("required")} for row in GRID]
    said = [text.get_text() for text in texts(draw_map(batch_of(table(rows), INCHES)))]
    assert "Contours of the GMNA governing pressure  [psi]; dots are the designs" in said
    assert {"80", "90", "100"} <= set(said)


def texts(figure):
    """All texts of a picture."""
    return figure.findobj(match=Text)


def test_a_text_that_is_a_number_in_some_rows_is_read_in_inches():
    """A growth that is not asked for everywhere stands on an axis of texts: 0.254 mm is 0.01 in."""
    rows = [row | ({"requirements.growth_mm": 0.254} if at % 2 else {}) for at, row in enumerate(GRID)]
    batch = batch_of(table(rows, varied=(GAUGE, YIELD, "requirements.growth_mm")), INCHES)
    assert set(batch.texts["requirements.growth_in"]) == {"0.01", "not given"}


def test_the_contours_of_a_map_do_not_depend_on_units():
    """Triangles are made with both axes as long, not with a length 25 times as long in mm as in inches."""
    points = np.random.default_rng(8).uniform((20.0, 240.0), (60.0, 280.0), (30, 2))
    scattered = [power_law(*point) for point in points.tolist()]
    levels = [
        [len(path.vertices) for lines in axes.collections for path in lines.get_paths()]
        for units in (RECORDED, INCHES)
        for axes in draw_map(batch_of(table(scattered), units)).axes
    ]
    assert levels[0] == levels[1]
