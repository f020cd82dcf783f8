"""DEVELOPERS.md, "A formula": one file and a test of its value are all, followed in a copy."""

import json
from pathlib import Path

import pytest

from tests.helpers.recipes import blocks, copy, python, write

OWN = "buckle/formulas/cone.py"
VALUES = "tests/formulas/test_registry.py"
HOUSE = ("tests/formulas", "tests/commands/test_formula.py", "tests/report/sheet/test_formulas.py")
"""What holds every formula: statement, units, sense, sheet, command."""


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    root = copy(tmp_path_factory.mktemp("formula"))
    write(root, {OWN: blocks("A formula")[OWN]})
    return root


def suite(root: Path, *words: str) -> str:
    return python(root, "-m", "pytest", "-q", "--no-header", "-p", "no:cacheprovider", *words).stdout


def test_it_is_found_and_worked_out(root: Path) -> None:
    words = ("pressure_bar=2", "radius_mm=50", "thickness_mm=0.5", "half_angle_rad=1.0471975512")
    done = python(root, "-m", "buckle.cli", "formula", "cone.circumferential_stress", *words, "--json", "-")
    assert (done.returncode, done.stderr) == (0, "")
    content = json.loads(done.stdout)
    assert content["value"] == pytest.approx(40.0)  # as worked by hand in the recipe
    assert content["answers"] == "stress"


def test_suite_asks_for_its_value_and_for_nothing_else(root: Path) -> None:
    """Without a test of its value one check fails and says so; with the recipe's, all that hold every formula pass."""
    chosen = ("-k", "cone or similar_bodies or stiffer_and or formulas_show or standards or list_is")
    without = suite(root, VALUES, "-k", "cone")
    assert "1 failed" in without, without
    assert "test_value_is_held_by_a_test[cone.circumferential_stress]" in without
    write(root, blocks("A formula"))
    held = suite(root, *HOUSE, *chosen)
    assert "failed" not in held, held
    assert "error" not in held, held
    assert "passed" in held
