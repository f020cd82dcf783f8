"""The command line as a user meets it: exit codes, streams, machine-readable output, speed of --help."""

import json
import os
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

import buckle
from buckle.cli import main
from buckle.commands.codes import CRASHED, MET, NOT_MET, UNFINISHED, WRONG_INPUT
from tests.helpers.cap_case import CAP
from tests.helpers.paths import ROOT

CASE = '[case]\ntitle = "a plate that holds"\n' + CAP.replace("[0, 4]", "[0, 8]")


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "cap.toml"
    path.write_text(CASE)
    return path


def require(case: Path, bar: float) -> Path:
    """Metal that is declared not to yield, so that the elastic path may decide."""
    elastic = CASE.replace('"LBA"', '"LBA", "GNA"').replace(
        "poissons_ratio = 0.3", "poissons_ratio = 0.3\nyields = false"
    )
    case.write_text(elastic + f"[requirements]\npressure_bar = {bar}\n")
    return case


@pytest.mark.usefixtures("without_pictures")
def test_a_requirement_that_is_met(case: Path, tmp_path: Path, capsys) -> None:
    assert main(["run", str(require(case, 3.0)), "--out", str(tmp_path / "out")]) == MET
    printed = capsys.readouterr()
    assert "VERDICT: MET." in printed.out
    assert "Screening result" in printed.out
    assert printed.err == ""


@pytest.mark.usefixtures("without_pictures")
def test_a_requirement_that_is_not_met(case: Path, tmp_path: Path, capsys) -> None:
    assert main(["run", str(require(case, 50.0)), "--out", str(tmp_path / "out")]) == NOT_MET
    assert "VERDICT: NOT MET: " in capsys.readouterr().out


@pytest.mark.usefixtures("without_pictures")
def test_an_analysis_that_cannot_see_what_governs_gives_no_verdict(case: Path, tmp_path: Path, capsys) -> None:
    case.write_text(CASE + "[requirements]\npressure_bar = 5.0\n")
    assert main(["run", str(case), "--out", str(tmp_path / "out")]) == UNFINISHED
    assert "VERDICT: NO VERDICT: LBA knows neither" in " ".join(capsys.readouterr().out.split())


@pytest.mark.usefixtures("without_pictures")
def test_an_expectation_decides_the_exit_code(case: Path, tmp_path: Path) -> None:
    expect = '[[expect]]\nquantity = "LBA.wave_number"\nvalue = {}\nsource = "computed twice"\n'
    case.write_text(CASE)
    main(["run", str(case), "--out", str(tmp_path / "out"), "--quiet"])
    n = json.loads((tmp_path / "out" / "cap" / "results.json").read_text())["LBA.wave_number"]
    for value, code in ((n, MET), (n + 1, NOT_MET)):
        case.write_text(CASE + expect.format(value))
        assert main(["run", str(case), "--out", str(tmp_path / "out"), "--quiet"]) == code


@pytest.mark.usefixtures("without_pictures")
def test_an_analysis_that_cannot_be_judged(case: Path, tmp_path: Path) -> None:
    case.write_text(CASE.replace('"LBA"', '"GNA"') + "[requirements]\npressure_bar = 5.0\naxial_force_N = 100.0\n")
    assert main(["run", str(case), "--out", str(tmp_path / "out"), "--quiet"]) == UNFINISHED


def test_wrong_input_names_file_line_key_and_what_is_allowed(case: Path, tmp_path: Path, capsys) -> None:
    case.write_text(CASE.replace("radius_mm = 400.0", "radius_mm = -1.0").replace("[supports]", "[support]"))
    assert main(["run", str(case), "--out", str(tmp_path / "out")]) == WRONG_INPUT
    said = capsys.readouterr()
    assert said.out == ""
    assert f"{case}:10: shape.radius_mm" in said.err
    assert "support" in said.err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("content", [b"", b"\x00\xff\x00", "ä = 1".encode("latin-1")], ids=["empty", "binary", "latin"])
def test_files_that_are_no_case(content: bytes, tmp_path: Path, capsys) -> None:
    path = tmp_path / "odd.toml"
    path.write_bytes(content)
    assert main(["run", str(path), "--out", str(tmp_path / "out")]) == WRONG_INPUT
    assert str(path) in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize("name", ["", "missing.toml"], ids=["directory", "missing"])
