"""`buckle run`, `review`, `draw`, `demand`, batches of a container: one record, sheet, drawing, each part beside it."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from buckle.batch.task import Task
from buckle.batch.worker import solve
from buckle.case.replace import replace_keys
from buckle.cli import main
from buckle.commands import container as command
from buckle.commands.codes import MET, NOT_MET, UNFINISHED, WRONG_INPUT
from buckle.container.reader import input_from_dict, read_input, with_analyses
from buckle.errors import SolveError
from buckle.record.seal import DIGEST, SEAL, digest_of
from buckle.record.stored import read_record
from buckle.study.study import vary
from buckle.units import RECORDED
from tests.helpers.paths import CONTAINER, ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")


def quick(*parts: str, run: str = "LBA") -> dict[str, Any]:
    """Some parts of the demonstration with one kind of analysis in four wave numbers; LBA decides nothing."""
    tables = with_analyses(read_input(CONTAINER).tables, [run])
    kept = {name: part for name, part in tables["parts"].items() if name in parts}
    waves = {f"parts.{name}.analyses.wave_numbers": [0, 3] for name in kept}
    made = {name: table for name, table in tables.items() if name not in ("seam", "pallet")}
    if not {"wall", "neck"} & {*kept}:  # no part is under an axial force
        made["requirements"] = {"pressure_bar": 6.2}
    return replace_keys({**made, "parts": kept}, waves)


@pytest.fixture(scope="module")
def ran(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, int]:
    """The results directory of a base and an end, and the exit code of their run."""
    folder = tmp_path_factory.mktemp("container")
    path = folder / "tea.json"
    path.write_text(json.dumps(quick("base", "end")))
    code = main(["run", str(path), "--out", str(folder / "out"), "--quiet", "--figures", "none"])
    return folder / "out" / "tea", code


def read(directory: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((directory / "results.json").read_text())
    return found


def copied(ran: tuple[Path, int], folder: Path) -> Path:
    for path in ran[0].rglob("*"):
        if path.is_file():
            target = folder / path.relative_to(ran[0])
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(path.read_bytes())
    return folder


@pytest.mark.parametrize(("asked", "table"), [(False, None), (True, None), (False, {"shape.gauge_mm": 0.005})])
def test_sensitivities_of_parts_are_derived_where_they_are_asked_for_or_a_part_has_tolerances(
    monkeypatch, tmp_path, asked, table
) -> None:
    derived = {}

    def solve(case, *, sensitivities=False):
        derived[case.title] = sensitivities
        raise SolveError("made up", "nothing")

    monkeypatch.setattr(command, "solve", solve)
    changes = {} if table is None else {"parts.base.tolerances": table}
    made = input_from_dict(replace_keys(quick("base", "end"), changes), "tea")
    command.run_container_into(
        tmp_path,
        made,
        RECORDED,
        lambda *_: {"verdict": "no verdict", "required": True},
        loud=False,
        sensitivities=asked,
    )
    assert list(derived.values()) == [asked or table is not None, asked]


# What a run leaves ----------------------------------------------------------------------------------------------------


def test_the_numbers_of_a_part_stand_behind_its_name(ran) -> None:
    whole, base = read(ran[0]), read(ran[0] / "base")
    assert whole["parts"] == ["base", "end"]
    assert whole["base.LBA.critical_pressure_bar"] == base["LBA.critical_pressure_bar"]
    assert whole["end.title"] == "Sparkling tea, 200-size end, layout 1"
    assert {row["part"] for row in whole["margins"]} == {"base", "end"}
    assert not any("beside" in row for row in whole["margins"])


def test_the_whole_has_its_metal_without_the_stub(ran) -> None:
    """2.66 and 1.43 g, as docs/container-facts.md; the base's own record counts 30 mm of its wall."""
    whole = read(ran[0])
    assert whole["base.own_mass_g"] == pytest.approx(2.6626, abs=1e-4)
    assert whole["base.mass_g"] > whole["base.own_mass_g"] + 1.0
    assert whole["mass_g"] == pytest.approx(whole["base.own_mass_g"] + whole["end.own_mass_g"], rel=1e-12)
    assert "brim_volume_ml" not in whole  # no wall stands on the base


