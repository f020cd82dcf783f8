"""DEVELOPERS.md, "A limit state that is a deformation": its lines make margins that are judged, followed in a copy."""

import json
from pathlib import Path

import pytest

from tests.helpers.paths import ROOT
from tests.helpers.recipes import blocks, check_schema_and_rules, copy, insert, python, write

HEADING = "A limit state that is a deformation"
RULES = ("-m", "pytest", "-q", "--no-header", "-p", "no:cacheprovider")


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy with the lines of the recipe, its test, and an end that is allowed little and one that is allowed much."""
    root = copy(tmp_path_factory.mktemp("deformation"))
    assert len(insert(root, HEADING)) == 12
    end = (ROOT / "cases/demo/end.toml").read_text(encoding="utf-8").split("[analyses]")[0]
    elastic = end.replace('grade = "AL-5182-H48-coated"', ELASTIC)
    write(root, blocks(HEADING) | {"end.toml": elastic + ALLOWS})
    return root


ELASTIC = """
youngs_modulus_GPa = 70.0
poissons_ratio = 0.33
yields = false
"""

ALLOWS = """
[analyses]
run = ["GNA"]
wave_numbers = [0, 0]
[requirements]
service_pressure_bar = 1.0
panel_edge_rise_mm = 0.01
[numerics]
mesh_density = 0.25
"""

RUN = """
import json, buckle
case = buckle.read_case("end.toml")
outcome = buckle.run(case, "GNA", estimate_error=False, lower_bracket=False, pictures=False)
rows = [each for each in buckle.judge(case, [outcome]).margins if each.limit_state == "rise of the panel's edge"]
print(json.dumps([[each.verdict.value, each.capacity, each.size.found, each.size.allowed] for each in rows]))
"""


def test_it_is_found_and_judged(root: Path) -> None:
    """An elastic analysis is enough for a metal that is declared not to yield; more than is allowed fails at less."""
    done = python(root, "-c", RUN)
    assert (done.returncode, done.stderr) == (0, "")
    ((verdict, capacity, found, allowed),) = json.loads(done.stdout)
    assert (verdict, allowed) == ("not met", 0.01)
    assert found > allowed
    assert 0.0 < capacity < 0.3


@pytest.mark.slow
def test_its_own_test_holds(root: Path) -> None:
    done = python(root, *RULES, "tests/verification/test_panel_edge.py")
    assert "3 passed" in done.stdout, done.stdout


@pytest.mark.slow
def test_a_run_is_written_and_read_back(root: Path) -> None:
    """The review works out again whether the case allows what the margin says."""
    ran = python(root, "-m", "buckle.cli", "run", "end.toml", "--out", "out", "--quiet", "--figures", "none")
    assert (ran.returncode, ran.stderr) == (1, ""), ran
    again = python(root, "-m", "buckle.cli", "review", "out/end")
    assert (again.returncode, again.stderr) == (1, "")
    assert "rise of the panel's edge" in again.stdout
    path = root / "out" / "end" / "results.json"
    recorded = json.loads(path.read_text(encoding="utf-8"))
    (row,) = [row for row in recorded["margins"] if row["limit_state"] == "rise of the panel's edge"]
    assert row["verdict"] == "not met"


def test_rules_of_the_house_follow(root: Path) -> None:
    """Those for the units in which the recipe changes files."""
    check_schema_and_rules(root, "[case] or [analysis] or [results] or [margins] or [record]")
