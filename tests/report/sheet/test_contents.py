"""What contents make, on the margin sheet of a made run: table, picture, words, and a record that keeps to them."""

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from buckle.analysis import run
from buckle.case import read_case
from buckle.errors import CaseError
from buckle.margins.judge import judge
from buckle.record.margins import verdict_fields
from buckle.record.quantities import of_case, record
from buckle.record.seal import sealed
from buckle.record.sheet.content import sheet_of
from buckle.record.sheet.contents import contents_of
from buckle.record.stored import read_record
from buckle.report.console import contents_lines
from buckle.report.files import Shown, write_results
from buckle.report.sheet.page import markdown_of
from buckle.report.sheet.tables import contents_table
from buckle.units import RECORDED
from tests.helpers.made_run import made_case, made_outcomes
from tests.helpers.page import check_page, printed_letters, read_page
from tests.helpers.paths import ROOT

STILL = {
    "gas": "nitrogen",
    "fill_pressure_bar": 0.7,
    "liquid_ml": 355,
    "headspace_ml": 20,
    "fill_temperature_degC": 20,
    "temperatures_degC": [4, 38],
    "pasteuriser": [{"time_min": 12, "temperature_degC": 65}],
}
CASE = made_case(contents=STILL, loads={"pressure_side": "inside"}, requirements={"pressure_bar": 1.5, "onset": "flow"})
OUTCOMES = made_outcomes(CASE)
JUDGED = judge(CASE, OUTCOMES)
RECORD = record(CASE, OUTCOMES, verdict_fields(JUDGED))
SHEET = sheet_of(RECORD, "2026-01-02")


@pytest.fixture(scope="module")
def directory(tmp_path_factory: pytest.TempPathFactory) -> Path:
    target = tmp_path_factory.mktemp("filled") / "run"
    write_results(target, CASE, OUTCOMES, verdict_fields(JUDGED))
    return target


def test_the_demand_is_that_of_the_contents() -> None:
    """0.7 bar of nitrogen at 20 degC are 2.00 bar at 65 degC: collected trade data, section 4.3."""
    assert RECORD["demand_bar"] == pytest.approx(2.00, abs=0.006)
    assert RECORD["required_pressure_bar"] == pytest.approx(RECORD["demand_bar"], rel=1e-12)
    assert SHEET.verdict is not None
    assert SHEET.verdict.demand_from == "the contents of the case, which make more than it requires"
    assert "higher than the 1.5 bar that the case requires" in RECORDED.words(SHEET.contents.demand)


def test_every_condition_stands_on_the_sheet() -> None:
    rows = contents_table(SHEET, RECORDED).rows
    assert [row[1].whole for row in rows] == ["4 degC", "38 degC", "65 degC"]
    assert [row[3].whole for row in rows] == ["–", "–", "12 min"]
    assert [row[4].value for row in rows] == [each["pressure_bar"] for each in RECORD["demand_conditions"]]
    assert all(row[7].text == "–" for row in rows)  # a second solubility is known of carbon dioxide alone


def test_the_page_has_table_picture_and_words(directory: Path) -> None:
    html = (directory / "margin-sheet.html").read_text("utf-8")
    check_page(html)
    page = read_page(html)
    assert len(page.all("svg")) == len(list(directory.glob("*.svg")))
    for words in (
        "What the contents make",
        RECORDED.words(SHEET.contents.demand),
        RECORDED.words(SHEET.contents.holds),
        "Assumed: the container is taken",
    ):
        assert words in html
    markdown = markdown_of(SHEET, directory)
    assert RECORDED.words(SHEET.contents.demand) in markdown
    assert "`demand.svg`" in markdown


def test_letters_of_the_picture_can_be_read_in_print(directory: Path) -> None:
    assert printed_letters((directory / "demand.svg").read_text("utf-8")) >= 6.95


def test_the_picture_says_up_to_where_it_holds(directory: Path) -> None:
    text = (directory / "demand.svg").read_text("utf-8")
    for words in ("demand, 65 °C", "required", "carried, metal 20 °C"):
        assert words in text


def test_the_record_agrees_with_its_case_and_is_refused_otherwise(tmp_path: Path) -> None:
    """Of a real run: what made analyses found does not follow from a path."""
    text = (ROOT / "cases/demo/base.toml").read_text("utf-8")
    (tmp_path / "base.toml").write_text(re.sub(r"(?m)^run = .*$", 'run = ["GMNA"]', text), "utf-8")
    case = read_case(tmp_path / "base.toml")
    outcomes, directory = [run(case, "GMNA", estimate_error=False)], tmp_path / "run"
    write_results(directory, case, outcomes, verdict_fields(judge(case, outcomes)), shown=Shown(()))
    stored = read_record(directory)
    assert stored["demand_bar"] == of_case(case)["demand_bar"]
    path = directory / "results.json"
    path.write_text(json.dumps(sealed({**stored, "demand_bar": 1.0}, directory.iterdir())), "utf-8")
    with pytest.raises(CaseError, match="demand_bar: is not what the case file gives"):
        read_record(directory)
    warmer = {**stored, "holds_to_temperature_degC": stored["holds_to_temperature_degC"] + 5.0}
    path.write_text(json.dumps(sealed(warmer, directory.iterdir())), "utf-8")
    with pytest.raises(CaseError, match="holds_to_temperature_degC: is not what the case file gives"):
        read_record(directory)
    path.write_text(json.dumps(sealed({**stored, "demand_vacuum_bar": -1.0}, directory.iterdir())), "utf-8")
    with pytest.raises(CaseError, match="demand_vacuum_bar"):
        read_record(directory)


def test_what_a_run_prints_of_contents() -> None:
    lines = list(contents_lines(sheet_of(RECORD, "")))
    assert lines[0].startswith("DEMAND: [2.0")
    assert lines[-1].startswith("Holds ")
    bare = replace(sheet_of(RECORD, ""), contents=None)
    assert not list(contents_lines(bare))


def test_a_case_without_contents_says_nothing_of_any() -> None:
    case = made_case()
    stored = record(case, made_outcomes(case), verdict_fields(judge(case, made_outcomes(case))))
    assert contents_of(stored) is None
    assert not [key for key in stored if key.startswith(("demand", "holds"))]
