"""A record cannot be edited into a lie: what `buckle review` says of one that a run left, and of any change to it."""

import hashlib
import json
import shutil
import tomllib
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from buckle.analysis import run
from buckle.case import Case, case_from_dict, read_case
from buckle.cli import main
from buckle.commands.codes import MET, WRONG_INPUT
from buckle.errors import CaseError
from buckle.margins import compare
from buckle.margins.judge import judge
from buckle.record.margins import expectation_rows, verdict_fields
from buckle.record.quantities import record
from buckle.record.stored import read_record
from buckle.report import files
from buckle.report.files import write_results
from buckle.results import Growth, Outcome, Status
from tests.helpers.mutations import mutated, rewritten

CAP = """
[case]
title = "a cap"
[material]
youngs_modulus_GPa = 69.0
poissons_ratio = 0.3
density_kg_per_m3 = 2720
yield_stress_MPa = 262
hardening = { law = "linear", modulus_MPa = 500 }
[shape]
family = "spherical_cap"
radius_mm = 50.0
half_angle_deg = 40.0
thickness_mm = 0.3
[supports]
outer_edge = "clamped"
[loads]
pressure_side = "outside"
[analyses]
run = ["LA", "LBA", "GNA", "GMNA"]
wave_numbers = [0, 30]
[requirements]
pressure_bar = 10.0
growth_mm = 1.0
[[expect]]
quantity = "LBA.status"
value = "solved"
source = "made for this test"
"""
SEEDS = range(300)