def test_what_cannot_decide_gives_no_verdict(ran) -> None:
    """LBA alone sees neither yielding nor large displacements."""
    assert ran[1] == UNFINISHED
    assert read(ran[0])["verdict"] == "no verdict"
    assert read(ran[0])["reasons"][0].startswith("base: no verdict: ")


def test_a_part_is_left_as_a_run_of_it_leaves_it(ran) -> None:
    assert read_record(ran[0] / "base")["title"] == "Sparkling tea, slim bottle, base layout 1"
    assert (ran[0] / "end" / "margin-sheet.html").is_file()


@pytest.mark.slow
def test_the_sheet_has_a_chapter_for_each_part_and_no_id_twice(tmp_path: Path) -> None:
    """With all pictures in it, whose ids are many."""
    path = tmp_path / "tea.json"
    path.write_text(json.dumps(quick("base", "end")))
    main(["run", str(path), "--out", str(tmp_path / "out"), "--quiet"])
    page = (tmp_path / "out" / "tea" / "margin-sheet.html").read_text()
    assert page.count("<svg") > 8
    ids = re.findall(r'\bid="([^"]+)"', page)
    assert {"base", "end", "base-verdict", "end-verdict", "whole"} <= set(ids)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r'href="#([^"]+)"', page)) <= set(ids)


# Read back ------------------------------------------------------------------------------------------------------------


def test_a_review_tells_the_same(ran, tmp_path: Path, capsys) -> None:
    directory = copied(ran, tmp_path / "tea")
    assert main(["review", str(directory), "--json", "-"]) == ran[1]
    content = json.loads(capsys.readouterr().out)
    assert set(content["chapters"]) == {"base", "end"}
    assert (directory / "margin-sheet.md").is_file()


@pytest.mark.parametrize("key", ["mass_g", "base.LBA.critical_pressure_bar", "verdict", "blanks.end.diameter_mm"])
def test_a_changed_record_of_the_whole_is_refused(ran, tmp_path: Path, capsys, key: str) -> None:
    """Even where its digest was worked out anew: it follows from its file and its parts."""
    directory = copied(ran, tmp_path / "tea")
    recorded = read(directory)
    recorded[key] = "met" if key == "verdict" else 1.01 * recorded[key]
    recorded[SEAL][DIGEST] = digest_of(recorded)
    (directory / "results.json").write_text(json.dumps(recorded))
    assert main(["review", str(directory)]) == WRONG_INPUT
    assert key in capsys.readouterr().err


def test_a_changed_record_of_a_part_is_refused(ran, tmp_path: Path, capsys) -> None:
    directory = copied(ran, tmp_path / "tea")
    recorded = read(directory / "end")
    recorded["mass_g"] *= 1.01
    (directory / "end" / "results.json").write_text(json.dumps(recorded))
    assert main(["review", str(directory)]) == WRONG_INPUT
    assert "end/results.json" in capsys.readouterr().err


def test_a_second_run_replaces_the_first(ran, tmp_path: Path) -> None:
    """What is not ours stays, beside the parts too."""
    directory = copied(ran, tmp_path / "out" / "tea")
    (directory / "notes.txt").write_text("mine")
    path = tmp_path / "tea.json"
    path.write_text(json.dumps(quick("base")))
    main(["run", str(path), "--out", str(tmp_path / "out"), "--quiet", "--figures", "none"])
    assert read(directory)["parts"] == ["base"]
    assert (directory / "notes.txt").read_text() == "mine"
    assert main(["review", str(directory), "--quiet"]) == UNFINISHED