def test_paths_that_are_no_file(name: str, tmp_path: Path, capsys) -> None:
    assert main(["draw", str(tmp_path / name), "--out", str(tmp_path / "out")]) == WRONG_INPUT
    assert str(tmp_path) in capsys.readouterr().err


def test_one_bad_file_among_several_stops_all_before_any_work(case: Path, tmp_path: Path, capsys) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text("nonsense = 1")
    assert main(["run", str(case), str(bad), "--out", str(tmp_path / "out")]) == WRONG_INPUT
    assert not (tmp_path / "out").exists()


def test_two_cases_of_one_name(case: Path, tmp_path: Path, capsys) -> None:
    twin = tmp_path / "other" / case.name
    twin.parent.mkdir()
    twin.write_text(CASE)
    assert main(["run", str(case), str(twin), "--out", str(tmp_path / "out")]) == WRONG_INPUT
    assert "share one results directory" in capsys.readouterr().err


def test_a_foreign_directory_is_not_overwritten(case: Path, tmp_path: Path, capsys) -> None:
    mine = tmp_path / "out" / "cap"
    mine.mkdir(parents=True)
    (mine / "thesis.txt").write_text("years of work")
    assert main(["run", str(case), "--out", str(tmp_path / "out")]) == WRONG_INPUT
    assert (mine / "thesis.txt").read_text() == "years of work"


@pytest.mark.usefixtures("without_pictures")
def test_json_on_standard_output_is_one_object(case: Path, tmp_path: Path, capsys) -> None:
    assert main(["run", str(case), "--out", str(tmp_path / "out"), "--json", "-"]) == MET
    content = json.loads(capsys.readouterr().out)
    assert content == json.loads((tmp_path / "out" / "cap" / "results.json").read_text())
    assert content["LBA.critical_pressure_bar"] > 0.0


def test_the_same_case_gives_the_same_bits(case: Path, tmp_path: Path, monkeypatch) -> None:
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "86400")
    written = []
    for name in ("one", "two"):
        main(["run", str(case), "--out", str(tmp_path / name), "--quiet"])
        files = sorted((tmp_path / name / "cap").iterdir())
        written.append({path.name: path.read_bytes() for path in files if path.suffix != ".png"})
    assert written[0] == written[1]


@pytest.mark.usefixtures("without_pictures")
def test_pressures_in_the_unit_asked_for(case: Path, tmp_path: Path, capsys) -> None:
    main(["run", str(case), "--out", str(tmp_path / "out"), "--pressure-unit", "psi"])
    assert "capacity [psi]" in capsys.readouterr().out.replace("\n", " ")


def test_draw(case: Path, tmp_path: Path, capsys) -> None:
    assert main(["draw", str(case), "--out", str(tmp_path / "out"), "--json", str(tmp_path / "out.json")]) == MET
    assert (tmp_path / "out" / "cap-section.svg").is_file()
    content = json.loads((tmp_path / "out.json").read_text())
    assert content["mass_g"] > 0.0
    assert content["pieces"][0]["start_mm"][0] == 0.0


def test_usage_error_exits_with_two() -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["fly"])
    assert stopped.value.code == WRONG_INPUT


def test_help_loads_no_mechanics() -> None:
    """What makes --help quick: neither numpy nor pydantic is imported for it."""
    code = "import sys, buckle.cli as c\ntry: c.main(['--help'])\nexcept SystemExit: pass\n"
    code += "assert not {'numpy', 'pydantic', 'skfem', 'matplotlib', 'rich'} & set(sys.modules), sys.modules.keys()"
    subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, cwd=ROOT)


def test_a_reader_that_goes_away_is_no_error(case: Path, tmp_path: Path) -> None:
    words = [sys.executable, "-m", "buckle", "run", str(case), "--out", str(tmp_path / "out"), "--figures", "none"]
    command = f"{shlex.join(words)} | head -1; exit ${{PIPESTATUS[0]}}"
    env = {**os.environ, "PYTHONPATH": str(ROOT)}
    done = subprocess.run(["bash", "-c", command], capture_output=True, text=True, env=env, check=False)
    assert done.returncode == MET
    assert "Traceback" not in done.stderr
    assert (tmp_path / "out" / "cap" / "results.json").is_file()


