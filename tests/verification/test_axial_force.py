"""An axial force that increases while a pressure stays: waves, limits, yield, and the state that both loads share."""

import math

import numpy as np
import pytest

from buckle import run
from buckle.analysis.setup import model_of, run_of
from buckle.case import Case
from buckle.results import Outcome, Status
from buckle.solve.path import solve_equilibrium, start_path
from tests.helpers.bodies import IDEAL, E, case, cylinder_shape
from tests.references.edge_layer import cylinder_waves
from tests.references.sanders_koiter import critical_axial

PUSHED = {"increases": "axial_force", "axial_force_N": -1.0}
HALF = {"start_edge": "guided", "outer_edge": "diaphragm"}  # of a cylinder with v = w = N_x = M_x = 0 at both ends
CLASSICAL = 2.0 * math.pi * E / math.sqrt(3.0 * (1.0 - 0.3**2))  # N, of any cylinder of 1 mm (R. Lorenz, from memory)
YIELD = 250.0


def pushed(ratio: float, length: float, kind: str, **tables) -> Case:
    """A cylinder of 1 mm under axial force, by R/t and the length over R that is modelled."""
    edges = tables.pop("edges", HALF)
    loads = PUSHED | tables.pop("loads", {})
    side, waves = tables.pop("side", "inside"), tables.pop("waves", (0, 20))
    return case(cylinder_shape(ratio, length), run=kind, edges=edges, side=side, waves=waves, loads=loads, **tables)


def found(body: Case) -> Outcome:
    return run(body, body.analyses.run[0], estimate_error=False)


# Linear bifurcation ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("ratio", "length", "bar", "tolerance"),
    [
        (100.0, 1.0, 0.0, 2e-3),
        pytest.param(100.0, 1.0, 0.5, 2e-3, marks=pytest.mark.slow),
        (100.0, 1.0, 1.0, 2e-3),
        pytest.param(200.0, 2.0, 0.0, 5e-3, marks=pytest.mark.slow),
        (200.0, 2.0, 0.5, 5e-3),
        (100.0, 1.0, -2.0, 1e-2),
        pytest.param(200.0, 2.0, -2.0, 5e-3, marks=pytest.mark.slow),
    ],
)
def test_waves_of_a_cylinder_under_external_or_internal_pressure(
    ratio: float, length: float, bar: float, tolerance: float
) -> None:
    """Sanders-Koiter from a membrane state, follower pressure, every n and half wave along the length.

    0.03 to 0.4 % where one wave of half the length governs. Where many are as low, on the circle of Koiter, bending at
    the ends before buckling and shear of short waves lower the value by up to 0.8 % (R/t = 100).
    """
    loads = {"end_thrust": False, "pressure_bar": abs(bar)}
    outcome = found(pushed(ratio, 0.5 * length, "LBA", side="outside" if bar > 0.0 else "inside", loads=loads))
    share, n, _ = critical_axial(ratio, 1.0, ratio * length, 0.3, pressure=0.1 * bar / E)
    expected = 2.0 * math.pi * ratio * E * share
    assert outcome.governing.axial_force == pytest.approx(expected, rel=tolerance)
    assert bar < 0.0 or outcome.governing.wave_number == n


@pytest.mark.parametrize("n", [4, 6, 8, 10])
def test_each_wave_number_of_a_long_cylinder(n: int) -> None:
    """Long waves in few lobes lie below the classical value, 0.928 of it at n = 4; 0.6 % of shear and end bending."""
    outcome = found(pushed(200.0, 3.0, "LBA", waves=(n, n), loads={"end_thrust": False}))
    expected = 2.0 * math.pi * 200.0 * E * critical_axial(200.0, 1.0, 1200.0, 0.3, waves=[n])[0]
    assert outcome.governing.axial_force == pytest.approx(expected, rel=6e-3)


@pytest.mark.parametrize("ratio", [100.0, 400.0])
def test_rings_without_waves(ratio: float) -> None:
    """The classical value for n = 0, less by 0.47 t/R of shear (derived here) and as much of the depth of the wall."""
    outcome = found(pushed(ratio, 2.0, "LBA", waves=(0, 0), loads={"end_thrust": False}))
    assert 1.0 - 1.0 / ratio < outcome.governing.load / CLASSICAL < 1.0 - 0.3 / ratio


def test_an_end_that_may_widen_halves_the_classical_value() -> None:
    """Half of it without waves at an end that is free but for its inclination (N. J. Hoff, 1965, from memory).

    w'''' + 2 P w'' + w = 0 with w'' = 0 and w''' + 2 P w' = 0 at the end fades into the wall for P = 1/2; derived here.
    0.5 % of t/R.
    """
    edges = {"start_edge": "roller", "outer_edge": "diaphragm"}
    outcome = found(pushed(200.0, 3.0, "LBA", waves=(0, 0), edges=edges))
    assert outcome.governing.load / CLASSICAL == pytest.approx(0.5, rel=5e-3)


