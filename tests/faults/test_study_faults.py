"""Every way of getting a study file wrong that was thought of, and the line that must be said about it."""

# ruff: noqa: E501 -- a fault and its message read as one row of a table

import pytest

from buckle.errors import CaseError
from buckle.study.reader import read_study
from tests.helpers.paths import ROOT

BASE = ROOT / "cases/demo/base.toml"
GOOD = f"""\
[study]
base_case = "{BASE}"
analyses = ["GMNA"]
[vary]
"shape.gauge_mm" = [0.23, 0.25]
"shape.dome_depth_mm" = {{ from = 9.2, to = 10.0, count = 3 }}
[derived]
"shape.wall_gauge_mm" = "0.4 * shape.gauge_mm"
"""
FILL = """\
[fill]
method = "sobol"
count = 16
bounds = { "shape.stand_radius_mm" = [22.0, 23.0] }
"""
TOLERANCE = """\
[tolerance]
count = 20
[tolerance.keys]
"material.yield_stress_MPa" = { distribution = "normal", deviation = 5.0 }
"shape.heel_radius_mm" = { distribution = "uniform", half_width = 0.1 }
[[tolerance.correlated]]
keys = ["material.yield_stress_MPa", "shape.heel_radius_mm"]
coefficient = 0.5
"""


def swap(old, new, text=GOOD):
    assert text.count(old) == 1, old
    return text.replace(old, new)