def test_a_mistake_of_ours_has_a_code_of_its_own_and_one_line(case: Path, capsys, monkeypatch) -> None:
    """Never that of a requirement which is missed; the traceback is kept where the line says."""
    monkeypatch.setattr("buckle.commands.run.read_all", lambda paths: 1 / 0)
    assert main(["run", str(case)]) == CRASHED
    (line,) = capsys.readouterr().err.splitlines()
    assert line.startswith("buckle made a mistake: ZeroDivisionError; please report ")
    kept = Path(line.removeprefix("buckle made a mistake: ZeroDivisionError; please report ").partition(",")[0])
    assert "1 / 0" in kept.read_text()
    kept.unlink()


def test_the_version(capsys) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["--version"])
    assert stopped.value.code == 0
    assert capsys.readouterr().out == f"buckle {buckle.__version__}\n"
    assert {"read_case", "sweep", "__version__"} <= set(dir(buckle))


def test_no_floating_warning_reaches_standard_error() -> None:
    """Of the command itself; who calls `main` from Python, as the tests do, sees every warning."""
    code = (
        "import sys, os, numpy as np; from buckle import cli; from buckle.commands import formula\n"
        "def shown(*_, **__): np.log(np.zeros(1)); assert os.environ['PYTHONWARNINGS'] == 'ignore::RuntimeWarning'\n"
        "formula.show_formulas = lambda *a, **k: (shown(), 0)[1]\n"
        "sys.argv = ['buckle', 'formula']; sys.exit(cli.main(*{arguments}))"
    )
    env = {key: value for key, value in os.environ.items() if key != "PYTHONWARNINGS"}
    for arguments, said in (("[]", ""), ("[['formula']]", "divide by zero")):
        own = code.replace("{arguments}", arguments)
        if said:
            own = own.replace("; assert os.environ['PYTHONWARNINGS'] == 'ignore::RuntimeWarning'", "")
        command = [sys.executable, "-c", own]
        done = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, env=env, check=False)
        assert done.returncode == 0
        assert (said in done.stderr) if said else done.stderr == ""


def test_files_that_are_not_there_are_said_before_anything_is_loaded() -> None:
    """A wrong name costs a start of the interpreter, not seconds of imports; every one of several is told."""
    code = "import sys, buckle.cli as c\nassert c.main({}) == 2\n"
    code += "assert not {{'numpy', 'pydantic', 'rich', 'matplotlib'}} & set(sys.modules), sys.modules.keys()"
    for words in (
        ["run", "no_1", "no_2"],
        ["draw", "no_1"],
        ["review", "no_1"],
        ["sweep", "no_1"],
        ["crosscheck", "no_1"],
    ):
        done = subprocess.run(
            [sys.executable, "-c", code.format(words)], capture_output=True, text=True, cwd=ROOT, check=False
        )
        assert done.returncode == 0, done.stderr
        lines = done.stderr.splitlines()
        names = [word for word in words if word.startswith("no_")]
        assert [line.startswith(f"{name}: file: cannot be read: ") for line, name in zip(lines, names, strict=True)]


def test_the_verdict_is_printed_before_anything_that_draws_is_loaded(case: Path, tmp_path: Path) -> None:
    code = f"""import sys, buckle.cli, buckle.commands.run as run
say, seen = run.say, []
run.say = lambda what: (seen.append('matplotlib' in sys.modules), say(what))
assert buckle.cli.main(['run', {str(case)!r}, '--out', {str(tmp_path / "out")!r}, '--figures', 'none']) == 0
assert seen == [False, True], seen"""
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.returncode == 0, done.stderr
    assert "VERDICT" in done.stdout


@pytest.mark.parametrize(("figures", "suffixes"), [("svg", {".svg"}), ("both", {".svg", ".png"}), ("none", set())])
def test_pictures_in_the_formats_asked_for(figures: str, suffixes: set[str], case: Path, tmp_path: Path) -> None:
    """The sheet is written whatever they are, and a review finds nothing missing."""
    out = tmp_path / "out"
    assert main(["run", str(case), "--out", str(out), "--quiet", "--figures", figures]) == MET
    pictures = {path.suffix for path in (out / "cap").iterdir()} & {".svg", ".png"}
    assert pictures == suffixes
    sheet = (out / "cap" / "margin-sheet.html").read_text("utf-8")
    assert ("<svg" in sheet) is bool(suffixes)
    assert main(["review", str(out / "cap"), "--quiet"]) == MET
    assert main(["draw", str(case), "--out", str(out), "--quiet", "--figures", figures]) == MET
    assert {path.suffix for path in out.glob("cap-section.*")} == suffixes
