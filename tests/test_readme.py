"""README's Python runs; its commands and files exist."""

import re
from pathlib import Path

import pytest

from buckle.cli import main
from tests.helpers.paths import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")


def blocks(language: str) -> list[str]:
    return re.findall(rf"```{language}\n(.*?)```", README, flags=re.DOTALL)


@pytest.mark.parametrize("block", blocks("python"))
def test_python_runs(block: str, monkeypatch, capsys) -> None:
    monkeypatch.chdir(ROOT)
    exec(compile(block, "README.md", "exec"), {})
    assert "dome reversal met" in capsys.readouterr().out


@pytest.mark.parametrize("script", re.findall(r"scripts/\w+", README))
def test_named_scripts_exist(script: str) -> None:
    assert (ROOT / script).is_file()


@pytest.mark.parametrize("link", re.findall(r"\]\(([^)#]+)\)", README))
def test_linked_files_exist(link: str) -> None:
    assert (ROOT / link).is_file()


def test_it_tells_how_the_study_bases_fail() -> None:
    """Counts of the rolling study: bases in all, those whose stand rolls, those whose dome turns."""
    study = (ROOT / "docs" / "rolling-of-the-stand.md").read_text(encoding="utf-8")
    bases, rolls, turns = (
        re.search(rf"^\| {row} \| (\d+) \|", study, flags=re.MULTILINE)[1]
        for row in ("bases", r"\.\.\. stand rolls \(by the formula\)", r"\.\.\. dome turns \(by the formula\)")
    )
    assert f"{rolls} and {turns} of {bases} study bases" in README
    assert "long before the dome" not in README


def test_it_says_that_no_base_and_no_end_was_tested() -> None:
    words = " ".join(README.split())
    assert "no test of a base or of an end is in the validation" in words
    assert "GMNA decides for the perfect shape" in words
    assert "the analysis that decides for the perfect shape" in words


@pytest.mark.usefixtures("without_pictures")
def test_the_run_shown_is_the_run_made(tmp_path: Path, capsys) -> None:
    """The numbers of the shown table are those that come out."""
    main(["run", str(ROOT / "cases/demo/base.toml"), "--out", str(tmp_path)])
    printed = capsys.readouterr().out
    shown = next(block for block in blocks("text") if "VERDICT" in block)
    verdict = next(line for line in shown.splitlines() if line.startswith("VERDICT"))
    assert verdict in printed
    for number in re.findall(r"\b\d+\.\d{2,}\b", shown):
        assert number in printed, number


def test_commands_of_the_table_exist(capsys) -> None:
    for command in re.findall(r"`buckle (\w+) ", README):
        with pytest.raises(SystemExit) as stopped:
            main([command, "--help"])
        assert stopped.value.code == 0
        capsys.readouterr()