FAULTS = [
    # [study]
    (swap("[study]", "[stduy]"), "1: stduy: unknown table, did you mean 'study'?"),
    (swap(f'base_case = "{BASE}"\n', ""), "1: study.base_case: missing"),
    (swap(str(BASE), "nowhere.toml"), "2: study.base_case: no such file: "),
    (swap('["GMNA"]', '["GMNA", "XYZ"]'), "3: study.analyses[1]: unknown word; got 'XYZ'; allowed: 'LA', 'LBA'"),
    (swap('["GMNA"]', '["GNIA"]'), "3: study.analyses: no [deviation] says how the shape deviates"),
    (swap('analyses = ["GMNA"]', 'analysis = ["GMNA"]'), "3: study.analysis: unknown key, did you mean 'analyses'?"),
    (swap('analyses = ["GMNA"]', "keep = [3]"), "3: study.keep[0]: must be a text in quotes; got 3"),
    (GOOD.partition("[vary]")[0], "1: vary: nothing varies; allowed: a table vary or paired or designs or fill or tolerance"),
    (swap("[vary]", "[vayr]"), "4: vayr: unknown table, did you mean 'vary'?"),
    # [vary]
    (swap("shape.gauge_mm\" =", "shape.guage_mm\" ="), "5: vary.shape.guage_mm: unknown key, did you mean 'gauge_mm'?"),
    (swap("shape.gauge_mm\" =", "tolerances.shape.gauge_mm\" ="), "5: vary.tolerances.shape.gauge_mm: is counted by no analysis of a design; "),
    (swap("shape.gauge_mm\" =", "size.reserve_factor\" ="), "5: vary.size.reserve_factor: is counted by no analysis of a design; "),
    (swap("shape.gauge_mm\" =", "shape.gauge\" ="), "5: vary.shape.gauge: a key with a dimension ends in its unit"),
    (swap("shape.gauge_mm\" =", "shap.gauge_mm\" ="), "5: vary.shap.gauge_mm: unknown table, did you mean 'shape'?"),
    (swap("shape.gauge_mm\" =", "shape.family.x\" ="), "5: vary.shape.family.x: leads nowhere at 'x'"),
    (swap("[0.23, 0.25]", "[]"), "5: vary.shape.gauge_mm: has no values; got []; allowed: at least one"),
    (swap("[0.23, 0.25]", "0.23"), "5: vary.shape.gauge_mm: must be a list or a range; got 0.23"),
    (swap("[0.23, 0.25]", '["thin", "thick"]'), "5: vary.shape.gauge_mm: must be a number; got 'thin'"),
    (swap("[0.23, 0.25]", "[-0.23, 0.0]"), "5: vary.shape.gauge_mm: out of range; got -0.23; allowed: > 0 mm"),
    (swap("[0.23, 0.25]", "[0.23, 0.25]\n\"shape.gauge_in\" = [0.01]"), "6: vary.shape.gauge_in: varies already in [vary]; got 'shape.gauge_mm'"),
    (swap("count = 3", "count = 3, step = 0.1"), "6: vary.shape.dome_depth_mm: takes either a count or a step"),
    (swap(", count = 3", ""), "6: vary.shape.dome_depth_mm: takes either a count or a step"),
    (swap("count = 3", "count = 1"), "6: vary.shape.dome_depth_mm.count: out of range; got 1; allowed: >= 2"),
    (swap("count = 3", "step = 0"), "6: vary.shape.dome_depth_mm.step: out of range; got 0; allowed: > 0"),
    (swap("count = 3", "step = 1e-9"), "6: vary.shape.dome_depth_mm: makes 800000001 values"),
    (swap("from = 9.2", "from = 11"), "6: vary.shape.dome_depth_mm: leads nowhere"),
    (swap("from = 9.2, ", ""), "6: vary.shape.dome_depth_mm.from: missing"),
    (swap("from = 9.2", "form = 9.2"), "6: vary.shape.dome_depth_mm.form: unknown key, did you mean 'from'?"),
    (swap("to = 10.0", "to = inf"), "6: vary.shape.dome_depth_mm.to: must be a finite number"),
    (swap("count = 3", "count = 501000"), "5: vary.shape.gauge_mm: all combinations are 1002000 designs; allowed: at most 1000000"),
    (swap("[vary]", "[vary]\nshape = 3"), "5: vary.shape: must be a list or a range; got 3"),
    # [[paired]], [designs]
    (GOOD + '[[paired]]\n"shape.heel_radius_mm" = [4, 5]\n"shape.chime_radius_mm" = [2.6]', "9: paired[0]: paired keys need equally many values"),
    (GOOD + "[[paired]]\n", "9: paired[0]: names no key"),
    (GOOD + '[paired]\n"shape.heel_radius_mm" = [4, 5]', "9: paired: must be a list of tables"),
    (GOOD + '[[paired]]\n"shape.gauge_mm" = [0.2]', "10: paired[0].shape.gauge_mm: varies already in [vary]"),
    (GOOD + '[designs]\nfile = "empty.csv"', "10: designs.file: the first line of"),
    (GOOD + '[designs]\nfile = "head.csv"', "10: designs.file: "),
    (GOOD + "[designs]\n", "9: designs.file: missing"),
    # [derived]
    (swap("0.4 * shape.gauge_mm", "0.4 * shape.gague_mm"), "8: derived.shape.wall_gauge_mm: unknown key, did you mean 'shape.gauge_mm'?; got 'shape.gague_mm'"),
    (swap('"0.4 * shape.gauge_mm"', '"__import__(\'os\')"'), "8: derived.shape.wall_gauge_mm: __import__('os'): no function '__import__'; allowed: numbers"),
    (swap('"0.4 * shape.gauge_mm"', "0.1"), "8: derived.shape.wall_gauge_mm: must be an expression in quotes"),
    (swap('"shape.wall_gauge_mm" =', '"shape.gauge_um" ='), "8: derived.shape.gauge_um: varies already in [vary]"),
    # [fill]
    (GOOD + swap("count = 16", "count = 20", FILL), "11: fill.count: Sobol's sequence is even only at powers of two; got 20; allowed: 16 or 32"),
    (GOOD + swap('"sobol"', '"random"', FILL), "10: fill.method: unknown word; got 'random'"),
    (GOOD + swap("[22.0, 23.0]", "[23.0, 22.0]", FILL), "12: fill.bounds.shape.stand_radius_mm: must be [low, high]"),
    (GOOD + swap("[22.0, 23.0]", "[22.0]", FILL), "12: fill.bounds.shape.stand_radius_mm: must be [low, high]"),
    (GOOD + swap('"shape.stand_radius_mm" = [22.0, 23.0]', "", FILL), "12: fill.bounds: names no key"),
    (GOOD + swap("stand_radius_mm", "standing_radius_mm", FILL), "12: fill.bounds.shape.standing_radius_mm: unknown key"),
    # [tolerance]
    (GOOD + swap(", deviation = 5.0", "", TOLERANCE), "12: tolerance.keys.material.yield_stress_MPa.deviation: missing with 'normal'"),
    (GOOD + swap("deviation = 5.0", "deviation = 5.0, half_width = 3", TOLERANCE), "12: tolerance.keys.material.yield_stress_MPa.half_width: means nothing with 'normal'; got 3"),
    (GOOD + swap('"normal"', '"gamma"', TOLERANCE), "12: tolerance.keys.material.yield_stress_MPa.distribution: unknown word; got 'gamma'"),
    (GOOD + swap("coefficient = 0.5", "coefficient = 1.0", TOLERANCE), "16: tolerance.correlated[0].coefficient: out of range; got 1.0; allowed: < 1"),
    (GOOD + swap(', "shape.heel_radius_mm"]', ', "shape.chime_radius_mm"]', TOLERANCE), "14: tolerance.correlated[0]: needs two different keys of [tolerance.keys]"),
    (GOOD + swap("shape.heel_radius_mm\" =", "shape.hell_radius_mm\" =", TOLERANCE), "13: tolerance.keys.shape.hell_radius_mm.mean: missing, the base case has no number there"),
    (GOOD + swap("count = 20", "count = 0", TOLERANCE), "10: tolerance.count: out of range; got 0; allowed: >= 1"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "message"), FAULTS, ids=[message[:60] for _, message in FAULTS])
