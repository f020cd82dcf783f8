"""What the page of a batch carries, against the table that results.csv is written from and against numbers by hand."""

import csv
import io
import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from buckle.case import read_case
from buckle.margins.judge import judge
from buckle.report.batch.explorer import outline, write_explorer
from buckle.report.batch.page_data import NO_EVENT, page_data
from buckle.results import Outcome, Status
from buckle.store import Table
from tests.helpers.made_run import made_case
from tests.helpers.paths import ROOT

TRAP = "</script><script>console.error('broken out')</script><!--"
UNITS = {"pressure": "bar", "length": "mm"}
CAPACITY, AT_LEAST = "GMNA.capacity_pressure_bar", "GMNA.at_least_pressure_bar"


def row(design: int, gauge: float, **quantities: object) -> dict[str, object]:
    names = {"capacity": CAPACITY, "at_least": AT_LEAST, "state": "governing_limit_state", "reserve": "reserve_factor"}
    found = {names.get(key, key): value for key, value in quantities.items()}
    base = {"design": design, "shape.gauge_mm": gauge, "shape.wall_gauge_mm": 0.4 * gauge, "status": "solved"}
    return {**base, "required": True, "required_pressure_bar": 6.2, **found, "reason": found.get("reason", "")}


ROWS = (
    row(1, 0.21, capacity=5.1, reserve=5.1 / 6.2, verdict="not met", mass_g=3.9, state="dome reversal"),
    row(2, 0.23, capacity=1 / 0.15, reserve=1 / 0.93, verdict="met", mass_g=4.3, state="dome reversal"),
    row(3, 0.25, at_least=9.0, reserve=9.0 / 6.2, verdict="met", mass_g=4.6, state="no event found"),
    row(4, 0.05, status="not built", reason='too thin, says "it"\nover two lines'),
)
QUANTITIES = (CAPACITY, AT_LEAST, "mass_g", "verdict", "reserve_factor", "governing_limit_state")
QUANTITIES += ("required", "required_pressure_bar")


def made_table(rows: tuple = ROWS, **more: object) -> Table:
    return Table("Made", ("shape.gauge_mm", "shape.wall_gauge_mm"), QUANTITIES, rows, **more)


def columns_of(data: dict) -> dict:
    return {column["name"]: column for column in data["columns"]}


def test_the_page_carries_every_cell_of_results_csv_to_its_last_digit(tmp_path: Path) -> None:
    table = made_table()
    write_explorer(tmp_path / "explorer.html", table, {}, "psi", "in")
    text = (tmp_path / "explorer.html").read_text(encoding="utf-8")
    carried = columns_of(json.loads(re.search(r'id="data">(.*?)</script>', text)[1]))
    lines = list(csv.DictReader(io.StringIO("".join(table.lines()))))
    assert list(carried) == list(lines[0])
    for name, column in carried.items():
        assert ["" if value is None else str(value) for value in column["values"]] == [line[name] for line in lines]


def test_the_page_needs_nothing_from_outside_and_no_text_breaks_out_of_it(tmp_path: Path) -> None:
    table = made_table((*ROWS, row(5, 0.2, status="failed", reason=TRAP)))
    write_explorer(tmp_path / "explorer.html", replace(table, title=f"caps & <cups> {TRAP}"), {})
    text = (tmp_path / "explorer.html").read_text(encoding="utf-8")
    assert "<title>caps &amp; &lt;cups&gt; &lt;/script&gt;" in text
    assert re.findall(r"(?:src|href)=\"([^\"]*)\"", text) == ["data:,"]
    assert re.findall(r"https?://[^\"' ]+", text) == ["http://www.w3.org/2000/svg"]  # a name, not an address
    assert not re.findall(r"@import|url\(|fetch\(|XMLHttpRequest|import\(|WebSocket|sendBeacon", text)
    assert "default-src 'none'" in text  # a browser that reads this fetches nothing
    assert text.count("</script>") == text.count("<script") == 3
    data = json.loads(re.search(r'id="data">(.*?)</script>', text)[1])
    assert columns_of(data)["reason"]["values"][4] == TRAP


def test_a_value_that_was_not_found_is_at_least_what_the_path_reached() -> None:
    columns = columns_of(page_data(made_table(), UNITS))
    assert columns[CAPACITY]["bounds"] == {2: 9.0}
    assert columns[AT_LEAST]["bounds"] == {2: 9.0}
    assert columns["reserve_factor"]["bounds"] == {2: 9.0 / 6.2}
    assert "bounds" not in columns["mass_g"]


def test_a_batch_that_met_no_event_at_all_shows_what_its_paths_reached() -> None:
    table = made_table((ROWS[2], ROWS[3]))
    table = Table(table.title, table.varied, tuple(name for name in QUANTITIES if name != CAPACITY), table.rows)
    data = page_data(table, UNITS)
    assert data["start"]["y"] == AT_LEAST
    assert AT_LEAST in data["main"]


def test_the_reserve_of_a_path_without_an_event_is_known_by_the_name_that_margins_give_it() -> None:
    case = made_case(requirements={"pressure_bar": 2.0})
    path = Outcome("GMNA", Status.NO_LIMIT, "strain", "", reached=0.3, bracketed=True)
    assert judge(case, [path], hands={}).governing.limit_state == NO_EVENT


