"""DEVELOPERS.md, "The generated pages": one command writes all of them, and on an unchanged tree changes nothing."""

import importlib
import shutil
from pathlib import Path

import pytest

from scripts.tables import __main__ as pages
from tests.helpers.paths import ROOT
from tests.helpers.recipes import copy, python

WRITTEN = (
    "cases/case.schema.json",
    "cases/container.schema.json",
    "README.md",
    "buckle/record/suite.json",
    "docs",
    "meshes",
)
"""What the command may write."""


@pytest.fixture
def root(tmp_path: Path) -> Path:
    root = copy(tmp_path)
    for name in ("README.md", "DEVELOPERS.md", "CHANGELOG.md"):
        shutil.copy(ROOT / name, root)
    for name in ("docs", "meshes"):
        shutil.copytree(ROOT / name, root / name)
    return root


def contents(root: Path) -> dict[str, bytes]:
    """Every file that the command may write, but for pictures, whose points differ in the last digit by machine."""
    paths = [
        path for name in WRITTEN for path in ((root / name).rglob("*") if (root / name).is_dir() else [root / name])
    ]
    files = [path for path in paths if path.is_file() and path.suffix not in (".png", ".svg")]
    return {str(path.relative_to(root)): path.read_bytes() for path in files}


def test_every_page_has_a_module_that_the_command_runs() -> None:
    """A module with a `main` that `scripts/pages` left out would leave its page stale."""
    modules = {path.stem for path in (ROOT / "scripts/tables").glob("*.py") if path.stem != "__main__"}
    able = {name for name in modules if hasattr(importlib.import_module(f"scripts.tables.{name}"), "main")}
    assert able == {module.__name__.split(".")[-1] for module in pages.WRITERS}


def test_the_schema_is_written_from_the_code(root: Path) -> None:
    before, schema = contents(root), root / "cases" / "case.schema.json"
    schema.write_text("{}", encoding="utf-8")
    done = python(root, "-m", "scripts.tables.schema")
    assert (done.returncode, done.stderr) == (0, "")
    assert contents(root) == before


@pytest.mark.slow
def test_all_pages_written_anew_are_those_that_stand_here(root: Path) -> None:
    before = contents(root)
    done = python(root, "-m", "scripts.tables", compiled=True)
    assert done.returncode == 0, done.stderr
    after = contents(root)
    assert sorted(after) == sorted(before)
    assert [name for name in before if before[name] != after[name]] == []
