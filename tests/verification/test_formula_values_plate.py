"""Plate formulas against numbers computed for this project, handbook values and von Karman's equations."""

import pytest
from scipy.optimize import brentq

from buckle.formulas.plate import circular as plate
from tests.references.plate_bvp import plate_load
from tests.references.plate_limit import plate_limit

LARGE = {
    "clamped_fixed": plate.clamped_fixed_large_deflection,
    "clamped_sliding": plate.clamped_sliding_large_deflection,
    "hinged_fixed": plate.hinged_fixed_large_deflection,
    "hinged_sliding": plate.hinged_sliding_large_deflection,
}


def plate_at(load, nu):
    """Arguments of a plate with p a^4 / (E t^4) = load, a/t = 10 and t = 1."""
    return {"pressure": load, "youngs_modulus": 1e4, "poissons_ratio": nu, "radius": 10.0, "thickness": 1.0}


# Computed for this project with a separate code: geometrically exact plate, dead pressure, nu = 0.3, a/t = 100; its
# small rotations and shear differ from von Karman's plate by up to 3e-4.
@pytest.mark.parametrize(
    ("load", "deflection"),
    [(1.0, 0.168035), (4.0, 0.576817), (10.0, 1.052049), (20.0, 1.493989), (40.0, 2.011917), (100.0, 2.856643)],
)
def test_clamped_plate_against_a_separate_code(load, deflection):
    assert LARGE["clamped_fixed"](**plate_at(load, 0.3)).value == pytest.approx(deflection, rel=4e-4)


@pytest.mark.parametrize("edge_kind", LARGE)
@pytest.mark.parametrize(
    ("load", "nu", "tolerance"), [(0.5, 0.3, 2e-3), (7.0, 0.3, 1e-5), (40.0, 0.33, 3e-3), (80.0, 0.25, 5e-3)]
)
def test_large_deflection_against_von_karman(edge_kind, load, nu, tolerance):
    """Tolerances as measured: below the table's first load, between its loads, and away from its nu."""
    found = LARGE[edge_kind](**plate_at(load, nu)).value
    assert plate_load(found, nu, edge_kind) == pytest.approx(load, rel=tolerance)


def test_large_deflection_stops_at_the_end_of_its_table():
    result = LARGE["hinged_fixed"](**plate_at(101.0, 0.3))
    assert result.value is None
    assert "q = 101 is outside" in result.reason


@pytest.mark.parametrize(
    ("small", "large"),
    [
        (plate.clamped_deflection, plate.clamped_fixed_large_deflection),
        (plate.supported_deflection, plate.hinged_sliding_large_deflection),
    ],
)
def test_small_deflection_is_the_start_of_the_large(small, large):
    args = plate_at(0.01, 0.33)
    assert small(**args).value == pytest.approx(large(**args).value, rel=1e-4)  # (w0/t)^2 is 5e-5


@pytest.mark.parametrize(
    ("edge_kind", "load", "ratio"),
    [("clamped_fixed", 3.0, 1.015), ("clamped_fixed", 6.0, 1.029), ("clamped_fixed", 10.0, 1.040)],
)
def test_large_deflection_beside_the_cubic_of_the_handbook(edge_kind, load, ratio):
    """w + 0.471 w^3 = 0.171 q, Timoshenko and Woinowsky-Krieger 1959, table 82 (from memory): known to be high so."""
    found = LARGE[edge_kind](**plate_at(load, 0.3)).value
    cubic = brentq(lambda w: w + 0.471 * w**3 - 0.171 * load, 0.0, 10.0)
    assert cubic / found == pytest.approx(ratio, abs=2e-3)


def test_small_deflection_stress_and_range():
    """Edge moment -p a^2 / 8 clamped and centre moment (3 + nu) p a^2 / 16 supported; stress 6 M / t^2; elementary."""
    args = plate_at(0.2, 0.3)
    moments = args["pressure"] * 100.0 / 8.0, 3.3 * args["pressure"] * 100.0 / 16.0
    assert plate.clamped_edge_stress(**args).value == pytest.approx(6.0 * moments[0], rel=1e-12)
    assert plate.supported_centre_stress(**args).value == pytest.approx(6.0 * moments[1], rel=1e-12)
    beyond = plate.clamped_deflection(**plate_at(2.0, 0.3))
    assert beyond.value is None
    assert "w0/t" in beyond.reason


def test_plate_limits():
    """The yield ellipse integrated from centre to edge; four digits are given, cut off and not rounded up."""
    plate_of_one = {"yield_stress": 4.0, "radius": 10.0, "thickness": 1.0}  # M0 = 1, a^2 = 100
    for rule, edge in ((plate.supported_limit, "supported"), (plate.clamped_limit, "clamped")):
        found = 100.0 * rule(**plate_of_one).value
        assert found == pytest.approx(plate_limit(edge), rel=2e-4)
        assert found <= plate_limit(edge)


def test_plate_limits_beside_their_authors():
    """6.51 and 12.5 M0 / a^2, H. G. Hopkins and A. J. Wang 1955 (three digits, from memory)."""
    assert plate_limit("supported") == pytest.approx(6.51, rel=1.1e-3)
    assert plate_limit("clamped") == pytest.approx(12.5, rel=4.5e-3)
