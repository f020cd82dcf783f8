"""Following DEVELOPERS.md in a copy of the repository: its own blocks of code, written where they say."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

from tests.helpers.paths import ROOT

COPIED = ("buckle", "tests", "scripts", "cases")
BLOCK = re.compile(r"^```python\n# (\S+\.py)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def blocks(heading: str) -> dict[str, str]:
    """The files that a section of DEVELOPERS.md gives in full, by where they go."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = text.split(f"\n### {heading}\n")[1].split("\n### ")[0]
    return dict(BLOCK.findall(section))


def copy(to: Path) -> Path:
    """A copy of what a contributor changes, without what Python left in it."""
    for name in COPIED:
        shutil.copytree(ROOT / name, to / name, ignore=shutil.ignore_patterns("__pycache__"))
    shutil.copy(ROOT / "pyproject.toml", to)
    return to


def write(root: Path, files: dict[str, str]) -> None:
    for name, text in files.items():
        (root / name).write_text(text, encoding="utf-8")


def python(root: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run Python in a copy, which is imported before anything installed."""
    environment = {
        "PYTHONPATH": str(root),
        "PATH": "/usr/bin:/bin",
        "OMP_NUM_THREADS": "1",
        "OPENBLAS_NUM_THREADS": "1",
        "NUMBA_DISABLE_JIT": "1",  # a copy has nothing compiled yet, and nothing here flows plastically
    }
    return subprocess.run(
        [sys.executable, *words], cwd=root, env=environment, capture_output=True, text=True, check=False
    )
