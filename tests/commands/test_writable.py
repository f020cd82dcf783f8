"""Where results go is tried before the work: a file that cannot be written costs nobody the time of an analysis."""

from collections.abc import Sequence
from pathlib import Path

import pytest

from buckle import analysis
from buckle.cli import main
from buckle.commands import crosscheck
from buckle.commands.codes import WRONG_INPUT
from buckle.commands.output import check_writable
from buckle.errors import CaseError
from tests.helpers.cap_case import CAP

STUDY = '[study]\nbase_case = "cap.toml"\n[vary]\n"shape.thickness_mm" = [1.0, 1.1]\n'
EXPECT = '[[expect]]\nquantity = "LBA.wave_number"\nvalue = 3\nsource = "made for this test"\n'
OPTIONS: dict[str, Sequence[str]] = {
    "draw": ("--json", "--out"),
    "run": ("--json", "--out"),
    "review": ("--json", "--out"),
    "bench": ("--json", "--junit"),
    "crosscheck": ("--json",),
    "sweep": ("--json", "--out"),
}


def never(*_: object, **__: object) -> None:
    raise AssertionError("the work began")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with a case and a study, in which no analysis may begin."""
    monkeypatch.setattr(analysis, "run_of", never)
    monkeypatch.setattr(crosscheck, "crosscheck", never)
    monkeypatch.chdir(tmp_path)
    (tmp_path / "cap.toml").write_text(CAP + EXPECT)
    (tmp_path / "study.toml").write_text(STUDY)
    (tmp_path / "file").write_text("mine")
    return tmp_path


def everything(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() if path.is_file() else b"" for path in folder.rglob("*")}


@pytest.mark.parametrize(
    "target", ["no/such/file", "file/below", "a" * 300, "."], ids=["parent", "file", "long", "dir"]
)
@pytest.mark.parametrize(("command", "option"), [(name, each) for name, options in OPTIONS.items() for each in options])
def test_a_target_that_cannot_be_written_is_refused_before_the_work(
    command: str, option: str, target: str, folder: Path, capsys
) -> None:
    if option == "--out" and target in ("no/such/file", "."):
        pytest.skip("such a directory can be made, or is there")
    before = everything(folder)
    source = "study.toml" if command == "sweep" else "cap.toml"
    assert main([command, source, option, target]) == WRONG_INPUT
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("\n") == 1
    assert "cannot be written: " in said.err
    assert everything(folder) == before


def test_so_is_that_of_a_formula(folder: Path, capsys) -> None:
    assert main(["formula", "--json", "no/such"]) == WRONG_INPUT
    assert "no/such: cannot be written: No such file or directory" in capsys.readouterr().err


def test_trying_leaves_nothing_and_changes_nothing(folder: Path) -> None:
    before = everything(folder)
    check_writable(["new.json", "file", None, "-", Path("new/inside.json")], [Path("new"), Path("some/where/new")])
    assert everything(folder) == before


def test_a_file_in_a_directory_that_the_command_makes_is_no_fault(folder: Path) -> None:
    check_writable(["out/cap/x.json"], [Path("out"), Path("out/cap")])
    with pytest.raises(CaseError, match=r"deeper/x\.json: cannot be written: No such file or directory"):
        check_writable(["out/deeper/x.json"], [Path("out")])


def test_a_device_is_not_tried(folder: Path) -> None:
    """A pipe would wait for its reader, and what writes to it comes later."""
    check_writable(["/dev/stdout", "/dev/null"])
