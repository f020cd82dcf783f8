"""What no body has and what is unusual: bodies that the numbers were verified on are not refused, few are odd."""

from dataclasses import replace
from pathlib import Path

import pytest

from buckle.case import Case, read_case
from buckle.material import linear_hardening
from buckle.mesh import mesh_meridian
from buckle.proportions import (
    LENGTH_OVER_DECAY,
    RADIUS_OVER_THICKNESS,
    THICKEST_OVER_THINNEST,
    elements_needed,
    sizes,
    unusual,
)
from scripts.study.errors.bodies import COUNTS, bodies
from tests.helpers.bodies import case
from tests.helpers.paths import CONTAINER, ROOT

CASES = sorted(
    path
    for folder in ("demo", "populations", "benchmarks")
    for path in (ROOT / "cases" / folder).rglob("*.toml")
    if path != CONTAINER
)
EDGES = {"start_edge": "clamped", "outer_edge": "clamped"}


def tube(**changed: float) -> Case:
    shape = {"family": "cylinder", "radius_mm": 100.0, "length_mm": 200.0, "thickness_mm": 1.0} | changed
    return case(shape, run="LA", edges=EDGES)


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_bounds_leave_room_around_every_case(path: Path) -> None:
    """By a quarter at least: a body a little beyond those that were verified is nobody's slip."""
    body = sizes(read_case(path).meridian)
    assert 1.25 * RADIUS_OVER_THICKNESS[0] < body.radius / body.thickest
    assert body.radius / body.thinnest < RADIUS_OVER_THICKNESS[1] / 1.25
    assert body.thickest / body.thinnest < THICKEST_OVER_THINNEST[1] / 1.25
    assert body.length < LENGTH_OVER_DECAY * body.decay / 1.25


@pytest.mark.parametrize("path", [path for path in CASES if "benchmarks" not in path.parts], ids=lambda path: path.stem)
def test_nothing_is_unusual_about_a_container(path: Path) -> None:
    read = read_case(path)
    assert unusual(read.meridian, read.material) == ()


@pytest.mark.slow
def test_no_body_of_a_study_is_refused_for_its_size(monkeypatch: pytest.MonkeyPatch) -> None:
    """A study passes over what cannot be made, so that a bound would change its bodies in silence."""
    with_bounds = [(family, number) for family, number, _ in bodies()]
    monkeypatch.setattr("buckle.case.shape.check_sizes", lambda *_: None)
    assert [(family, number) for family, number, _ in bodies()] == with_bounds
    assert len(with_bounds) == sum(COUNTS.values())


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"thickness_mm": 6.0}, "only 16.7 times the thickest wall, usual are 20 and more"),
        ({"thickness_mm": 0.01, "length_mm": 50.0}, "1e+04 times the thinnest wall, usual are 5000 and less"),
        ({"length_mm": 2000.0}, "200 lengths sqrt(R t) long, usual are up to 150"),
    ],
)
def test_an_unusual_body_is_said(changed: dict[str, float], said: str) -> None:
    read = tube(**changed)
    (caution,) = unusual(read.meridian, read.material)
    assert said in caution


def test_a_thickness_that_jumps_is_said() -> None:
    pieces = [{"line_mm": 50.0}, {"line_mm": 50.0, "thickness_mm": 0.1}]
    shape = {"family": "meridian", "start_mm": [100.0, 0.0], "heading_deg": 90.0, "inside": "left"}
    read = case({**shape, "thickness_mm": 1.0, "pieces": pieces}, run="LA", edges=EDGES)
    assert unusual(read.meridian, read.material) == (
        "the thickest wall is 10 times the thinnest, usual is up to 6: check the units of both",
    )


@pytest.mark.parametrize(
    ("constants", "said"),
    [
        ({"youngs_modulus": 5e3}, "Young's modulus is 5 GPa; those of metals are 10 to 500 GPa"),
        ({"poissons_ratio": 0.0}, "Poisson's ratio is 0; those of metals are 0.2 to 0.45"),
        ({"hardening": linear_hardening(2.0)}, "2.9e-05 of Young's modulus; those of metals are 0.0002 to 0.02 of it"),
        ({"hardening": linear_hardening(2000.0)}, "0.029 of Young's modulus"),
        ({"hardening": linear_hardening(200.0, 20e3)}, "the metal would carry 0.29 of Young's modulus"),
    ],
)
def test_an_unusual_metal_is_said(constants: dict[str, object], said: str) -> None:
    read = tube()
    assert unusual(read.meridian, read.material) == ()
    (caution,) = unusual(read.meridian, replace(read.material, **constants))
    assert said in caution


@pytest.mark.parametrize("path", CASES, ids=lambda path: path.stem)
def test_the_elements_needed_are_about_those_of_the_mesh(path: Path) -> None:
    """Within a factor of three either way, close enough for a bound on memory: where short elements pass into long ones
    is not counted."""
    meridian = read_case(path).meridian
    count = mesh_meridian(meridian).count
    assert count / 3.0 < elements_needed(meridian, 1.0) < 3.0 * count