def test_pressures_are_held_against_what_is_required_and_reserves_against_1() -> None:
    columns = columns_of(page_data(made_table(), UNITS))
    assert columns[CAPACITY]["lines"] == [{"value": 6.2, "words": "required"}]
    assert columns["reserve_factor"]["lines"] == [{"value": 1.0, "words": "required"}]
    assert [name for name in columns if "lines" in columns[name]] == [CAPACITY, AT_LEAST, "reserve_factor"]


def test_requirements_that_differ_are_no_line() -> None:
    data = page_data(made_table((ROWS[0], {**ROWS[1], "required_pressure_bar": 7.0})), UNITS)
    assert data["differs"]
    assert "lines" not in columns_of(data)[CAPACITY]
    assert not page_data(made_table(), UNITS)["differs"]


def test_inputs_come_before_results_and_the_chart_begins_with_the_first_that_varies() -> None:
    data = page_data(made_table(), UNITS)
    reserve = ["reserve_factor", "verdict", "governing_limit_state", "mass_g"]
    assert data["main"] == ["design", "shape.gauge_mm", "shape.wall_gauge_mm", CAPACITY, *reserve, "status"]
    assert (data["start"]["x"], data["start"]["y"]) == ("shape.gauge_mm", CAPACITY)
    same = made_table(tuple({**each, "shape.gauge_mm": 0.2} for each in ROWS))
    assert page_data(same, UNITS)["start"]["x"] == "shape.wall_gauge_mm"


def test_the_lightest_that_is_met_is_picked_and_of_samples_the_worst() -> None:
    assert page_data(made_table(), UNITS)["start"]["row"] == 1
    assert page_data(made_table(random=True), UNITS)["start"]["row"] == 0
    assert page_data(made_table((ROWS[3],)), UNITS)["start"]["row"] == 0


def test_a_derived_input_need_not_agree_where_a_line_joins_designs() -> None:
    """The wall's gauge is 0.4 of the base's; a grade, which is a word, must agree."""
    assert page_data(made_table(), UNITS)["independent"] == ["shape.gauge_mm"]
    rows = tuple({**each, "material.grade": "A"} for each in ROWS)
    table = Table("Made", ("shape.gauge_mm", "material.grade"), QUANTITIES, rows)
    assert page_data(table, UNITS)["independent"] == ["shape.gauge_mm", "material.grade"]


def test_units_are_those_of_the_names() -> None:
    data = page_data(made_table(), UNITS)
    columns = columns_of(data)
    assert (columns[CAPACITY]["dimension"], columns[CAPACITY]["unit"]) == ("pressure", "bar")
    assert (columns["shape.gauge_mm"]["dimension"], columns["shape.gauge_mm"]["unit"]) == ("length", "mm")
    assert "dimension" not in columns["mass_g"]
    # pound 0.45359237 kg, gravity 9.80665 m/s2, inch 25.4 mm: see buckle.units for where they are from
    assert data["units"]["pressure"]["psi"] == pytest.approx(0.45359237 * 9.80665 / 0.0254**2 / 1e5, rel=1e-15)
    assert data["units"]["length"]["in"] == 25.4


def test_an_outline_keeps_to_its_arcs_with_few_points() -> None:
    """A chord leaves its arc by 0.01 mm at most, rounding to hundredths moves a point by 0.005 mm in r and in z."""
    meridian = read_case(ROOT / "cases" / "demo" / "base.toml").meridian
    at = meridian.at_s(np.linspace(0.0, meridian.length, 3001))
    points = np.array(outline(meridian))
    start, along = points[:-1], np.diff(points, axis=0)
    there = np.stack([at.r, at.z], axis=1)[:, None, :] - start
    share = np.clip((there * along).sum(axis=2) / (along**2).sum(axis=1), 0.0, 1.0)
    distance = np.linalg.norm(there - share[..., None] * along, axis=2).min(axis=1)
    assert distance.max() < 0.01 + 0.005 * np.sqrt(2.0) + 0.001
    assert len(points) < 80


def test_loads_of_a_containers_part_are_held_as_those_of_a_case() -> None:
    """Behind the part's name, and its state's: against what is required, at least where the path was followed to."""
    named = {f"wall.hot.{name}" for name in (CAPACITY, AT_LEAST)}
    rows = [
        {(f"wall.hot.{key}" if key in (CAPACITY, AT_LEAST) else key): value for key, value in each.items()}
        for each in ROWS
    ]
    quantities = tuple(f"wall.hot.{name}" if f"wall.hot.{name}" in named else name for name in QUANTITIES)
    found = columns_of(page_data(replace(made_table(tuple(rows)), quantities=quantities), UNITS))
    column, alone = found[f"wall.hot.{CAPACITY}"], columns_of(page_data(made_table(), UNITS))[CAPACITY]
    for key in ("held", "lines", "bounds", "values", "unit"):
        assert column[key] == alone[key]


def test_a_batch_of_containers_begins_with_the_part_that_goes_first() -> None:
    rows = tuple({**each, "capacity_pressure_bar": 5.0 + at} for at, each in enumerate(ROWS))
    table = replace(made_table(rows), quantities=(*QUANTITIES, "capacity_pressure_bar"))
    assert page_data(table, UNITS)["start"]["y"] == "capacity_pressure_bar"
