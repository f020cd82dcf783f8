"""Standard output that knows few characters: replaced ones, whole data, never a traceback."""

import json
import os
import subprocess
import sys
from contextlib import redirect_stderr, redirect_stdout
from io import BytesIO, StringIO, TextIOWrapper
from pathlib import Path

import pytest

from buckle.cli import main
from tests.helpers.cap_case import CAP
from tests.helpers.paths import ROOT

TITLE = '[case]\ntitle = "täglich 5 µm → Ø 58"\n'


def said(encoding: str, *words: str) -> bytes:
    """Standard output of a command in an encoding; it must end well and say nothing else."""
    out, err = BytesIO(), StringIO()
    with redirect_stdout(TextIOWrapper(out, encoding)) as stream, redirect_stderr(err):
        assert main(list(words)) in (0, 3)
        stream.flush()
    assert err.getvalue() == ""
    return out.getvalue()


def said_by_a_process(encoding: str, *words: str) -> bytes:
    """The same of a process, which has its encoding from its surroundings."""
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding}
    done = subprocess.run([sys.executable, "-m", "buckle", *words], capture_output=True, env=env, check=False)
    assert done.returncode in (0, 3)
    assert done.stderr == b""
    return done.stdout


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("encodings")
    (made / "cap.toml").write_text(TITLE + CAP, encoding="utf-8")
    said("utf-8", "run", str(made / "cap.toml"), "--out", str(made), "--figures", "none")
    return made


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437"])
@pytest.mark.parametrize("command", ["draw", "run", "review", "formula"])
def test_what_cannot_be_encoded_is_replaced(command: str, encoding: str, folder: Path) -> None:
    words = {
        "draw": [str(folder / "cap.toml"), "--out", str(folder / "drawn")],
        "run": [str(folder / "cap.toml"), "--out", str(folder / encoding), "--figures", "none"],
        "review": [str(folder / "cap")],
        "formula": [],
    }[command]
    text = said(encoding, command, *words).decode(encoding)
    assert len(text) > 100
    if command in ("draw", "run"):
        shown = {"ascii": "t?glich 5 ?m ? ? 58", "latin-1": "täglich 5 µm ? Ø 58", "cp437": "täglich 5 µm ? ? 58"}
        assert shown[encoding] in text


@pytest.mark.parametrize("encoding", ["ascii", "cp437"])
def test_a_process_says_what_the_command_says(encoding: str, folder: Path) -> None:
    """A traceback at its end, or an encoding that is not the one it was given, shows nowhere else."""
    words = ("draw", str(folder / "cap.toml"), "--out", str(folder / "drawn"))
    assert said_by_a_process(encoding, *words) == said(encoding, *words).replace(b"\n", os.linesep.encode())


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-8"])
def test_data_is_whole_in_any_encoding(encoding: str, folder: Path) -> None:
    content = json.loads(said(encoding, "draw", str(folder / "cap.toml"), "--out", str(folder), "--json", "-"))
    assert content["title"] == "täglich 5 µm → Ø 58"