@pytest.fixture(scope="session")  # not module: a process that is handed these tests in portions would run it anew
def kept(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The results of a run as a user makes it, with all pictures."""
    out = tmp_path_factory.mktemp("kept")
    (out / "cap.toml").write_text(CAP)
    assert main(["run", str(out / "cap.toml"), "--out", str(out), "--quiet", "--figures", "both"]) == MET
    return out / "cap"


@pytest.fixture(scope="session")
def recorded(kept: Path) -> dict[str, Any]:
    return json.loads((kept / "results.json").read_text("utf-8"))


@pytest.fixture
def copy(kept: Path, tmp_path: Path) -> Path:
    return shutil.copytree(kept, tmp_path / "cap")


@pytest.fixture(scope="session")
def changed(kept: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy whose record each of many changes replaces."""
    return shutil.copytree(kept, tmp_path_factory.mktemp("changed") / "cap")


def refused(directory: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """Return the one line with which a review refuses a directory."""
    capsys.readouterr()
    assert main(["review", str(directory), "--quiet"]) == WRONG_INPUT
    said = capsys.readouterr()
    assert said.out == ""
    (line,) = said.err.splitlines()
    assert line.startswith(f"{directory}/results.json: ")
    assert len(line) < len(str(directory)) + 800
    return line


# What is kept ---------------------------------------------------------------------------------------------------------


def test_the_case_file_is_kept_byte_for_byte(kept: Path, recorded: dict[str, Any]) -> None:
    file = recorded["record"]["case_file"]
    assert (kept / "case.toml").read_bytes() == CAP.encode()
    assert file == {"name": "cap.toml", "kept_as": "case.toml", "sha256": hashlib.sha256(CAP.encode()).hexdigest()}


def test_every_artefact_has_its_sha256(kept: Path, recorded: dict[str, Any]) -> None:
    """As a tool other than this one works it out: over the bytes, nothing left out but the record and its case."""
    sums = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in kept.iterdir()}
    del sums["results.json"], sums["case.toml"]
    assert recorded["record"]["artefacts_sha256"] == sums
    assert {"path.csv", "paths.svg", "paths.png", "margin-sheet.html"} <= set(sums)


def test_the_digest_can_be_worked_out_from_what_the_documentation_says(recorded: dict[str, Any]) -> None:
    """Sorted keys, no blanks, ASCII, the digest itself left out."""
    bare = json.loads(json.dumps(recorded))
    digest = bare["record"].pop("digest_sha256")
    text = json.dumps(bare, sort_keys=True, separators=(",", ":"))
    assert hashlib.sha256(text.encode("ascii")).hexdigest() == digest


def test_a_run_left_as_it_was_is_reviewed_again_and_again(copy: Path) -> None:
    for revision in ("A", "B"):
        assert main(["review", str(copy), "--quiet", "--revision", revision]) == MET
    sheet = (copy / "margin-sheet.html").read_text("utf-8")
    shown = json.loads((copy / "results.json").read_text("utf-8"))["record"]
    assert all(text in sheet for text in ("cap.toml", shown["case_file"]["sha256"], shown["analysed_at"]))


def test_two_runs_differ_only_in_their_time(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "cap.toml").write_text(
        CAP.replace('"LA", "LBA", "GNA", "GMNA"', '"LBA"').replace("growth_mm", "#").replace("pressure_bar = 10.0", "")
    )
    for name, seconds in (("one", 0), ("two", 86400), ("again", 86400)):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", str(seconds))
        assert main(["run", str(tmp_path / "cap.toml"), "--out", str(tmp_path / name), "--quiet"]) == MET
    one, two, again = (
        {path.name: path.read_bytes() for path in (tmp_path / name / "cap").iterdir()}
        for name in ("one", "two", "again")
    )
    assert two == again
    assert {name for name in one if one[name] != two[name]} == {"results.json", "margin-sheet.html"}
    before, after = (json.loads(each.pop("results.json")) for each in (one, two))
    seals = before.pop("record"), after.pop("record")
    assert before == after
    assert [seal.pop("analysed_at") for seal in seals] == ["1970-01-01T00:00:00Z", "1970-01-02T00:00:00Z"]
    for seal in seals:  # they hold the time in other words
        del seal["digest_sha256"], seal["artefacts_sha256"]["margin-sheet.html"]
    assert seals[0] == seals[1]


def test_an_invalid_epoch_is_no_time(monkeypatch: pytest.MonkeyPatch) -> None:
    for text in ("soon", "-1", "9" * 30):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", text)
        assert files.analysis_time() > "2026"


# Random changes -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", SEEDS)
def test_no_careless_change_gets_through(seed: int, changed: Path, recorded: dict[str, Any], capsys) -> None:
    """The digest covers every number and text: each change is refused, in one line and never with a traceback."""
    rewritten(changed, mutated(recorded, seed)[0])
    refused(changed, capsys)


DECIDES = ("verdict", "reserve_factor", "governs", "ratio_hand_to_computed")


@pytest.mark.parametrize("seed", [*range(100), *(pytest.param(seed, marks=pytest.mark.slow) for seed in SEEDS[100:])])
def test_a_change_on_purpose_is_refused_or_a_sheet(seed: int, changed: Path, recorded: dict[str, Any], capsys) -> None:
    """With the digest worked out anew; what still goes through is text, or a number from which nothing follows."""
    other, what = mutated(recorded, 1000 + seed)
    try:
        rewritten(changed, other, resealed=True)
    except (KeyError, TypeError, AttributeError, ValueError, AssertionError):  # there is no seal any more, or NaN
        rewritten(changed, other)
    code = main(["review", str(changed), "--quiet"])
    said = capsys.readouterr().err.splitlines()
    if code == WRONG_INPUT:
        assert len(said) == 1
    else:
        assert code == MET
        assert said == []
        assert not what.endswith(DECIDES)


# Changes that would be lies -------------------------------------------------------------------------------------------


def margin(recorded: dict[str, Any], *, beside: bool = False, governs: bool = True) -> dict[str, Any]:
    return next(
        row for row in recorded["margins"] if ("beside" in row) == beside and (beside or row["governs"] == governs)
    )


def put(key: str, value: object) -> Callable[[dict[str, Any]], None]:
    return lambda recorded: recorded.__setitem__(key, value)


def in_margin(key: str, value: object, **which: bool) -> Callable[[dict[str, Any]], None]:
    return lambda recorded: margin(recorded, **which).__setitem__(key, value)


def scaled(recorded: dict[str, Any]) -> None:
    """The capacity, its reserve factor and the ratios beside it, all together, as a thoughtful forger would."""
    row = margin(recorded)
    row["capacity_bar"] *= 1.5
    row["reserve_factor"] *= 1.5
    for each in recorded["margins"]:
        if each.get("beside") == row["method"] and each["limit_state"] == row["limit_state"]:
            each["ratio_hand_to_computed"] /= 1.5


def demand_lowered(recorded: dict[str, Any]) -> None:
    for row in recorded["margins"]:
        if "demand_bar" in row and "reserve_factor" in row:
            row["demand_bar"] /= 2.0
            row["reserve_factor"] *= 2.0


def growth_deleted(recorded: dict[str, Any]) -> None:
    recorded["margins"] = [row for row in recorded["margins"] if row["limit_state"] != "growth under pressure"]


def analysis_deleted(recorded: dict[str, Any]) -> None:
    for key in [key for key in recorded if key.startswith("GMNA.")]:
        del recorded[key]


def elastic_met(recorded: dict[str, Any]) -> None:
    next(row for row in recorded["margins"] if row["method"] == "GNA")["verdict"] = "met"


def first_yield_deleted(recorded: dict[str, Any]) -> None:
    recorded["margins"] = [row for row in recorded["margins"] if row["method"] != "LA"]


def no_governing(recorded: dict[str, Any]) -> None:
    margin(recorded)["governs"] = False


def growth_changed(recorded: dict[str, Any]) -> None:
    recorded["growth_at_bar"][-1]["growth_mm"] *= 0.9


def error_everywhere(recorded: dict[str, Any]) -> None:
    recorded["GMNA.numerical_error_percent"] = margin(recorded)["numerical_error_percent"] = 0.01


def hand_halved(recorded: dict[str, Any]) -> None:
    row = margin(recorded, beside=True)
    for key in ("capacity_bar", "reserve_factor", "ratio_hand_to_computed"):
        row[key] /= 2.0


LIES: dict[str, tuple[Callable[[dict[str, Any]], object], str]] = {
    "capacity": (in_margin("capacity_bar", 99.0), "reserve_factor"),
    "capacity with its ratios": (scaled, "no margin has it with this event and error"),
    "capacity in the flat key": (put("GMNA.capacity_pressure_bar", 99.0), "GMNA.capacity_pressure_bar 99.0"),
    "reserve factor": (in_margin("reserve_factor", 3.0), "reserve_factor 3.0 is not that of its capacity and demand"),
    "verdict": (in_margin("verdict", "not met"), "verdict not met does not follow"),
    "verdict that is none": (in_margin("verdict", "for comparison"), "verdict for comparison does not follow"),
    "verdict of another": (elastic_met, "verdict met does not follow"),
    "who governs": (no_governing, "0 govern"),
    "two govern": (in_margin("governs", True, governs=False), "2 govern"),
    "demand": (demand_lowered, "demand 5.0 is none of the case file"),
    "margin deleted": (
        lambda recorded: recorded["margins"].remove(margin(recorded)),
        "stands beside no computed margin",
    ),
    "margin without hand values deleted": (first_yield_deleted, "no margin of LA has it; one is missing"),
    "requirement deleted": (growth_deleted, "growth under pressure, which the case file demands, is missing"),
    "analysis deleted": (analysis_deleted, "is of no analysis of this record"),
    "ratio": (in_margin("ratio_hand_to_computed", 1.0, beside=True), "ratio_hand_to_computed 1.0 is not that"),
    "hand value": (in_margin("capacity_bar", 20.0, beside=True), "ratio_hand_to_computed"),
    "hand row as computed": (lambda recorded: margin(recorded, beside=True).pop("beside"), "is of no analysis"),
    "lowest of the waves": (
        lambda recorded: recorded["LBA.by_wave_number"].pop(recorded["LBA.wave_number"]),
        "is not that of the",
    ),
    "governing event": (put("GNA.governing_pressure_bar", 1.0), "GNA.governing_pressure_bar"),
    "numerical error": (in_margin("numerical_error_percent", 1e-3), "no margin has it with this event and error"),
    "expectation": (lambda recorded: recorded["expectations"][0].update(met=False), "expectations[0].met"),
    "expectation deleted": (lambda recorded: recorded.pop("expectations"), "expectations"),
    "input": (
        lambda recorded: recorded["inputs"][3].update(value=99.0),
        "inputs[3].value: is not what the case file gives",
    ),
    "title": (put("title", "another"), "title: is not what the case file gives"),
    "waves examined": (put("wave_numbers_examined", [0, 99]), "wave_numbers_examined[1]: is not what the case file"),
    "required at all": (put("required", False), "required: is not what the case file gives"),
    "required pressure": (put("required_pressure_bar", 1.0), "required_pressure_bar: is not what the case file gives"),
    "analysis that decides": (put("decided_by", "GNA"), "decided_by GNA: is not the analysis that decides"),
    "family": (put("family", "domed_base"), "family: is not what the case file gives"),
    "caution": (lambda recorded: recorded["cautions"].pop(), "cautions"),
    "growth told by nothing else": (growth_changed, "GMNA at 22.37 bar: is not between its neighbours in path.csv"),
    "row of growth deleted": (lambda recorded: recorded["growth_at_bar"].pop(), "has not the state at the capacity"),
    "reason of a margin": (
        in_margin("reason", "it carries more"),
        "margins[0].reason: is not what its analyses come to",
    ),
    "error everywhere": (error_everywhere, "GMNA.numerical_error_percent: is not what its analyses come to"),
    "limit deleted": (lambda recorded: recorded.pop("GMNA.limit_pressure_bar"), "GMNA.highest_limit_pressure_bar"),
    "lower bracket raised": (
        put("GMNA.deformation_theory_bifurcation_pressure_bar", 22.36),
        "is not what its analyses come to",
    ),
    "waves": (put("GMNA.bifurcation_wave_number", 2), "margins[0].wave_number: is not what its analyses come to"),
    "a higher wave number deleted": (
        lambda recorded: recorded["LBA.by_wave_number"].pop(),
        "LBA.by_wave_number: is not what by_wave_number.csv has",
    ),
    "hand value with its ratio": (hand_halved, "is not what its analyses come to"),
    "version deleted": (lambda recorded: recorded["versions"].pop("buckle"), "versions: names no buckle"),
    "mass": (put("mass_g", 1.0), "mass_g: is not what the case file gives"),
    "input hash": (put("input_sha256", "0" * 64), "input_sha256: is not what the case file gives"),
    "case hash zeroed": (
        lambda recorded: recorded["record"]["case_file"].update(sha256="0" * 64),
        "case.toml: its SHA-256",
    ),
    "hash zeroed": (
        lambda recorded: recorded["record"]["artefacts_sha256"].update({"paths.svg": "0" * 64}),
        "paths.svg: its SHA-256",
    ),
    "hash no hash": (lambda recorded: recorded["record"]["artefacts_sha256"].update({"path.csv": ""}), "path.csv"),
    "hash taken out": (
        lambda recorded: recorded["record"]["artefacts_sha256"].pop("paths.svg"),
        "was not written by this run",
    ),
    "a file elsewhere": (lambda recorded: recorded["record"]["artefacts_sha256"].update({"../x": "0" * 64}), "../x"),
    "time": (lambda recorded: recorded["record"].update(analysed_at="yesterday"), "record.analysed_at"),
}


@pytest.mark.parametrize("lie", LIES)
def test_a_lie_is_named_even_under_a_new_digest(lie: str, changed: Path, recorded: dict[str, Any], capsys) -> None:
    change, named = LIES[lie]
    other = json.loads(json.dumps(recorded))
    change(other)
    rewritten(changed, other, resealed=True)
    assert named in refused(changed, capsys)


def symbol_of_a_range_left(recorded: dict[str, Any]) -> None:
    next(row for row in recorded["margins"] if row.get("ranges"))["ranges"][0].update(symbol=LONG, met=False)


LONG = "\x1b" + 999 * "x"
"""As long as the mutator of `tests/faults` makes a text, with a sign that a message shows by more than one."""
TOO_LONG: dict[str, tuple[Callable[[dict[str, Any]], object], str]] = {
    "limit state": (in_margin("limit_state", LONG, beside=True), "): stands beside no computed margin"),
    "method": (in_margin("method", LONG), "): is of no analysis of this record and stands beside none"),
    "formula": (in_margin("formula", LONG, beside=True), "formula and kind are not those of its method: \\x1bxxx"),
    "kind": (in_margin("kind", LONG, beside=True), "): formula and kind are not those of its method: "),
    "symbol": (symbol_of_a_range_left, "): met False of a range does not follow from its value: \\x1bxxx"),
    "governing limit state": (put("governing_limit_state", LONG), "...: is not that of the margin that governs"),
    "governing event": (put("GNA.governing_event", LONG), "...: is not what comes at that pressure"),
    "analysis": (put(f"{LONG}.status", "failed"), "not_judged: says nothing of \\x1bxxx"),
    "analysis of no case": (put(f"A{LONG}.status", "solved"), "..., the case file LA, LBA, GNA, GMNA"),
}


@pytest.mark.parametrize("text", TOO_LONG)
def test_a_long_text_of_a_record_is_repeated_in_part(
    text: str, changed: Path, recorded: dict[str, Any], capsys
) -> None:
    change, named = TOO_LONG[text]
    other = json.loads(json.dumps(recorded))
    change(other)
    rewritten(changed, other, resealed=True)
    line = refused(changed, capsys)
    assert named in line
    assert 81 * "x" not in line


def test_a_record_of_nothing_but_long_texts_is_refused_in_one_bearable_line(
    changed: Path, recorded: dict[str, Any], capsys
) -> None:
    """Every disagreement is bounded as a whole too: of these each would repeat four texts, a sign of which is four."""
    texts = ("limit_state", "method", "formula", "kind", "beside")
    rows = [row | {key: 1000 * "\x1b" for key in texts if key in row} for row in recorded["margins"]]
    rewritten(changed, recorded | {"margins": rows}, resealed=True)
    assert refused(changed, capsys).count("...; ") == 3
    (changed / "results.json").write_text(f'{{"{LONG}": 1, "{LONG}": 2}}')
    assert "is not the record of a run" in refused(changed, capsys)


def test_what_follows_from_nothing_is_held_by_the_digest_alone(changed: Path, recorded: dict[str, Any], capsys) -> None:
    """The discretisation is such: said plainly, a new digest lets it through."""
    other = json.loads(json.dumps(recorded))
    other["GMNA.settings"]["elements"] = 1
    rewritten(changed, other)
    assert "record.digest_sha256: is not that of this record" in refused(changed, capsys)
    rewritten(changed, other, resealed=True)
    assert main(["review", str(changed), "--quiet"]) == MET


def test_a_record_of_an_earlier_version_says_what_to_do(changed: Path, recorded: dict[str, Any], capsys) -> None:
    rewritten(changed, {key: value for key, value in recorded.items() if key != "record"})
    said = refused(changed, capsys)
    assert "has no 'record'" in said
    assert said.endswith("run the case again")


def test_a_record_of_another_form_says_what_to_do(changed: Path, recorded: dict[str, Any], capsys) -> None:
    """The form before this one had no number of its own, and its numbers of hand values were texts."""
    seal = {key: value for key, value in recorded["record"].items() if key != "form"}
    rewritten(changed, recorded | {"record": seal})
    line = refused(changed, capsys)
    assert "its form is not 2" in line
    assert line.endswith("run the case again")


def test_a_range_that_is_said_to_be_kept_to_and_is_not_is_refused(
    changed: Path, recorded: dict[str, Any], capsys
) -> None:
    margins = json.loads(json.dumps(recorded["margins"]))
    row = next(row for row in margins if row.get("ranges"))
    row["ranges"][0] |= {"met": not row["ranges"][0]["met"]}
    rewritten(changed, recorded | {"margins": margins})
    assert "does not follow from its value" in refused(changed, capsys)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('{"title": NaN}', "NaN is no number"),
        ('{"title": -Infinity}', "-Infinity is no number"),
        ('{"title": 1e999}', "1e999 is no finite number"),
        ('{"title": ' + "9" * 5000 + "}", "is not the record of a run"),
        ('{"title": "x", "title": "y"}', "'title' is given twice"),
        ("[" * 200_000, "is not the record of a run"),
        ('{"title": "x"', "is not the record of a run"),
        ("", "is not the record of a run"),
    ],
)
def test_a_file_that_is_no_json_of_ours(text: str, said: str, changed: Path, capsys) -> None:
    (changed / "results.json").write_text(text)
    assert said in refused(changed, capsys)