def test_fault_is_said_with_file_line_and_key(tmp_path, text, message):
    path = tmp_path / "study.toml"
    path.write_text(text)
    (tmp_path / "empty.csv").write_text("")
    (tmp_path / "head.csv").write_text("shape.heel_radius_mm\n")
    with pytest.raises(CaseError) as caught:
        read_study(path)
    assert any(line.startswith(f"{path}:{message}") for line in str(caught.value).splitlines()), caught.value


def test_the_good_ones_are_good(tmp_path):
    path = tmp_path / "study.toml"
    for text, count in ((GOOD, 6), (GOOD + FILL, 96), (GOOD + TOLERANCE, 120)):
        path.write_text(text)
        assert read_study(path).count == count


def test_a_fault_of_the_base_case_is_said_at_its_line(tmp_path):
    (tmp_path / "base.toml").write_text(BASE.read_text().replace("gauge_mm = 0.245", "gauge_mm = -1"))
    path = tmp_path / "study.toml"
    path.write_text(GOOD.replace(str(BASE), "base.toml"))
    with pytest.raises(CaseError, match=r"base\.toml:\d+: shape\.gauge_mm: out of range"):
        read_study(path)


def test_all_faults_are_said_at_once(tmp_path):
    path = tmp_path / "study.toml"
    path.write_text(swap("[0.23, 0.25]", "[]").replace("count = 3", "count = 1").replace('"0.4 *', '"0.4 @'))
    with pytest.raises(CaseError) as caught:
        read_study(path)
    assert [fault.line for fault in caught.value.faults] == [5, 6, 8]


def test_a_row_of_the_wrong_length_names_its_line(tmp_path):
    (tmp_path / "designs.csv").write_text("shape.gauge_mm,shape.heel_radius_mm\n0.2,4\n0.2\n")
    path = tmp_path / "study.toml"
    path.write_text(f'[study]\nbase_case = "{BASE}"\n[designs]\nfile = "designs.csv"')
    with pytest.raises(CaseError, match=r"designs\.csv:3: has other columns than the first line"):
        read_study(path)


def test_a_value_that_only_does_not_go_with_others_is_no_fault_of_the_study(tmp_path):
    path = tmp_path / "study.toml"
    path.write_text(swap("[0.23, 0.25]", "[0.23, -0.25]"))
    study = read_study(path)
    with pytest.raises(CaseError, match=r"shape\.gauge_mm: out of range"):
        study.case(study.design(6))


@pytest.mark.parametrize("content", [b"", b"\x00\x01", "ä".encode("latin-1"), b"[[[["])
def test_bytes_that_are_no_study(tmp_path, content):
    path = tmp_path / "study.toml"
    path.write_bytes(content)
    with pytest.raises(CaseError, match=str(path)):
        read_study(path)
