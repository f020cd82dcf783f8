"""README's Python runs; its commands and files exist."""

import re
from pathlib import Path

import pytest

from buckle.cli import main

ROOT = Path(__file__).parents[1]
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
