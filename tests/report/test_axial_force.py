"""An axial force that increases, as pictures, tables, sheet and batch show it: in N, and nowhere as a pressure."""

import csv
import io

import pytest

from buckle.analysis import run
from buckle.batch.numbers import batch_of
from buckle.case import Case
from buckle.margins.judge import judge
from buckle.record.margins import verdict_fields
from buckle.record.quantities import record
from buckle.record.sheet.content import sheet_of
from buckle.record.tables import path_table, wave_table
from buckle.report.figures.all import figures
from buckle.report.sheet.tables import ladder_table, margin_table, movement_table
from buckle.results import Outcome
from buckle.store import RowStatus, Table
from buckle.units import RECORDED
from tests.helpers.bodies import case, cylinder_shape

LOADS = {"increases": "axial_force", "axial_force_N": -1.0, "pressure_bar": 2.0}


@pytest.fixture(scope="module")
def tube() -> Case:
    """R/t = 100 under 2 bar, which must carry 100 kN."""
    edges = {"start_edge": "clamped", "outer_edge": "sleeve"}
    needs = {"axial_force_kN": 100.0}
    return case(
        cylinder_shape(100.0, 1.0),
        run="GNA",
        side="inside",
        edges=edges,
        loads=LOADS,
        waves=(0, 12),
        requirements=needs,
    )


@pytest.fixture(scope="module")
def found(tube: Case) -> list[Outcome]:
    return [run(tube, kind, estimate_error=False) for kind in ("LA", "LBA", "GNA")]


def texts_of(figure: object) -> list[str]:
    texts = [text.get_text() for text in figure.texts]
    for axes in figure.axes:
        texts += [axes.get_ylabel(), axes.get_title(loc="left"), *(text.get_text() for text in axes.texts)]
    return texts


def test_pictures_say_axial_force_in_newtons(tube: Case, found: list[Outcome]) -> None:
    pictures = {name: texts_of(figure) for name, figure in figures(tube, found)}
    assert {"paths", "critical-pressures", "stresses", "modes"} <= set(pictures)
    for name in ("paths", "critical-pressures"):
        assert "axial force, compression  [N]" in pictures[name]
        assert any(text.endswith("required") and text.startswith("100000") for text in pictures[name])
    assert any("axial force against" in text for text in pictures["paths"])
    assert not any(" bar" in text or "[bar]" in text for texts in pictures.values() for text in texts)


def test_tables_of_a_run_name_the_force(found: list[Outcome]) -> None:
    path = list(csv.DictReader(io.StringIO(path_table(found))))
    waves = list(csv.DictReader(io.StringIO(wave_table(found))))
    assert float(path[0]["axial_force_N"]) == 0.0 > float(path[1]["axial_force_N"])
    assert all(float(row["axial_force_N"]) < 0.0 for row in waves)
    assert "pressure_bar" not in {*path[0], *waves[0]}


def test_the_first_state_of_a_path_is_that_under_the_pressure(found: list[Outcome]) -> None:
    """2 bar widen it by p R^2 (1 - nu/2) / (E t) = 0.0246 mm with closed ends, most of it in the middle; 10 %."""
    assert found[2].path.growth[0] == pytest.approx(0.2 * 100.0**2 * 0.85 / 69000.0, rel=0.1)


def test_a_sheet_has_forces_where_pressures_stand(tube: Case, found: list[Outcome]) -> None:
    sheet = sheet_of(record(tube, found, verdict_fields(judge(tube, found))), "")
    capacity = margin_table(sheet, RECORDED)
    column = capacity.columns.index("capacity")
    assert {row[column].unit for row in capacity.rows} == {"N"}
    assert all(row[column].value < 0.0 for row in capacity.rows)
    assert "axial force" in movement_table(sheet, RECORDED).columns
    assert "axial force" in ladder_table(sheet, RECORDED).columns


def test_a_batch_takes_forces_by_their_size() -> None:
    rows = [
        {
            "design": at,
            "loads.pressure_bar": float(at),
            "GMNA.capacity_axial_force_N": -1000.0 - at,
            "status": RowStatus.SOLVED,
        }
        | {"required_axial_force_N": -800.0}
        for at in range(1, 4)
    ]
    quantities = ("GMNA.capacity_axial_force_N", "required_axial_force_N")
    table = Table("made up", ("loads.pressure_bar",), quantities, tuple(rows))
    batch = batch_of(table)
    assert list(batch.load) == [1001.0, 1002.0, 1003.0]
    assert (batch.demand, batch.load_words) == (800.0, "axial force")
