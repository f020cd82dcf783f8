"""`buckle run --sensitivities` and [tolerances]: what is printed, recorded, and shown on the sheet."""

import json
from pathlib import Path

import pytest

from buckle.cli import main
from buckle.commands.codes import MET
from tests.helpers.cap_case import CAP

ELASTIC = CAP.replace('"LBA"', '"GNA"').replace("poissons_ratio = 0.3", "poissons_ratio = 0.3\nyields = false")
CASE = ELASTIC + "[requirements]\npressure_bar = 3.0\n[numerics]\nmesh_density = 0.5\n"
TOLERANCES = '[tolerances]\n"shape.thickness_mm" = { minus = 0.02, plus = 0.01 }\n'


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> Path:
    """A run of a case with tolerances, which asks for sensitivities by itself."""
    folder = tmp_path_factory.mktemp("run")
    (folder / "cap.toml").write_text(CASE + TOLERANCES)
    assert main(["run", str(folder / "cap.toml"), "--out", str(folder / "out"), "--quiet"]) == MET
    return folder / "out" / "cap"


def test_the_reserve_at_the_ends_of_a_tolerance_follows_from_the_derivative(made: Path) -> None:
    """reserve (1 + d ln p / d ln t * change / t), by which a thinner wall has less and a thicker one more."""
    record = json.loads((made / "results.json").read_text())
    rows = {(row["quantity"], row["key"]): row for row in record["sensitivities"]}
    relative = rows["GNA.capacity_pressure_bar", "shape.thickness_mm"]["relative"]
    (width,) = record["reserve_at_tolerances"]
    assert 1.0 < relative < 3.0
    assert (width["low"], width["high"]) == (0.98, 1.01)
    assert width["reserve_at_low"] == pytest.approx(record["reserve_factor"] * (1.0 - 0.02 * relative), rel=1e-9)
    assert width["reserve_at_high"] == pytest.approx(record["reserve_factor"] * (1.0 + 0.01 * relative), rel=1e-9)


def test_the_sheet_shows_the_steps_and_the_bars(made: Path) -> None:
    page = (made / "margin-sheet.html").read_text()
    assert (made / "sensitivities.svg").is_file()
    assert "What a step of each number makes of GNA.capacity_pressure_bar" in page
    assert "The least reserve factor at the ends of each tolerance" in page
    assert "0.01 mm" in page


def test_a_plain_run_derives_nothing_and_one_that_is_asked_does(tmp_path: Path, capsys) -> None:
    (tmp_path / "cap.toml").write_text(CASE)
    main(["run", str(tmp_path / "cap.toml"), "--out", str(tmp_path / "plain"), "--figures", "none"])
    assert "What a step" not in capsys.readouterr().out
    assert "sensitivities" not in json.loads((tmp_path / "plain/cap/results.json").read_text())
    main(["run", str(tmp_path / "cap.toml"), "--out", str(tmp_path / "asked"), "--figures", "none", "--sensitivities"])
    assert "What a step of each number makes of" in capsys.readouterr().out


def test_a_review_of_a_case_tells_what_a_run_of_it_does(made: Path, tmp_path: Path) -> None:
    (tmp_path / "cap.toml").write_text(CASE + TOLERANCES)
    assert main(["review", str(tmp_path / "cap.toml"), "--out", str(tmp_path / "out"), "--quiet"]) == MET
    reviewed, ran = (json.loads((each / "results.json").read_text()) for each in (tmp_path / "out/cap", made))
    assert reviewed["reserve_at_tolerances"] == ran["reserve_at_tolerances"]
