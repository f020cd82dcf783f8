"""Tables of a run, and the promise that a results directory is written whole or not at all."""

import csv
import io
import json
import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from buckle.errors import CaseError
from buckle.record.directory import replaced
from buckle.record.quantities import record
from buckle.record.tables import PATH_COLUMNS, path_table, wave_table
from buckle.report import files
from buckle.report.files import Shown, write_results
from tests.helpers.made_run import made_case, made_outcomes

CASE = made_case()
OUTCOMES = made_outcomes(CASE)
VERDICT = {"verdict": "no verdict", "margins": []}
ROW = {"limit_state": "collapse", "method": "GMNA", "verdict": "met"}


def _content(directory: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in directory.iterdir()}


def test_path_table_has_a_row_a_state_in_bar_mm_and_ml() -> None:
    text = path_table(OUTCOMES)
    rows = list(csv.DictReader(io.StringIO(text)))
    assert text.startswith(",".join(PATH_COLUMNS) + "\nGNA,0,0,0,0,0,0,\n")
    assert "\r" not in text
    assert len(rows) == 10
    assert rows[8] == {
        "kind": "GMNA",
        "pressure_bar": "2.5",
        "apex_travel_mm": "-0.6",
        "growth_mm": "0.6",
        "volume_change_ml": "-0.7407",
        "largest_plastic_strain": "0.02",
        "newton_steps": "4",
        "stand_drop_mm": "0.3",
    }


def test_wave_table() -> None:
    text = wave_table(OUTCOMES)
    assert text == "kind,wave_number,pressure_bar\nLBA,0,5\nLBA,1,4\nLBA,2,3.75\nLBA,3,4.5\n"


def test_tables_of_nothing_are_empty() -> None:
    assert path_table(OUTCOMES[:2]) == ""
    assert wave_table(OUTCOMES[2:]) == ""


def test_everything_is_written_and_named(tmp_path: Path) -> None:
    margins = [{**ROW, "capacity_bar": 2.5, "demand_bar": 2.0, "reserve_factor": 1.25}]
    verdict = {"verdict": "met", "margins": margins}
    target = tmp_path / "deep" / "made"
    written = write_results(target, CASE, OUTCOMES, verdict, shown=Shown(("svg", "png")))
    graphs = ["critical-pressures", "deformed", "modes", "paths", "plastic-strain", "section", "stresses"]
    surfaces = ["limit-GMNA", "limit-GNA", "mode-GMNA-n3", "mode-GNA-n3", "mode-LBA-n1", "mode-LBA-n2"]
    names = ["by_wave_number.csv", "case.json", "path.csv", "results.json", *[f"{name}.vtu" for name in surfaces]]
    graphs += ["magnified", "material", "mode"]
    names += ["margin-sheet.html", *(f"{name}.{suffix}" for name in graphs for suffix in ("svg", "png"))]
    assert sorted(os.listdir(target)) == sorted(names)
    assert all(path.stat().st_size > 0 for path in target.iterdir())
    assert os.listdir(tmp_path / "deep") == ["made"]
    read = json.loads((target / "results.json").read_text(encoding="utf-8"))
    assert read == written
    assert set(read.pop("record")["artefacts_sha256"]) == set(names) - {"case.json", "results.json"}
    assert read == record(CASE, OUTCOMES, verdict)
    assert read["margins"] == margins


def test_same_run_gives_the_same_bytes(tmp_path: Path) -> None:
    """On one machine and of one time; the SVG files hold no date and no random name."""
    for name in ("one", "two"):
        write_results(tmp_path / name, CASE, OUTCOMES, VERDICT, when="2026-01-02T03:04:05Z")
    assert _content(tmp_path / "one") == _content(tmp_path / "two")


@pytest.mark.usefixtures("without_pictures")
def test_new_results_replace_all_of_the_old_and_keep_what_is_not_ours(tmp_path: Path) -> None:
    target = tmp_path / "made"
    write_results(target, CASE, OUTCOMES, VERDICT)
    (target / "notes.txt").write_text("mine")
    (target / "photos").mkdir()
    (target / "photos" / "can.jpg").write_bytes(b"1")
    (target / "case.toml").write_text("kept by a run of another case")
    write_results(target, CASE, OUTCOMES[:1], VERDICT)
    ours = {"case.json", "margin-sheet.html", "results.json"}
    assert {path.name for path in target.iterdir()} == ours | {"notes.txt", "photos"}
    assert (target / "photos" / "can.jpg").read_bytes() == b"1"


