"""Linear bifurcation (LBA) against closed forms: spheres, cylinders, tubes, clamped caps."""

import math

import pytest

from buckle.analysis import run
from buckle.analysis.setup import Level, model_of, run_of
from buckle.errors import SolveError
from buckle.formulas.cylinder import buckling as cylinder
from buckle.results import Status
from buckle.solve.linear import linear_bifurcations, linear_mode, modes_below
from tests.helpers.bodies import SPHERE, E, cap_shape, case, classical, cylinder_shape


@pytest.mark.parametrize("ratio", [100.0, 500.0, 2000.0])
def test_complete_sphere_with_its_shear_correction(ratio: float) -> None:
    """Zoelly 1915 times 1 - 1.3 t/R, the shear-flexible shell and the solid (computed for this project, both).

    The same for every wave number; 0.01 %.
    """
    shape = {"family": "complete_sphere", "radius_mm": ratio, "thickness_mm": 1.0}
    outcome = run(case(shape, run="LBA", waves=(0, 12)), "LBA", estimate_error=False)
    expected = classical(ratio, 0.3) * (1.0 - 1.3 / ratio)
    assert [event.wave_number for event in outcome.critical] == list(range(13))
    for event in outcome.critical:
        assert event.pressure == pytest.approx(expected, rel=1e-4)


@pytest.mark.parametrize("thrust", [True, False], ids=["hydrostatic", "lateral"])
@pytest.mark.parametrize(("ratio", "length"), [(50.0, 2.0), (100.0, 2.0), (100.0, 4.0), (200.0, 2.0), (400.0, 1.0)])
def test_cylinder_under_external_pressure(ratio: float, length: float, thrust: bool) -> None:
    """von Mises, in the form of Windenburg and Trilling 1934 (from memory): the same n and 1 %.

    1 % covers the edge bending before buckling and the shallow-shell terms of the formula (0.1-0.5 % here; on shorter
    cylinders, L/R = 0.5 at R/t = 100, edge bending lowers the value by 2.7 %).
    """
    body = case(
        cylinder_shape(ratio, length),
        run="LBA",
        edges={"start_edge": "diaphragm", "outer_edge": "diaphragm"},
        waves=(1, 20),
        loads={"end_thrust": thrust},
    )
    rule = cylinder.hydrostatic_pressure if thrust else cylinder.lateral_pressure
    mises = rule(youngs_modulus=E, poissons_ratio=0.3, radius=ratio, thickness=1.0, length=ratio * length)
    governing = run(body, "LBA", estimate_error=False).governing
    assert governing.wave_number == mises.number("n")
    assert governing.pressure == pytest.approx(mises.value, rel=1e-2)


def test_axial_compression_of_a_cylinder() -> None:
    """0.605 E t/R at n = 0 (Lorenz, Timoshenko; from memory): stable at 0.99 of it, unstable at 1.01."""
    critical = 2.0 * math.pi * 100.0 * 0.605 * E * 1.0 / 100.0

    def loaded(share: float) -> float:
        body = case(
            cylinder_shape(100.0, 1.0),
            run="LBA",
            side="inside",
            edges={"start_edge": "pinned", "outer_edge": "diaphragm"},
            loads={"axial_force_N": -share * critical},
        )
        return linear_bifurcations(model_of(run_of(body, "LBA").at(Level(2.0, 4))), range(1))[0].wave_number

    assert loaded(0.99) == 0
    with pytest.raises(SolveError, match="the axial force alone buckles the body, in n = 0 waves"):
        loaded(1.01)