def test_a_record_cut_short_anywhere(changed: Path, kept: Path, capsys) -> None:
    """As a full disk or a broken copy leaves it; only the line end after the last brace may be lost."""
    whole = (kept / "results.json").read_bytes()
    for length in range(1, len(whole) - 2, len(whole) // 40):
        (changed / "results.json").write_bytes(whole[:length])
        assert "is not the record of a run" in refused(changed, capsys)


# Changes beside the record --------------------------------------------------------------------------------------------


def truncated(path: Path) -> None:
    whole = path.read_bytes()
    path.write_bytes(whole[: min(1000, len(whole) - 1)])


def to_directory(path: Path) -> None:
    path.unlink()
    path.mkdir()


def of_another_body(path: Path) -> None:
    shutil.copyfile(path.parent / "deformed.svg", path)


@pytest.mark.parametrize("name", ["paths.svg", "paths.png", "path.csv", "mode-LBA-n0.vtu", "case.toml"])
@pytest.mark.parametrize("change", [Path.unlink, truncated, to_directory, of_another_body])
def test_a_file_that_is_not_the_one_written_is_named(
    name: str, change: Callable[[Path], None], copy: Path, capsys
) -> None:
    path = copy / name if (copy / name).exists() else next(copy.glob("mode-LBA-*.vtu"))
    change(path)
    said = refused(copy, capsys)
    assert f"{path.name}: is missing" in said or f"{path.name}: its SHA-256 is not the one recorded" in said


def test_a_picture_of_our_names_that_the_run_did_not_write(copy: Path, capsys) -> None:
    shutil.copyfile(copy / "paths.svg", copy / "capacity.svg")
    assert "capacity.svg: was not written by this run" in refused(copy, capsys)


def test_files_of_other_names_are_nobodys_business(copy: Path) -> None:
    (copy / "notes.txt").write_text("mine")
    assert main(["review", str(copy), "--quiet"]) == MET


# What must go through -------------------------------------------------------------------------------------------------


def made(**tables: object) -> Case:
    own = {name: table for name, table in tomllib.loads(CAP).items() if name != "expect"}
    return case_from_dict(own | {name: own.get(name, {}) | table for name, table in tables.items()})


def failed(case: Case) -> list[Outcome]:
    return [Outcome(kind, Status.FAILED, "it stalled", "a finer mesh") for kind in case.analyses.run]


def failed_late(case: Case) -> list[Outcome]:
    """A path that told the growth under the required pressure before it stalled: a size, and nothing that governs."""
    grown = (Growth(case.requirements.pressure or 1.0, 0.1, 0.0),)
    return [replace(outcome, growth=grown if outcome.kind == "GNA" else ()) for outcome in failed(case)]


@pytest.mark.parametrize(
    "case",
    [
        made(analyses={"run": ["LA"]}, requirements={}),
        made(analyses={"run": ["LBA", "GNA"]}, requirements={"growth_mm": 1e-6, "permanent_growth_mm": 0.0}),
        made(analyses={"run": ["LBA", "MNA"]}, requirements={"pressure_bar": 500.0, "axial_force_N": 10.0}),
        made(analyses={"run": ["GNA"], "wave_numbers": [0, 0]}, loads={"pressure_side": "inside"}),
    ],
    ids=["LA", "GNA", "MNA", "no event"],
)
@pytest.mark.parametrize("solver", [lambda case: [run(case, kind) for kind in case.analyses.run], failed, failed_late])
def test_a_record_as_written_is_always_believed(
    case: Case, solver: Callable[[Case], list[Outcome]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(files, "figures", lambda *_: iter(()))
    monkeypatch.setattr(files, "sheet_figures", lambda *_: iter(()))
    outcomes = solver(case)
    rows = verdict_fields(judge(case, outcomes))
    expected = expectation_rows(compare(case, record(case, outcomes, rows)))
    recorded = write_results(tmp_path / "run", case, outcomes, rows, expected)
    assert read_record(tmp_path / "run") == recorded
    assert read_case(tmp_path / "run" / "case.json").input_hash == case.input_hash


@pytest.mark.usefixtures("without_pictures")
@pytest.mark.parametrize("title", ["", "[case]\ntitle = ''"])
def test_a_case_without_a_title_is_named_after_its_file_and_believed(title: str, tmp_path: Path, capsys) -> None:
    """The file is kept under another name, which must not be taken for the title."""
    source = tmp_path / "layout-3.toml"
    source.write_text(CAP.replace('[case]\ntitle = "a cap"', title).replace('"LA", "LBA", "GNA", "GMNA"', '"LBA"'))
    main(["run", str(source), "--out", str(tmp_path), "--quiet"])
    assert json.loads((tmp_path / "layout-3" / "results.json").read_text("utf-8"))["title"] == "layout-3"
    capsys.readouterr()
    main(["review", str(tmp_path / "layout-3"), "--quiet"])
    assert capsys.readouterr().err == ""


@pytest.mark.usefixtures("without_pictures")
def test_a_caution_about_the_body_cannot_be_taken_out(tmp_path: Path, capsys) -> None:
    source = tmp_path / "thick.toml"
    source.write_text(CAP.replace("thickness_mm = 0.3", "thickness_mm = 2.0").replace('"LBA", "GNA", "GMNA"', '"LBA"'))
    main(["run", str(source), "--out", str(tmp_path)])
    printed = capsys.readouterr().out
    said = "the widest radius is only 16.1 times the thickest wall, usual are 20 and more"
    assert f"CAUTION: {said}" in " ".join(printed.split())
    recorded = json.loads((tmp_path / "thick" / "results.json").read_text("utf-8"))
    (caution,) = recorded["body_cautions"]
    assert caution.startswith(said)
    for name in ("margin-sheet.html", "margin-sheet.md"):
        main(["review", str(tmp_path / "thick"), "--quiet"])
        assert said in (tmp_path / "thick" / name).read_text("utf-8")
    del recorded["body_cautions"]
    rewritten(tmp_path / "thick", recorded, resealed=True)
    assert "body_cautions: is not what the case file gives" in refused(tmp_path / "thick", capsys)


def test_a_record_of_another_version_is_held_to_its_own_numbers_alone(changed: Path, recorded: dict[str, Any]) -> None:
    """Another version may read the case file otherwise; that it is the same file is still seen to."""
    other = json.loads(json.dumps(recorded))
    other["versions"]["buckle"] = "0.0.1"
    other["mass_g"] = 1.0
    rewritten(changed, other, resealed=True)
    assert read_record(changed)["mass_g"] == 1.0
    other["versions"]["buckle"] = recorded["versions"]["buckle"]
    rewritten(changed, other, resealed=True)
    with pytest.raises(CaseError, match="mass_g"):
        read_record(changed)
