"""What a benchmark case says of its source: who says it can be repeated here is repeated, who cannot be says so."""

import math
from pathlib import Path

import pytest

from buckle.case import Case, read_case
from tests.verification.plate_limit import plate_limit
from tests.verification.sanders_koiter import critical_pressure
from tests.verification.shell_bvp import cap_limit

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "cases" / "benchmarks"
NOT_HERE = "not reproducible from this repository"
REPEATS = {name: f"tests/verification/{name}.py" for name in ("plate_limit", "sanders_koiter", "shell_bvp")}
OWN = ("worked out in the note", "written out in the note", "derived in the note")
ELSEWHERE = ("base", "end")  # from a separate elastic-plastic code and the solid: they say so in words of their own
PATHS = [path for path in sorted(FOLDER.rglob("*.toml")) if path.parent.name not in ELSEWHERE]


def repeated(script: str, quantity: str) -> list:
    """Every expectation of a quantity whose source names a script, with its case."""
    found = [
        pytest.param(case, each, id=path.stem)
        for path in PATHS
        for case in [read_case(path)]
        for each in case.expect
        if REPEATS[script] in each.source and each.quantity.endswith(quantity)
    ]
    assert found
    return found


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_a_number_computed_elsewhere_says_whether_it_can_be_had_here(path: Path) -> None:
    for each in read_case(path).expect:
        if "computed for this project" in each.source:
            assert any(words in each.source for words in (NOT_HERE, *REPEATS.values(), *OWN)), each.source


def thickness_of(case: Case) -> float:
    return case.meridian.pieces[0].thickness[0]


@pytest.mark.parametrize(("case", "expected"), repeated("shell_bvp", "limit_pressure_bar"))
def test_limits_of_caps(case: Case, expected) -> None:
    """Exact shell with shear at the case's own R/t, by scipy's solve_bvp: within the tolerance that the case states."""
    radius, thickness, nu = case.dimensions["radius"], thickness_of(case), case.material.poissons_ratio
    classical = 2.0 * case.material.youngs_modulus * (thickness / radius) ** 2 / math.sqrt(3.0 * (1.0 - nu**2))
    clamped = case.supports.outer_edge == "clamped"
    angle, follower = case.meridian.length / radius, case.loads.follower
    share = cap_limit(radius, thickness, angle, nu, follower=follower, shear=True, clamped=clamped)
    assert 10.0 * share * classical == pytest.approx(expected.value, rel=0.01 * expected.tolerance_percent)


def cylinder_in_waves(case: Case) -> tuple[float, int]:
    """Pressure [bar] and n of a whole cylinder, or of the whole that a case models half of."""
    radius, thickness = case.dimensions["radius"], thickness_of(case)
    length = case.meridian.length * (2.0 if case.supports.start_edge == "guided" else 1.0)
    E, force = case.material.youngs_modulus, case.loads.axial_force or 0.0
    axial = force / (2.0 * math.pi * radius * E)
    nu, closed = case.material.poissons_ratio, case.loads.end_thrust
    share, waves = critical_pressure(radius, thickness, length, nu, closed=closed, axial=axial)
    return 10.0 * share * E, waves


@pytest.mark.parametrize(("case", "expected"), repeated("sanders_koiter", "critical_pressure_bar"))
def test_critical_pressures_of_cylinders(case: Case, expected) -> None:
    """Five to six digits are given."""
    assert cylinder_in_waves(case)[0] == pytest.approx(expected.value, rel=2e-5)


@pytest.mark.parametrize(("case", "expected"), repeated("sanders_koiter", "wave_number"))
def test_wave_numbers_of_cylinders(case: Case, expected) -> None:
    assert cylinder_in_waves(case)[1] == expected.value


@pytest.mark.parametrize(("case", "expected"), repeated("plate_limit", "limit_pressure_bar"))
def test_limits_of_plates(case: Case, expected) -> None:
    """Six digits are given."""
    edge = "clamped" if case.supports.outer_edge == "clamped" else "supported"
    moment = case.material.hardening.yield_stress * thickness_of(case) ** 2 / 4.0
    assert 10.0 * plate_limit(edge) * moment / case.dimensions["radius"] ** 2 == pytest.approx(expected.value, rel=2e-6)


def test_a_very_long_cylinder_is_a_ring() -> None:
    """p = E (t/R)^3 / (4 (1 - nu^2)) with n = 2 (M. Bresse 1866, from memory); 3e-4 of (t/R)^2 and end effects."""
    share, waves = critical_pressure(100.0, 1.0, 1e5, 0.3, closed=False)
    assert waves == 2
    assert share == pytest.approx(1e-6 / (4.0 * 0.91), rel=3e-4)


def test_axial_force_alone() -> None:
    """0.58598 E t/R at R/t = 100, L/R = 1 (computed for this project apart): no pressure is left there at n = 7."""
    share, waves = critical_pressure(100.0, 1.0, 100.0, 0.3, closed=False, axial=-0.58598e-2)
    assert waves == 7
    assert abs(share) < 1e-9