def test_a_part_that_fails_leaves_the_others(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    solved = command.solve

    def failing(case, **asked):
        if "end" in case.title:
            raise SolveError("made up", "nothing")
        return solved(case, **asked)

    monkeypatch.setattr(command, "solve", failing)
    path = tmp_path / "tea.json"
    path.write_text(json.dumps(quick("base", "end")))
    assert main(["run", str(path), "--out", str(tmp_path), "--quiet", "--figures", "none"]) == UNFINISHED
    whole = read(tmp_path / "tea")
    assert (whole["end.status"], whole["verdict"]) == ("failed", "no verdict")
    assert whole["base.LBA.critical_pressure_bar"] == read(tmp_path / "tea" / "base")["LBA.critical_pressure_bar"]
    assert main(["review", str(tmp_path / "tea"), "--quiet"]) == UNFINISHED


def test_two_are_compared_part_by_part(ran, tmp_path: Path, capsys) -> None:
    before, after = copied(ran, tmp_path / "before"), copied(ran, tmp_path / "after")
    assert main(["review", str(before), str(after), "--out", str(tmp_path / "out"), "--json", "-"]) == ran[1]
    found = json.loads(capsys.readouterr().out)
    assert [each["names"] for each in found["comparisons"]] == [
        ["before, base", "after, base"],
        ["before, end", "after, end"],
    ]


def test_a_container_is_no_revision_of_a_part(ran, capsys) -> None:
    assert main(["review", str(ran[0]), str(ran[0] / "base"), "--out", str(ran[0] / "no")]) == WRONG_INPUT
    assert "cannot be compared: container and domed_base" in capsys.readouterr().err


# Without a run --------------------------------------------------------------------------------------------------------


def test_draw_tells_what_follows_from_the_file(tmp_path: Path, capsys) -> None:
    assert main(["draw", str(CONTAINER), "--out", str(tmp_path), "--json", "-"]) == MET
    found = json.loads(capsys.readouterr().out)
    assert found["closed_volume_ml"] == pytest.approx(350.0, abs=0.1)
    assert found["pallet.hexagonal_per_layer"] == 380
    assert (tmp_path / "container-section.svg").is_file()


def test_demand_is_that_of_the_contents(capsys) -> None:
    assert main(["demand", str(CONTAINER), "--json", "-"]) == MET
    found = json.loads(capsys.readouterr().out)
    assert found["title"] == "Sparkling tea, slim container"
    assert found["demand_bar"] == pytest.approx(5.725, abs=1e-3)


def test_no_contents_no_demand(tmp_path: Path, capsys) -> None:
    tables = quick("end")
    del tables["contents"]
    path = tmp_path / "tea.json"
    path.write_text(json.dumps(tables))
    assert main(["demand", str(path)]) == WRONG_INPUT
    assert "contents: missing" in capsys.readouterr().err


# In a batch -----------------------------------------------------------------------------------------------------------


def test_a_design_of_a_batch_has_the_columns_of_its_parts() -> None:
    base = input_from_dict(quick("base", "end"))
    study = vary(base, {"parts.base.shape.gauge_mm": [0.23, 0.25]})
    found = [solve(Task(number, "", study.case(study.design(number)), estimate_error=False)) for number in (1, 2)]
    thin, thick = (each.quantities for each in found)
    assert thin["base.LBA.critical_pressure_bar"] < thick["base.LBA.critical_pressure_bar"]
    assert thin["end.LBA.critical_pressure_bar"] == thick["end.LBA.critical_pressure_bar"]
    assert thin["mass_g"] < thick["mass_g"]
    assert thin["verdict"] == "no verdict"


@pytest.mark.slow
def test_the_demonstration_as_a_whole(tmp_path: Path, capsys) -> None:
    """What README shows of it is what comes out; the base carries in it what README's first run tells."""
    assert main(["run", str(CONTAINER), "--out", str(tmp_path), "--figures", "none"]) == NOT_MET
    printed = capsys.readouterr().out
    shown = next(block for block in re.findall(r"```text\n(.*?)```", README, flags=re.DOTALL) if "goes first" in block)
    for number in re.findall(r"-?\b\d+\.?\d*\b", shown):
        assert number in printed, number
    whole = read(tmp_path / "container")
    assert whole["verdict"] == "met with doubt"
    assert (whole["governing_part"], whole["capacity_pressure_part"]) == ("end", "end")
    assert whole["capacity_axial_force_part"] == "neck"
    assert f"{whole['base.GMNA.capacity_pressure_bar']:.3f}" == "7.433"
    rows = {row["part"]: row for row in whole["joint.parts"]}
    assert rows["base"]["alone_over_joint"] == pytest.approx(1.0, abs=2e-3)
    assert 1.0 < rows["end"]["alone_over_joint"] < 1.03  # a clamped edge is stiffer than neck and seam