def test_a_long_tube_bends_as_a_column() -> None:
    """Euler with the shear of a thin tube, half of whose section carries it (S. P. Timoshenko, from memory); n = 1.

    Held as a column is: the end stays on the axis and may turn, the other end is the middle. 1 % of the oval that the
    section takes on, (R/L)^2 = 0.2 %, and of t/R.
    """
    ratio, whole = 20.0, 24.0
    outcome = found(pushed(ratio, 0.5 * whole, "LBA", waves=(1, 1)))
    euler = math.pi**2 * E * math.pi * ratio**3 / (ratio * whole) ** 2
    shear = 0.5 * E / 2.6 * 2.0 * math.pi * ratio
    assert outcome.governing.load == pytest.approx(euler / (1.0 + euler / shear), rel=1e-2)


def test_both_ways_to_the_same_point() -> None:
    """The critical force under the pressure that is critical under F is F; 1e-7, as close as eigenvalues are found."""
    force = -131195.0
    loads = {"end_thrust": False}
    sideways = case(
        cylinder_shape(100.0, 0.5), run="LBA", edges=HALF, loads=loads | {"axial_force_N": force}, waves=(0, 20)
    )
    event = found(sideways).governing
    back = found(pushed(100.0, 0.5, "LBA", side="outside", loads=loads | {"pressure_MPa": event.pressure})).governing
    assert back.wave_number == event.wave_number
    assert back.axial_force == pytest.approx(force, rel=1e-7)


def test_internal_pressure_on_closed_ends_adds_its_thrust() -> None:
    """p pi R^2 more, since rings without waves ask for the same stress along; 0.5 % of end bending by the pressure."""
    edges = {"start_edge": "guided", "outer_edge": "sleeve"}
    forces = [
        found(pushed(200.0, 2.0, "LBA", edges=edges, waves=(0, 0), loads={"pressure_MPa": p})).governing.load
        for p in (0.0, 0.2)
    ]
    assert forces[1] - forces[0] == pytest.approx(0.2 * math.pi * 200.0**2, rel=5e-3)


# Large displacements --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("edge", ["diaphragm", "sleeve"])
def test_waves_at_the_ends_of_a_long_cylinder(edge: str) -> None:
    """0.844 of the classical value with hinged ends, 0.927 with clamped ones, by an independent solution of the layer.

    0.844 and 0.926 are also those of B. O. Almroth, 1966 (from memory). R/t = 1000: 0.15 % of t/R, of whole n and of
    Donnell's equations, 1/n^2.
    """
    edges = {"start_edge": "guided", "outer_edge": edge}
    outcome = found(pushed(1000.0, 1.2, "GNA", edges=edges, waves=(1, 40)))
    share, k = cylinder_waves(0.3, clamped=edge == "sleeve", axially_free=edge == "diaphragm")
    assert outcome.governing.kind == "bifurcation"
    assert outcome.governing.load / CLASSICAL == pytest.approx(share, rel=1.5e-3)
    assert outcome.governing.wave_number == pytest.approx(k * (12.0 * 0.91) ** 0.25 * math.sqrt(1000.0), abs=1.0)


@pytest.mark.parametrize("kind", ["GNA", "LA"])
def test_both_loads_come_to_the_same_state(kind: str) -> None:
    """Pressure under a constant force, and force under a constant pressure: displacements to 1e-9 of the largest."""
    pressure, force = 0.3, -20000.0
    edges = {"start_edge": "clamped", "outer_edge": "sleeve"}
    first = case(
        cylinder_shape(100.0, 1.0), run=kind, side="inside", edges=edges, loads={"axial_force_N": force}, waves=(0, 0)
    )
    second = pushed(100.0, 1.0, kind, edges=edges, loads={"pressure_MPa": pressure})
    states = []
    for body, load_factor in ((first, pressure), (second, -force)):
        model = model_of(run_of(body, kind))
        states.append(solve_equilibrium(model, start_path(model).at.x, load_factor, None).x)
    assert np.max(np.abs(states[0] - states[1])) < 1e-9 * np.max(np.abs(states[0]))


def test_the_path_starts_from_the_state_under_the_constant_pressure() -> None:
    """The first state is that of the pressure alone, and the wall there has its hoop stress."""
    body = pushed(100.0, 2.0, "GNA", loads={"pressure_bar": 5.0})
    model = model_of(run_of(body, "GNA"))
    alone = case(cylinder_shape(100.0, 2.0), run="GNA", side="inside", edges=HALF)
    other = model_of(run_of(alone, "GNA"))
    start = start_path(model)
    assert start.load_factor == 0.0
    under = solve_equilibrium(other, np.zeros(other.shell.size), 0.5, None)
    assert np.max(np.abs(start.at.x - under.x)) < 1e-9 * np.max(np.abs(under.x))
    middle = start.at.resultants.tau[1].mean(axis=1)[0]
    assert middle == pytest.approx(0.5 * 100.0, rel=1e-2)  # p R / t, R being 0.06 % more by then


# Yield ----------------------------------------------------------------------------------------------------------------


def squash(hoop: float) -> float:
    """Axial stress at yield by the hoop stress, both by the yield stress; compression negative (R. von Mises, 1913)."""
    return 0.5 * hoop - math.sqrt(1.0 - 0.75 * hoop**2)


