"""Runs that many tests begin with, made once in this process and copied."""

import atexit
import shutil
import tempfile
from functools import cache
from pathlib import Path

from buckle.cli import main


@cache
def _made(name: str, text: str) -> Path:
    folder = Path(tempfile.mkdtemp(prefix="buckle-run-"))
    atexit.register(shutil.rmtree, folder, ignore_errors=True)
    (folder / name).write_text(text, encoding="utf-8")
    main(["run", str(folder / name), "--out", str(folder), "--figures", "none", "--quiet"])
    return folder / Path(name).stem


def ran(case: Path, out: Path) -> Path:
    """Leave below a folder what `buckle run` without pictures leaves of a case, and return where."""
    return shutil.copytree(_made(case.name, case.read_text(encoding="utf-8")), out / case.stem, dirs_exist_ok=True)
