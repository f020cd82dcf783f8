"""Standard output that knows few characters: replaced ones, whole data, never a traceback."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.helpers.cap_case import CAP
from tests.helpers.paths import ROOT

TITLE = '[case]\ntitle = "täglich 5 µm → Ø 58"\n'


def said(encoding: str, *words: str) -> bytes:
    """Standard output of a command in an encoding; it must end well and say nothing else."""
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": encoding}
    done = subprocess.run([sys.executable, "-m", "buckle", *words], capture_output=True, env=env, check=False)
    assert done.returncode in (0, 3)
    assert done.stderr == b""
    return done.stdout


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("encodings")
    (made / "cap.toml").write_text(TITLE + CAP, encoding="utf-8")
    said("utf-8", "run", str(made / "cap.toml"), "--out", str(made))
    return made


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437"])
@pytest.mark.parametrize("command", ["draw", "run", "review", "formula"])
def test_what_cannot_be_encoded_is_replaced(command: str, encoding: str, folder: Path) -> None:
    words = {
        "draw": [str(folder / "cap.toml"), "--out", str(folder / "drawn")],
        "run": [str(folder / "cap.toml"), "--out", str(folder / encoding)],
        "review": [str(folder / "cap")],
        "formula": [],
    }[command]
    text = said(encoding, command, *words).decode(encoding)
    assert len(text) > 100
    if command in ("draw", "run"):
        shown = {"ascii": "t?glich 5 ?m ? ? 58", "latin-1": "täglich 5 µm ? Ø 58", "cp437": "täglich 5 µm ? ? 58"}
        assert shown[encoding] in text


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-8"])
def test_data_is_whole_in_any_encoding(encoding: str, folder: Path) -> None:
    content = json.loads(said(encoding, "draw", str(folder / "cap.toml"), "--out", str(folder), "--json", "-"))
    assert content["title"] == "täglich 5 µm → Ø 58"
