"""DEVELOPERS.md, "A benchmark case": one file that is tried, and that the generated pages then name; in a copy."""

import shutil
from pathlib import Path

import pytest

from tests.helpers.paths import ROOT
from tests.helpers.recipes import blocks, copy, python, write

FILES = blocks("A benchmark case")
(NAME,) = FILES
RULES = ("-m", "pytest", "-q", "--no-header", "-p", "no:cacheprovider", "tests/cases", "-k", "la-clamped-thicker")


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = copy(tmp_path_factory.mktemp("benchmark"))
    for name in ("README.md", "CHANGELOG.md"):
        shutil.copy(ROOT / name, root)
    shutil.copytree(ROOT / "docs", root / "docs")
    write(root, FILES)
    return root


def bench(root: Path, name: str) -> tuple[int, str]:
    done = python(root, "-m", "buckle.cli", "bench", name)
    return done.returncode, done.stdout


def test_it_is_tried_and_met(root: Path) -> None:
    code, said = bench(root, NAME)
    assert code == 0, said
    assert "1 case with 1 expectation: 1 met" in said


def test_a_wrong_value_is_not_met(root: Path, tmp_path: Path) -> None:
    """Half a per cent off, ten times what the case allows."""
    wrong = tmp_path / "wrong.toml"
    assert FILES[NAME].count("value = 1.50012") == 1
    wrong.write_text(FILES[NAME].replace("value = 1.50012", "value = 1.5076"), encoding="utf-8")
    code, said = bench(root, str(wrong))
    assert code == 1
    assert "1 missed" in said


def test_the_table_lacks_it_until_it_is_written_again(root: Path) -> None:
    """What holds every benchmark case (note, source, reason, value) is content; the table alone is stale."""
    found = python(root, *RULES).stdout
    assert "1 failed" in found, found
    assert "test_computed_values_of_the_verification_table[plate/la-clamped-thicker]" in found
