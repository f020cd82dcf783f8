"""Study files: which designs they make."""

import json

import numpy as np
import pytest
from scipy import stats

from buckle.case import read_case
from buckle.case.values import same_quantity
from buckle.errors import CaseError
from buckle.study.reader import read_study
from buckle.study.samples import Spread, draw
from buckle.study.study import vary
from tests.helpers.paths import ROOT

BASE = ROOT / "cases/demo/base.toml"
STUDIES = sorted((ROOT / "cases/studies").glob("*.toml"))


def study(tmp_path, text, head=""):
    path = tmp_path / "study.toml"
    path.write_text(f'[study]\nbase_case = "{BASE}"\nanalyses = ["GMNA"]\n{head}\n{text}')
    return read_study(path)


def inputs(made):
    return [dict(design.inputs) for design in made.designs()]


def test_a_grid_is_every_combination_the_last_key_changing_fastest(tmp_path):
    made = study(
        tmp_path, '[vary]\n"shape.gauge_mm" = [0.23, 0.25]\n"shape.dome_depth_mm" = {from=9.0, to=10.0, count=3}'
    )
    assert made.count == 6
    assert [tuple(each.values()) for each in inputs(made)] == [
        (0.23, 9.0), (0.23, 9.5), (0.23, 10.0), (0.25, 9.0), (0.25, 9.5), (0.25, 10.0)
    ]  # fmt: skip
    assert made.varied == ("shape.gauge_mm", "shape.dome_depth_mm")
    assert made.base.analyses.run == ("GMNA",)


@pytest.mark.parametrize("count", [2, 3, 30])
def test_a_key_is_refused_where_no_design_takes_it(tmp_path, count):
    """The last design alone has a gauge: the others are rows that cannot be built."""
    thin = [-0.01 * number for number in range(1, count)]
    assert study(tmp_path, f"[vary]\nshape.gauge_mm = {[*thin, 0.25]}").count == count
    with pytest.raises(CaseError, match=r"vary\.shape\.gauge_mm: out of range"):
        study(tmp_path, f"[vary]\nshape.gauge_mm = {[*thin, -1.0]}")


def test_keys_need_no_quotes(tmp_path):
    made = study(tmp_path, "[vary]\nshape.gauge_mm = [0.23]\nmaterial.yield_stress_MPa = {from=250, to=260, step=5}")
    assert [each["material.yield_stress_MPa"] for each in inputs(made)] == [250.0, 255.0, 260.0]


def test_steps_are_exact_to_the_last_digit(tmp_path):
    made = study(tmp_path, '[vary]\n"shape.gauge_mm" = { from = 0.1, to = 0.8, step = 0.1 }')
    assert [each["shape.gauge_mm"] for each in inputs(made)] == [0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8]


def test_paired_columns_change_together(tmp_path):
    made = study(
        tmp_path,
        '[[paired]]\n"shape.gauge_mm" = [0.23, 0.25]\n"shape.wall_gauge_mm" = [0.1, 0.11]\n'
        '[vary]\n"shape.dome_depth_mm" = [9.4, 9.6]',
    )
    assert [tuple(each.values()) for each in inputs(made)] == [
        (9.4, 0.23, 0.1), (9.4, 0.25, 0.11), (9.6, 0.23, 0.1), (9.6, 0.25, 0.11)
    ]  # fmt: skip


def test_a_table_of_designs(tmp_path):
    (tmp_path / "designs.csv").write_text("shape.gauge_mm,material.grade\n0.23,AL-3104-H19-baked\n\n0.25,\n")
    made = study(tmp_path, '[designs]\nfile = "designs.csv"')
    assert inputs(made) == [{"shape.gauge_mm": 0.23, "material.grade": "AL-3104-H19-baked"}, {"shape.gauge_mm": 0.25}]


@pytest.mark.parametrize("method", ["sobol", "latin_hypercube"])
def test_filled_boxes_are_even_and_repeatable(tmp_path, method):
    """Every sixteenth of each side holds one of 16 points: true of a Latin hypercube and of Sobol's (0, m, s)-net."""
    text = f'[fill]\nmethod = "{method}"\ncount = 16\nseed = 7\n[fill.bounds]\n'
    text += '"shape.gauge_mm" = [0.2, 0.3]\n"shape.dome_radius_mm" = [42.0, 50.0]'
    made = study(tmp_path, text)
    values = np.array([list(each.values()) for each in inputs(made)])
    cells = np.floor((values - [0.2, 42.0]) / [0.1, 8.0] * 16).astype(int)
    assert all(sorted(column) == list(range(16)) for column in cells.T)
    assert inputs(study(tmp_path, text)) == inputs(made)
    assert inputs(study(tmp_path, text.replace("seed = 7", "seed = 8"))) != inputs(made)


