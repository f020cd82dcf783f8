"""Following DEVELOPERS.md in a copy of the repository: its own blocks of code, written where they say."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

from tests.helpers.paths import ROOT

COPIED = ("buckle", "tests", "scripts", "cases")
BLOCK = re.compile(r"^```(?:python|toml)\n# (\S+\.(?:py|toml))\n(.*?)^```$", re.MULTILINE | re.DOTALL)
INSERTION = re.compile(r"^```python\n# (\S+\.py), under: ([^\n]+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def section(heading: str) -> str:
    """What DEVELOPERS.md says under a heading."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    return text.split(f"\n### {heading}\n")[1].split("\n### ")[0]


def blocks(heading: str) -> dict[str, str]:
    """The files that a section of DEVELOPERS.md gives in full, by where they go."""
    return dict(BLOCK.findall(section(heading)))


def insert(root: Path, heading: str) -> list[str]:
    """Put in what a section gives to put under lines of files; the files. Each line must stand there just once."""
    insertions = INSERTION.findall(section(heading))
    for name, under, text in insertions:
        lines = (root / name).read_text(encoding="utf-8").splitlines(keepends=True)
        (at,) = [number for number, line in enumerate(lines, 1) if line.strip() == under]
        (root / name).write_text("".join((*lines[:at], text, *lines[at:])), encoding="utf-8")
    return [name for name, _, _ in insertions]


def copy(to: Path) -> Path:
    """A copy of what a contributor changes, with bytecode, which is good as long as its file is, but no kernels."""
    for name in COPIED:
        shutil.copytree(ROOT / name, to / name, ignore=shutil.ignore_patterns("*.nbi", "*.nbc"))
    shutil.copy(ROOT / "pyproject.toml", to)
    return to


def write(root: Path, files: dict[str, str]) -> None:
    for name, text in files.items():
        (root / name).write_text(text, encoding="utf-8")


SUITE = """
import sys, pytest
def suite(*words):
    sys.stdout.flush()
    return pytest.main(["-q", "--no-header", "-p", "no:cacheprovider", *words])
"""
SCHEMA = "tests/case/test_case.py::test_schema_file_is_fresh"


def check_schema_and_rules(root: Path, units: str) -> None:
    """The schema is stale until it is written again; no other test of case files, or of the rules for units, complains.

    The units are words for `-k`. One process does all, since each takes a second or two to start.
    """
    steps = f"""
from scripts.tables import schema
suite("tests/case/test_case.py", "tests/test_architecture.py", "-k", "test_case.py or {units}")
schema.main()
sys.exit(suite("{SCHEMA}"))
"""
    done = python(root, "-c", SUITE + steps)
    stale, fresh = done.stdout.split("case.schema.json\n")
    assert stale.count("FAILED") == 1, stale
    assert f"FAILED {SCHEMA}" in stale, stale
    assert "1 failed" in stale, stale
    assert (done.returncode, "1 passed" in fresh) == (0, True), fresh


def python(root: Path, *words: str, compiled: bool = False) -> subprocess.CompletedProcess[str]:
    """Run Python in a copy, which is imported before anything installed."""
    environment = {
        "PYTHONPATH": str(root),
        "PATH": "/usr/bin:/bin",
        "OMP_NUM_THREADS": "1",
        "OPENBLAS_NUM_THREADS": "1",
    }
    if not compiled:  # a copy has nothing compiled yet, and where nothing flows plastically that takes the most time
        environment["NUMBA_DISABLE_JIT"] = "1"
    return subprocess.run(
        [sys.executable, *words], cwd=root, env=environment, capture_output=True, text=True, check=False
    )