@pytest.mark.parametrize("bar", [0.0, 10.0])
def test_a_wall_is_squashed_at_its_yield_stress(bar: float) -> None:
    """A sigma_y empty, less under pressure; 0.05 %, of which 0.01 % is the plateau that counts as a limit."""
    edges, metal = {"start_edge": "roller", "outer_edge": "free"}, {"yield_stress_MPa": YIELD, "hardening": IDEAL}
    loads = {"end_thrust": False, "pressure_bar": bar}
    outcome = found(pushed(100.0, 0.5, "MNA", edges=edges, metal=metal, loads=loads))
    expected = squash(0.1 * bar * 100.0 / YIELD) * 2.0 * math.pi * 100.0 * YIELD
    assert outcome.governing.axial_force == pytest.approx(expected, rel=5e-4)


@pytest.mark.parametrize("bar", [0.0, 1.0])
def test_first_yield_of_a_wall(bar: float) -> None:
    """The same stress; R/t = 1000, of which 0.1 % is that the faces are not at R and pressure presses on one."""
    edges, metal = {"start_edge": "roller", "outer_edge": "free"}, {"yield_stress_MPa": YIELD, "hardening": IDEAL}
    loads = {"end_thrust": False, "pressure_bar": bar}
    outcome = found(pushed(1000.0, 0.2, "LA", edges=edges, metal=metal, loads=loads))
    expected = squash(0.1 * bar * 1000.0 / YIELD) * 2.0 * math.pi * 1000.0 * YIELD
    assert -outcome.first_yield == pytest.approx(expected, rel=1e-3)


def test_a_pull_tears_at_the_yield_stress_too() -> None:
    edges, metal = {"start_edge": "roller", "outer_edge": "free"}, {"yield_stress_MPa": YIELD, "hardening": IDEAL}
    outcome = found(pushed(100.0, 0.5, "MNA", edges=edges, metal=metal, loads={"axial_force_N": 1.0}))
    assert outcome.governing.axial_force == pytest.approx(2.0 * math.pi * 100.0 * YIELD, rel=5e-4)


def test_waves_of_metal_that_yields_begin_by_deformation_theory_first() -> None:
    """Deformation theory, flow theory and the limit in this order, between first yield and where rings would begin.

    A uniform wall begins to ring at (t/R) 2 E / sqrt(3 ((5 - 4 nu) E/E_t - (1 - 2 nu)^2)) by flow theory (S. C.
    Batterman, 1965, from memory; 2 sqrt(D k) of the tangent moduli, derived here): bending at the ends comes before.
    """
    ratio, times, nu = 30.0, 10.0, 0.3
    rings = 2.0 * E / ratio / math.sqrt(3.0 * ((5.0 - 4.0 * nu) * times - (1.0 - 2.0 * nu) ** 2))
    law = {"law": "linear", "modulus_MPa": E / (times - 1.0)}
    edges, metal = {"start_edge": "guided", "outer_edge": "sleeve"}, {"yield_stress_MPa": 0.8 * rings, "hardening": law}
    outcome = found(pushed(ratio, 2.0, "GMNA", edges=edges, metal=metal, waves=(0, 12), loads={"end_thrust": False}))
    events = (outcome.deformation_bifurcation, outcome.bifurcation, outcome.limit)
    shares = [event.load / (2.0 * math.pi * ratio * rings) for event in events]
    assert 0.8 < shares[0] < shares[1] < shares[2] < 1.0


# What cannot be carried -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", ["LBA", "GNA"])
def test_a_constant_pressure_that_buckles_the_body_is_refused(kind: str) -> None:
    """1 bar from outside on a cylinder that waves at 0.6 bar: no force is told."""
    outcome = found(pushed(200.0, 1.0, kind, side="outside", loads={"end_thrust": False, "pressure_bar": 1.0}))
    assert outcome.status is Status.FAILED
    assert "the constant pressure alone buckles the body" in outcome.reason
    assert outcome.governing is None


def test_a_constant_pressure_that_bursts_the_body_is_refused() -> None:
    """3 MPa on an open tube that yields at 2.5 MPa, sigma_y t/R."""
    edges, metal = {"start_edge": "roller", "outer_edge": "free"}, {"yield_stress_MPa": YIELD, "hardening": IDEAL}
    loads = {"end_thrust": False, "pressure_MPa": 3.0}
    outcome = found(pushed(100.0, 0.5, "GMNA", edges=edges, metal=metal, loads=loads))
    assert outcome.status is Status.FAILED
    assert "the constant pressure of [30 bar] alone is not carried" in outcome.reason


def test_a_pull_has_no_waves() -> None:
    outcome = found(pushed(100.0, 1.0, "LBA", waves=(0, 8), loads={"axial_force_N": 1.0}))
    assert outcome.status is Status.NO_LIMIT
    assert "the axial force makes no wave number of the range unstable" in outcome.reason


def test_an_outcome_does_not_give_a_force_for_a_pressure() -> None:
    event = found(pushed(100.0, 1.0, "LBA", waves=(0, 0))).governing
    assert event.axial_force == -event.load < 0.0
    with pytest.raises(AttributeError, match="ask for axial_force"):
        _ = event.pressure