@pytest.mark.parametrize("n", [2, 3, 4])
@pytest.mark.parametrize("follower", [True, False])
def test_infinite_tube(n: int, follower: bool) -> None:
    """(n^2 - 1) D / R^3 in plane strain, n^2 D / R^3 under dead pressure (Timoshenko and Gere 1961, from memory).

    Ends that slide along themselves and do not turn make it infinite; 0.1 % at R/t = 400.
    """
    ratio, nu = 400.0, 0.3
    ends = {"start_edge": "guided", "outer_edge": "guided"}
    body = case(
        cylinder_shape(ratio, 0.5),
        run="LBA",
        edges=ends,
        waves=(n, n),
        loads={"end_thrust": False, "follower": follower},
    )
    stiffness = E / (12.0 * (1.0 - nu**2))
    expected = (n**2 - 1 if follower else n**2) * stiffness / ratio**3
    assert run(body, "LBA", estimate_error=False).governing.pressure == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("parameter", "edge", "load", "n"),
    [
        (4.0, "clamped", 1.5020, 1),
        (6.0, "clamped", 1.0856, 0),
        (8.0, "clamped", 1.0635, 1),
        (10.0, "clamped", 1.0420, 3),
        (12.0, "clamped", 1.0316, 5),
        (4.0, "pinned", 1.1295, 1),
        (7.0, "pinned", 1.0045, 1),
    ],
)
def test_cap(parameter: float, edge: str, load: float, n: int) -> None:
    """Linear bifurcation of shallow caps, nu = 0.3 (computed for this project: Marguerre equations, Chebyshev
    collocation, checked by a B-spline Ritz form); 0.15 % at R/t = 2000, where 1.25 t/R is 0.06 %.
    """
    ratio = 2000.0
    body = case(cap_shape(parameter, ratio, 0.3), run="LBA", edges={"outer_edge": edge}, waves=(0, 10))
    governing = run(body, "LBA", estimate_error=False).governing
    assert governing.wave_number == n
    assert governing.pressure == pytest.approx(load * classical(ratio, 0.3), rel=1.5e-3)


def test_error_estimate_and_confirmation() -> None:
    """The estimate covers the true error against a mesh three times finer, and stays below 0.05 %."""
    body = case(cap_shape(8.0, 400.0, 0.3), run="LBA", edges={"outer_edge": "clamped"}, waves=(0, 5))
    governing = run(body, "LBA").governing
    fine = linear_bifurcations(
        model_of(run_of(body, "LBA").at(Level(3.0, 8))), range(governing.wave_number, governing.wave_number + 1)
    )
    assert fine[0].lowest
    assert fine[0].residual < 1e-8
    error = 100.0 * abs(governing.pressure / fine[0].load_factor - 1.0)
    assert error <= governing.error_percent < 0.05


def test_pressure_that_only_stiffens_has_no_critical_value() -> None:
    outcome = run(case(SPHERE, run="LBA", side="inside", waves=(0, 3)), "LBA")
    assert outcome.status == "no limit found"
    assert outcome.governing is None


def test_a_batch_notices_a_body_that_its_dead_load_buckles() -> None:
    """1.01 times 0.605 E t/R under pressure that steadies the wall: no pressure is told, with pictures or without."""
    force = -1.01 * 2.0 * math.pi * 100.0 * 0.605 * E / 100.0
    body = case(
        cylinder_shape(100.0, 1.0),
        run="LBA",
        side="inside",
        edges={"start_edge": "pinned", "outer_edge": "diaphragm"},
        loads={"axial_force_N": force},
        waves=(0, 0),
    )
    for pictures in (True, False):
        outcome = run(body, "LBA", estimate_error=False, pictures=pictures)
        assert outcome.status is Status.FAILED
        assert "the axial force alone buckles the body, in n = 0 waves" in outcome.reason


def test_higher_modes_of_a_wave_number_are_worked_out_and_the_rest_counted():
    """A pressed cylinder of eight half waves: m of them at (x^2 + 1/x^2)/2 of the classical load, x = m/8, nu = 0.

    Donnell's, from memory; transverse shear and t/R take off some 1e-3 at R/t = 1000. Four lie below 1.15.
    """
    radius = 1000.0
    half = math.pi * math.sqrt(radius) / 12.0**0.25
    made = case(
        {"family": "cylinder", "radius_mm": radius, "length_mm": 8.0 * half, "thickness_mm": 1.0},
        run="LBA",
        nu=0.0,
        edges={"start_edge": "pinned", "outer_edge": "diaphragm"},
        metal={"yields": False},
        loads={"increases": "axial_force", "axial_force_N": -1.0},
    )
    model, unit = model_of(run_of(made, "LBA")), 2.0 * math.pi * E / math.sqrt(3.0)
    expected = sorted(0.5 * ((m / 8.0) ** 2 + (8.0 / m) ** 2) for m in range(1, 20))
    assert [value < 1.15 for value in expected[3:5]] == [True, False]
    found = modes_below(model, range(1), 1.15 * unit, 3)
    assert [each.load_factor / unit for each in found.modes] == pytest.approx(expected[:3], rel=2e-3)
    assert all(each.lowest and each.residual < 1e-6 for each in found.modes)
    assert found.left_out == {0: 1}
    assert linear_mode(model, 0, 3).load_factor / unit == pytest.approx(expected[3], rel=2e-3)
