"""DEVELOPERS.md, "A shape": one file and one entry make a family that runs, followed in a copy."""

import json
import math
from pathlib import Path

import pytest

from tests.helpers.recipes import blocks, check_schema_and_rules, copy, python, write

CASE = """
[material]
youngs_modulus_GPa = 200.0
poissons_ratio = 0.3

[shape]
family = "conical_head"
diameter_mm = 200.0
slope_deg = 30.0
tip_radius_mm = 20.0
thickness_mm = 1.0

[supports]
outer_edge = "clamped"

[loads]
pressure_side = "outside"

[analyses]
run = ["LBA"]
wave_numbers = [0, 12]
"""


@pytest.fixture(scope="module")
def root(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy with the file of the recipe, its entry and its import."""
    root = copy(tmp_path_factory.mktemp("shape"))
    write(root, blocks("A shape") | {"cone.toml": CASE})
    table = root / "buckle/shapes/__init__.py"
    text = table.read_text(encoding="utf-8")
    entered = text.replace("_FAMILIES = (\n", "_FAMILIES = (\n    CONICAL_HEAD,\n", 1).replace(
        "from buckle.shapes.end import", "from buckle.shapes.cone import CONICAL_HEAD\nfrom buckle.shapes.end import", 1
    )
    assert entered.count("CONICAL_HEAD") == 2
    table.write_text(entered, encoding="utf-8")
    return root


RUN = """
import json, buckle
case = buckle.read_case("cone.toml")
outcome = buckle.run(case, "LBA", estimate_error=False, pictures=False)
margins = [margin.limit_state for margin in buckle.judge(case, [outcome]).margins]
print(json.dumps([outcome.status.value, outcome.capacity.pressure, margins, case.meridian.enclosed_volume]))
"""


def test_it_runs_at_once(root: Path) -> None:
    done = python(root, "-c", RUN)
    assert (done.returncode, done.stderr) == (0, "")
    status, pressure, margins, volume = json.loads(done.stdout)
    assert status == "solved"
    assert pressure > 0.0
    assert margins == ["onset of waves in the cone, elastic, linear"]
    # a segment of a sphere of 20 mm, h = 20 (1 - cos 30 deg), on a frustum from its rim, r = 10 mm, to 100 mm
    segment, fall = 20.0 * (1.0 - math.cos(math.pi / 6.0)), 90.0 * math.tan(math.pi / 6.0)
    exact = segment**2 * (60.0 - segment) / 3.0 + fall * (10.0**2 + 10.0 * 100.0 + 100.0**2) / 3.0
    assert volume == pytest.approx(math.pi * exact)


def test_schema_and_rules_of_the_house_follow(root: Path) -> None:
    check_schema_and_rules(root, "[shapes]")
