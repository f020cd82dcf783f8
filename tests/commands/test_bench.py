"""`buckle bench` as a user meets it: exit codes, table, JUnit XML, JSON, refusals, and what a killed process does."""

import json
import os
from pathlib import Path
from xml.etree import ElementTree as Xml

import pytest

from buckle.cli import main
from buckle.commands import bench as benchmark
from buckle.commands.bench import try_all
from buckle.commands.codes import MET, NOT_MET, UNFINISHED, WRONG_INPUT
from buckle.margins import Comparison
from buckle.report.bench.junit import junit
from buckle.report.bench.trial import Trial
from buckle.results import Outcome, Status
from tests.helpers.paths import ROOT
from tests.helpers.trials import killed_or_met

CASE = """
[case]
title = "a plate at first yield"
purpose = "benchmark"
[material]
youngs_modulus_GPa = 69.0
poissons_ratio = 0.3
yield_stress_MPa = 250.0
hardening = { law = "none" }
[shape]
family = "circular_plate"
radius_mm = 100.0
thickness_mm = 1.0
[supports]
outer_edge = "roller"
[loads]
pressure_side = "outside"
[analyses]
run = ["LA"]
"""
EXPECT = """
[[expect]]
quantity = "LA.first_yield_pressure_bar"
value = {}
tolerance_percent = 0.1
reason = "mesh"
source = "6 (3 + nu)/16 p (a/t)^2"
"""
RIGHT, WRONG = CASE + EXPECT.format(0.20202), CASE + EXPECT.format(0.25)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two cases that meet what they expect, one of them a folder below."""
    root = tmp_path / "suite"
    (root / "plate").mkdir(parents=True)
    (root / "one.toml").write_text(RIGHT)
    (root / "plate" / "two.toml").write_text(RIGHT)
    return root


def bench(folder: Path, *more: str) -> int:
    return main(["bench", str(folder), "--jobs", "1", *more])


def test_all_met(folder: Path, capsys) -> None:
    assert bench(folder) == MET
    printed = capsys.readouterr()
    assert "2 cases with 2 expectations: 2 met, 0 missed, 0 unfinished" in printed.out
    assert "6 (3 + nu)/16" in printed.out
    assert printed.err == ""


def test_one_missed(folder: Path, capsys) -> None:
    (folder / "three.toml").write_text(WRONG)
    assert bench(folder) == NOT_MET
    printed = capsys.readouterr().out
    assert "NOT MET" in printed
    assert "1 missed" in printed


def test_a_quantity_that_did_not_come_out_is_missed(folder: Path, capsys) -> None:
    (folder / "three.toml").write_text(CASE + EXPECT.format(1.0).replace("LA.first_yield", "LA.limit"))
    assert bench(folder) == NOT_MET
    assert "not found" in capsys.readouterr().out


def test_an_analysis_that_does_not_finish(folder: Path, capsys, monkeypatch) -> None:
    failed = Outcome("LA", Status.FAILED, "no stiffness", "hold an edge")
    monkeypatch.setattr(benchmark, "run", lambda *_, **__: failed)
    assert bench(folder, "--junit", str(folder / "out.xml")) == UNFINISHED
    assert "LA did not finish: no stiffness; try: hold an edge" in capsys.readouterr().out
    errors = Xml.parse(folder / "out.xml").getroot().findall(".//error")
    assert [error.get("message") for error in errors] == ["LA did not finish: no stiffness; try: hold an edge"] * 2


def test_junit_names_cases_and_says_what_was_missed(folder: Path, tmp_path: Path) -> None:
    (folder / "plate" / "three.toml").write_text(WRONG)
    assert bench(folder, "--quiet", "--junit", str(tmp_path / "out.xml")) == NOT_MET
    root = Xml.parse(tmp_path / "out.xml").getroot()
    suite = root.find("testsuite")
    assert root.tag == "testsuites"
    assert [suite.get(key) for key in ("tests", "failures", "errors")] == ["3", "1", "0"]
    cases = {case.get("name"): case for case in suite}
    assert list(cases) == ["one", "plate/three", "plate/two"]
    assert cases["plate/two"].get("classname") == "benchmarks.plate"
    assert cases["plate/two"].find("failure") is None
    assert "expected 0.25, deviation 19.2 %, tolerance 0.1 %" in cases["plate/three"].find("failure").text
    assert all(float(case.get("time")) > 0.0 for case in suite)


def test_junit_of_characters_that_xml_cannot_hold(tmp_path: Path) -> None:
    compared = Comparison("a <b> & c", 1.0, None, None, 1.0, False, "bell \x07, surrogate \ud800", "")
    text = Xml.tostring(junit([Trial("x", "t\x00", 1.0, (compared,))], 1.0))
    assert "a <b> & c: computed None" in Xml.fromstring(text).find(".//failure").text


def test_json_is_one_object_without_times(folder: Path, tmp_path: Path, capsys) -> None:
    texts = []
    for _ in range(2):
        assert bench(folder, "--json", "-") == MET
        texts.append(capsys.readouterr().out)
    assert texts[0] == texts[1]
    printed = json.loads(texts[0])
    assert [case["name"] for case in printed["cases"]] == ["one", "plate/two"]
    (expectation,) = printed["cases"][0]["expectations"]
    assert expectation["met"] is True
    assert expectation["computed"] == pytest.approx(0.20202, rel=1e-3)
    assert bench(folder, "--quiet", "--json", str(tmp_path / "out.json")) == MET
    assert capsys.readouterr().out == ""
    assert json.loads((tmp_path / "out.json").read_text()) == printed


def test_pressures_in_the_unit_asked_for(folder: Path, capsys) -> None:
    bench(folder, "--pressure-unit", "kPa")
    printed = capsys.readouterr().out
    assert "first_yield_pressure_kPa" in printed
    assert "20.202" in printed


def test_a_single_file(folder: Path, capsys) -> None:
    assert bench(folder / "plate" / "two.toml") == MET
    assert "1 case with 1 expectation: 1 met" in capsys.readouterr().out


def test_no_directory_is_written(folder: Path, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    before = sorted(tmp_path.rglob("*"))
    assert bench(folder, "--quiet") == MET
    assert sorted(tmp_path.rglob("*")) == before


def test_without_a_path_the_folder_of_the_current_directory(folder: Path, tmp_path: Path, capsys, monkeypatch) -> None:
    (tmp_path / "cases").mkdir()
    folder.rename(tmp_path / "cases" / "benchmarks")
    monkeypatch.chdir(tmp_path)
    assert main(["bench", "--jobs", "1"]) == MET
    assert "2 cases" in capsys.readouterr().out


def test_elsewhere_the_folder_of_the_source_tree(tmp_path: Path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)
    assert benchmark.default_folder() == ROOT / "cases" / "benchmarks"


def test_a_design_without_expectations_is_left_out_and_said_so(folder: Path, capsys) -> None:
    (folder / "design.toml").write_text(CASE.replace('"benchmark"', '"design"'))
    assert bench(folder) == MET
    printed = capsys.readouterr().out
    assert "2 cases" in printed
    assert "expect nothing" in printed
    assert "design.toml" in printed


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("bad.toml", CASE.replace("radius_mm = 100.0", "radius_mm = -1.0"), "shape.radius_mm"),
        ("bare.toml", CASE, "benchmark without [[expect]]"),
        ("odd.toml", RIGHT.replace("LA.first", "GNA.first"), "expect[0].quantity"),
    ],
)
def test_wrong_cases_stop_all_before_any_work(folder: Path, name: str, text: str, said: str, capsys) -> None:
    (folder / name).write_text(text)
    assert bench(folder, "--junit", str(folder / "out.xml")) == WRONG_INPUT
    printed = capsys.readouterr()
    assert printed.out == ""
    assert name in printed.err
    assert said in printed.err
    assert not (folder / "out.xml").exists()


def test_paths_that_hold_nothing(tmp_path: Path, capsys) -> None:
    assert bench(tmp_path / "missing") == WRONG_INPUT
    assert "no such file or folder" in capsys.readouterr().err
    assert bench(tmp_path) == WRONG_INPUT
    assert "no case with [[expect]]" in capsys.readouterr().err


@pytest.mark.parametrize("option", ["--junit", "--json"])
def test_a_file_that_cannot_be_written_is_refused_before_the_work(folder: Path, option: str, capsys) -> None:
    assert bench(folder, option, str(folder / "no" / "such")) == WRONG_INPUT
    assert "cannot be written" in capsys.readouterr().err


@pytest.mark.parametrize("count", ["0", "-1", "two", "1.5"])
def test_a_number_of_processes_is_a_positive_whole_number(folder: Path, count: str) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["bench", str(folder), f"--jobs={count}"])
    assert stopped.value.code == WRONG_INPUT


def test_two_processes_find_what_one_finds(folder: Path) -> None:
    paths = sorted(folder.rglob("*.toml"))
    counted: list[int] = []
    parallel = try_all(folder, paths, 2, lambda: counted.append(1))
    serial = try_all(folder, paths, 1, lambda: None)
    assert [trial.comparisons for trial in parallel] == [trial.comparisons for trial in serial]
    assert [trial.name for trial in parallel] == ["one", "plate/two"]
    assert len(counted) == 2
    assert os.environ.get("MKL_NUM_THREADS") == MKL_THREADS


MKL_THREADS = os.environ.get("MKL_NUM_THREADS")


def test_a_killed_process_is_named_and_the_others_are_kept(folder: Path, monkeypatch) -> None:
    (folder / "killer.toml").write_text(RIGHT)
    monkeypatch.setattr(benchmark, "try_case", killed_or_met)
    counted: list[int] = []
    trials = try_all(folder, sorted(folder.rglob("*.toml")), 2, lambda: counted.append(1))
    assert {trial.name: trial.status for trial in trials} == {"killer": "unfinished", "one": "met", "plate/two": "met"}
    assert len(counted) == 3
    assert benchmark.exit_code(trials) == UNFINISHED


def test_help(capsys) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["bench", "--help"])
    assert stopped.value.code == 0
    printed = capsys.readouterr().out
    assert all(word in printed for word in ("--junit", "--jobs", "--json", "--quiet", "--pressure-unit"))