@pytest.mark.usefixtures("without_pictures")
@pytest.mark.parametrize("interrupt", [RuntimeError, KeyboardInterrupt])
def test_interrupted_while_writing_leaves_the_old_results(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, interrupt: type[BaseException]
) -> None:
    target = tmp_path / "made"
    write_results(target, CASE, OUTCOMES, VERDICT)
    before = _content(target)

    def breaks(path: Path, surface: object) -> None:
        path.write_text("half")
        raise interrupt

    monkeypatch.setattr(files, "write_vtu", breaks)
    with pytest.raises(interrupt):
        write_results(target, made_case(case={"title": "Another"}), OUTCOMES, VERDICT)
    assert _content(target) == before
    assert os.listdir(tmp_path) == ["made"]


@pytest.mark.usefixtures("without_pictures")
def test_interrupted_first_run_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(files, "wave_table", lambda outcomes: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        write_results(tmp_path / "made", CASE, OUTCOMES, VERDICT)
    assert os.listdir(tmp_path) == []


@pytest.mark.parametrize("failing", [1, 2])
@pytest.mark.parametrize("interrupt", [KeyboardInterrupt, PermissionError])
def test_interrupted_at_either_rename_leaves_the_old_results(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int, interrupt: type[BaseException]
) -> None:
    """The exception comes right after the rename, as an interrupt would; the last rename leaves the new results."""
    target = tmp_path / "made"
    target.mkdir()
    (target / "results.json").write_text("old")
    rename, calls = os.rename, iter(range(1, 99))

    def renames(source: Path, goal: Path) -> None:
        rename(source, goal)
        if next(calls) == failing:
            raise interrupt

    monkeypatch.setattr(os, "rename", renames)
    with pytest.raises((interrupt, CaseError)), replaced(target) as fresh:
        (fresh / "results.json").write_text("new")
    assert (target / "results.json").read_text() == ("old" if failing == 1 else "new")
    assert os.listdir(tmp_path) == ["made"]


def test_old_results_survive_even_if_they_cannot_be_put_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "made"
    target.mkdir()
    (target / "results.json").write_text("old")
    rename, calls = os.rename, iter(range(99))

    def renames(source: Path, goal: Path) -> None:
        if next(calls):
            raise PermissionError(13, "Permission denied")
        rename(source, goal)

    monkeypatch.setattr(os, "rename", renames)
    with pytest.raises(CaseError, match="cannot be written: Permission denied"), replaced(target):
        pass
    assert [path.read_text() for path in tmp_path.glob(".made.*/old/results.json")] == ["old"]


def _strange_targets(tmp_path: Path) -> Iterator[tuple[Path, str]]:
    (tmp_path / "file").write_text("mine")
    (tmp_path / "home").mkdir()
    (tmp_path / "home" / "letter.txt").write_text("mine")
    yield tmp_path / "file", "is not a directory"
    yield tmp_path / "home", "holds files but no results.json"
    yield tmp_path / "file" / "below", "cannot be written: "


@pytest.mark.usefixtures("without_pictures")
def test_what_no_run_wrote_is_never_destroyed(tmp_path: Path) -> None:
    for target, problem in _strange_targets(tmp_path):
        with pytest.raises(CaseError, match=problem) as caught:
            write_results(target, CASE, OUTCOMES, VERDICT)
        assert str(caught.value).startswith(f"{target}: ")
        assert "\n" not in str(caught.value)
    assert (tmp_path / "file").read_text() == "mine"
    assert (tmp_path / "home" / "letter.txt").read_text() == "mine"
    assert sorted(os.listdir(tmp_path)) == ["file", "home"]


@pytest.mark.usefixtures("without_pictures")
@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="permissions do not bind this user")
def test_unwritable_directory_is_one_clear_line(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    try:
        with pytest.raises(CaseError, match=r"^\S+: cannot be written: Permission denied$"):
            write_results(tmp_path / "made", CASE, OUTCOMES, VERDICT)
    finally:
        tmp_path.chmod(0o700)


@pytest.mark.usefixtures("without_pictures")
def test_full_disk_is_one_clear_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(path: Path, surface: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files, "write_vtu", full)
    with pytest.raises(CaseError, match=r"made: cannot be written: No space left on device$"):
        write_results(tmp_path / "made", CASE, OUTCOMES, VERDICT)
    assert os.listdir(tmp_path) == []


@pytest.mark.usefixtures("without_pictures")
def test_an_empty_directory_may_be_filled_and_nan_is_not_written(tmp_path: Path) -> None:
    (tmp_path / "made").mkdir()
    write_results(tmp_path / "made", CASE, OUTCOMES, VERDICT)
    assert (tmp_path / "made" / "results.json").is_file()
    with pytest.raises(ValueError, match="not JSON compliant"):
        write_results(tmp_path / "other", CASE, OUTCOMES, VERDICT | {"margins": [ROW | {"points": [np.nan]}]})
    assert os.listdir(tmp_path) == ["made"]
