"""Would a wrong change of what judges and words a result be noticed: sixty small ones, drawn, on tests that are quick.

The draw goes by the text of each mutant, so that a change of one function draws no others; BUCKLE_MUTANTS=2 and so on
are other draws. A survivor is either a gap, to be closed by a test, or harmless: then it stands in survivors.toml with
the reason, by its function and change.
"""

import json
import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

from tests.helpers.paths import ROOT

JUDGING = (
    "margins/**/*.py",
    "record/margins.py",
    "record/agreement.py",
    "report/console.py",
    "record/sheet/*.py",
    "report/sheet/*.py",
)
TESTS = ("tests/margins", "tests/record", "tests/report/sheet")
COUNT = 60
HARMLESS = tomllib.loads((Path(__file__).parent / "survivors.toml").read_text(encoding="utf-8"))["harmless"]


@pytest.mark.slow
@pytest.mark.skipif("BUCKLE_MUTANTS" not in os.environ, reason="minutes of one processor: scripts/check --full sets it")
def test_mutants_are_noticed(tmp_path: Path) -> None:
    survivors, known = tmp_path / "survivors.json", tmp_path / "known.json"
    known.write_text(json.dumps(list(HARMLESS)), encoding="utf-8")
    words = [word for pattern in JUDGING for word in ("--mutate", pattern)]
    command = [sys.executable, "-m", "pytest", "-q", "-p", "tests.mutation.plugin", "-p", "no:xdist", "-m", "not slow"]
    draw = ["--mutants", str(COUNT), "--draw", os.environ["BUCKLE_MUTANTS"]]
    files = ["--known", str(known), "--survivors", str(survivors)]
    subprocess.run([*command, *words, *draw, *files, *TESTS], cwd=ROOT, check=True, capture_output=True)
    unknown = [name for name in json.loads(survivors.read_text(encoding="utf-8")) if name not in HARMLESS]
    assert unknown == []
