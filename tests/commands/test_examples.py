"""`buckle examples`: cases and studies to begin from, copied to where one can change them."""

from pathlib import Path

import pytest

from buckle.cli import main
from buckle.commands.codes import MET, WRONG_INPUT
from tests.helpers.paths import ROOT


def files(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_demonstration_and_the_studies_are_copied(tmp_path: Path, capsys) -> None:
    assert main(["examples", "--out", str(tmp_path / "mine")]) == MET
    shipped = {name: text for name, text in files(ROOT / "cases").items() if not name.startswith("benchmarks")}
    assert files(tmp_path / "mine") == shipped
    assert {"case.schema.json", "demo/base.toml", "studies/gauge_and_depth.toml"} <= set(shipped)
    assert f"buckle run {tmp_path}/mine/demo/base.toml" in capsys.readouterr().out


@pytest.mark.usefixtures("in_threads")
@pytest.mark.parametrize("name", ["demo/base.toml", "demo/end.toml", "studies/gauge_and_depth.toml"])
def test_a_copied_file_is_read_where_it_is(name: str, tmp_path: Path, capsys) -> None:
    assert main(["examples", "--out", str(tmp_path), "--quiet"]) == MET
    words = ["sweep", "--dry-run"] if name.startswith("studies") else ["draw"]
    assert main([*words, str(tmp_path / name), "--out", str(tmp_path / "out")]) == MET


def test_a_file_that_is_there_stays_as_it_is(tmp_path: Path, capsys) -> None:
    own = tmp_path / "demo" / "end.toml"
    own.parent.mkdir()
    own.write_text("mine")
    assert main(["examples", "--out", str(tmp_path)]) == WRONG_INPUT
    assert files(tmp_path) == {"demo/end.toml": b"mine"}
    assert f"{own}: is there already" in capsys.readouterr().err


def test_a_folder_that_cannot_be_made(tmp_path: Path, capsys) -> None:
    (tmp_path / "file").write_text("")
    assert main(["examples", "--out", str(tmp_path / "file" / "x")]) == WRONG_INPUT
    assert "cannot be written" in capsys.readouterr().err