TOLERANCE = """[tolerance]
count = 4000
seed = 3
[tolerance.keys]
"material.yield_stress_MPa" = { distribution = "normal", deviation = 5.0 }
"shape.gauge_mm" = { distribution = "truncated", deviation = 0.004, half_width = 0.005 }
"shape.dome_depth_mm" = { distribution = "uniform", mean = 9.5, half_width = 0.1 }
[[tolerance.correlated]]
keys = ["material.yield_stress_MPa", "shape.gauge_mm"]
coefficient = -0.6
"""


def test_tolerances_are_sampled_from_their_distributions(tmp_path):
    """Kolmogorov and Smirnov's test at 1e-4: one seed in ten thousand would fail; means from the case unless given."""
    values = np.array([list(each.values()) for each in inputs(study(tmp_path, TOLERANCE))])
    expected = (
        stats.norm(262.0, 5.0),
        stats.truncnorm(-1.25, 1.25, loc=0.245, scale=0.004),
        stats.uniform(9.4, 0.2),
    )
    for column, distribution in zip(values.T, expected, strict=True):
        assert stats.kstest(column, distribution.cdf).pvalue > 1e-4


def test_correlation_is_that_of_the_normal_scores():
    """Standard error of a correlation of -0.6 from 20,000 samples is (1 - 0.36)/141 = 0.0045; four of them."""
    spread = Spread("normal", 0.0, 1.0)
    block = draw({"a": spread, "b": spread}, np.array([[1.0, -0.6], [-0.6, 1.0]]), 20_000, seed=5)
    assert np.corrcoef(np.array(block.rows).T)[0, 1] == pytest.approx(-0.6, abs=0.018)


def test_derived_keys_speak_of_varied_ones_of_earlier_ones_and_of_the_base_case(tmp_path):
    text = '[vary]\n"shape.gauge_in" = [0.01]\n[derived]\n"shape.wall_gauge_mm" = "0.4 * shape.gauge_mm"\n'
    text += '"shape.blend_length_mm" = "shape.wall_gauge_mm * 10 + shape.wall_radius_mm"'
    (only,) = inputs(study(tmp_path, text))
    assert only["shape.wall_gauge_mm"] == pytest.approx(0.1016, rel=1e-12)  # 0.4 * 0.254 mm
    assert only["shape.blend_length_mm"] == pytest.approx(30.016, rel=1e-12)


def test_a_derived_key_without_a_value_is_a_design_that_cannot_be_built(tmp_path):
    made = study(
        tmp_path,
        '[vary]\n"shape.gauge_mm" = [0.26, 0.25]\n[derived]\n"shape.wall_gauge_mm" = "1e-3 / (shape.gauge_mm - 0.25)"',
    )
    first, second = made.designs()
    assert first.problem == ""
    with pytest.raises(CaseError, match=r"wall_gauge_mm: .* cannot be worked out: .*division by zero"):
        made.case(second)


def test_the_case_of_a_design_is_the_base_case_with_its_values(tmp_path):
    made = study(tmp_path, '[vary]\n"shape.gauge_in" = [0.01]')
    case = made.case(made.design(1))
    assert case.dimensions["gauge"] == 0.254
    assert case.analyses.run == ("GMNA",)
    assert case.material == read_case(BASE).material


def test_what_the_base_case_expects_is_not_asked_of_its_variants(tmp_path):
    base = tmp_path / "base.toml"
    base.write_text(
        BASE.read_text() + '\n[[expect]]\nquantity = "LBA.wave_number"\nvalue = 6\nsource = "computed twice"\n'
    )
    path = tmp_path / "study.toml"
    path.write_text('[study]\nbase_case = "base.toml"\nanalyses = ["GMNA"]\n[vary]\n"shape.gauge_mm" = [0.23]')
    assert read_study(path).base.expect == ()


def test_a_study_may_be_json(tmp_path):
    path = tmp_path / "study.json"
    path.write_text(json.dumps({"study": {"base_case": str(BASE)}, "vary": {"shape.gauge_mm": [0.23]}}))
    assert read_study(path).count == 1


def test_a_study_from_python():
    made = vary(read_case(BASE), {"shape.gauge_mm": np.array([0.23, 0.25])})
    assert inputs(made) == [{"shape.gauge_mm": 0.23}, {"shape.gauge_mm": 0.25}]
    with pytest.raises(CaseError, match=r"shape\.gauge_mm: has no values"):
        vary(read_case(BASE), {"shape.gauge_mm": []})


@pytest.mark.parametrize("path", STUDIES, ids=lambda path: path.stem)
def test_shipped_studies(path):
    made = read_study(path)
    assert all(made.case(design) for design in (made.design(1), made.design(made.count)))


def test_units_of_one_quantity():
    assert same_quantity("shape.gauge_mm", "shape.gauge_in")
    assert not same_quantity("shape.gauge_mm", "shape.wall_gauge_mm")
    assert not same_quantity("requirements.pressure_bar", "requirements.service_pressure_bar")
