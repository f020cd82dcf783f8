"""The failure path: what cannot be trusted has a status, a reason and a remedy, and no number."""

from dataclasses import replace

import numpy as np
import pytest
import scipy.linalg

from buckle.analysis import certainty, run
from buckle.analysis.setup import Level, model_of, run_of
from buckle.errors import PathEndError, SolveError
from buckle.results import Status
from buckle.shell.operators import evaluate, linear_wave_operators
from buckle.solve.linear import linear_bifurcations, solve_linear
from buckle.solve.path import follow_path, solve_equilibrium
from buckle.solve.trace import trace_path
from tests.helpers.bodies import IDEAL, SPHERE, cap_shape, case, cylinder_shape

PLATE = {"family": "circular_plate", "radius_mm": 25.0, "hole_radius_mm": 5.0, "thickness_mm": 0.25}
METAL = {"yield_stress_MPa": 262.0, "hardening": IDEAL}


def assert_explained(outcome) -> None:
    assert outcome.governing is None
    assert outcome.reason
    assert outcome.remedy


def test_an_unconverged_pressure_is_no_capacity() -> None:
    """A plate under lateral pressure has no membrane prestress: its linear bifurcation follows the mesh (20 %)."""
    body = case(PLATE, run="LBA", side="inside", edges={"start_edge": "free", "outer_edge": "clamped"})
    outcome = run(body, "LBA")
    assert outcome.status is Status.FAILED
    assert "moves by" in outcome.reason
    assert_explained(outcome)


def test_an_unconverged_path_is_no_capacity(monkeypatch) -> None:
    body = case(cap_shape(4.0, 400.0, 0.3), run="GNA", edges={"outer_edge": "clamped"}, waves=(0, 3))
    assert run(body, "GNA").status is Status.SOLVED
    monkeypatch.setattr(certainty, "UNCONVERGED", 1e-9)
    outcome = run(body, "GNA")
    assert outcome.status is Status.FAILED
    assert "not converged" in outcome.reason
    assert_explained(outcome)
    assert outcome.path is not None  # the path is kept, to be looked at


def test_a_path_that_meets_nothing_says_how_far_it_went() -> None:
    outcome = run(case(SPHERE, run="GNA", side="inside", waves=(0, 2)), "GNA")
    assert outcome.status is Status.NO_LIMIT
    assert outcome.reached > 100.0
    assert_explained(outcome)


def test_a_path_that_stalls_is_a_failure_and_no_capacity() -> None:
    """One Newton iteration a step and no short steps cannot follow: a stall, whatever pressure was reached."""
    body = case(cap_shape(6.0, 400.0, 0.3), run="GNA", edges={"outer_edge": "clamped"})
    gna = run_of(body, "GNA")
    trace = trace_path(model_of(gna), replace(gna.settings, iterations=1, shortest_step=0.1))
    assert trace.limit is None
    assert isinstance(trace.end, SolveError)
    assert not isinstance(trace.end, PathEndError)
    assert trace.points[-1].load_factor >= 0.0


def test_too_few_steps_end_the_path_without_a_limit() -> None:
    body = case(cap_shape(6.0, 400.0, 0.3), run="GNA", edges={"outer_edge": "clamped"})
    gna = run_of(body, "GNA")
    with pytest.raises(PathEndError, match="met no limit up to"):
        list(follow_path(model_of(gna), replace(gna.settings, steps=3)))


def test_load_control_beyond_the_limit_is_refused() -> None:
    """No equilibrium of a sphere above its plastic limit: the iteration must say so, not return what it last saw."""
    body = case(SPHERE, run="GMNA", side="inside", metal=METAL, waves=(0, 0))
    model = model_of(run_of(body, "GMNA"))
    start = np.zeros(model.shell.size)
    for share in (0.5, 0.95):
        assert solve_equilibrium(model, start, share * 5.24, model.shell.wall.virgin) is not None
    with pytest.raises(SolveError, match="no equilibrium found"):
        solve_equilibrium(model, start, 1.2 * 5.24, model.shell.wall.virgin)


def test_a_loose_body_is_refused() -> None:
    body = case(cylinder_shape(100.0, 0.5), run="LBA", edges={"start_edge": "free", "outer_edge": "free"})
    model = model_of(run_of(body, "LBA").at(Level(1.0, 4)))
    assert np.isfinite(solve_linear(model).x).all()  # balanced by its closed ends: the free motion is held, no reaction


def test_the_limit_is_a_limit_whatever_the_step() -> None:
    """Half and twice the step: the same elastic limit to two millionths, though no path point is the same."""
    body = case(cap_shape(4.0, 400.0, 0.3), run="GNA", edges={"outer_edge": "clamped"})
    model, settings = model_of(run_of(body, "GNA")), run_of(body, "GNA").settings
    limits = [trace_path(model, settings.scaled(factor)).limit.load_factor for factor in (0.5, 1.0, 2.0)]
    assert limits == pytest.approx([limits[1]] * 3, rel=2e-6)


@pytest.mark.parametrize(("parameter", "snaps"), [(3.3, False), (3.36, True), (3.42, True)])
def test_a_limit_within_one_step_is_met(parameter: float, snaps: bool) -> None:
    """A cap that hardly snaps: in steps four times as long its load rises at both ends of the one with the limit.

    Two millionths, as above; a cap that does not snap (below 3.34, found here) has no limit in steps of any length.
    """
    body = case(cap_shape(parameter, 400.0, 0.3), run="GNA", edges={"outer_edge": "clamped"})
    model, settings = model_of(run_of(body, "GNA")), run_of(body, "GNA").settings
    found = [trace_path(model, settings.scaled(factor)).limit for factor in (1.0, 4.0)]
    loads = [None if limit is None else limit.load_factor for limit in found]
    assert loads == pytest.approx([loads[0]] * 2, rel=2e-6) if snaps else loads == [None, None]


def test_the_limit_of_a_body_that_stiffens_is_a_limit_whatever_the_step() -> None:
    """An elastic end whose panel becomes a membrane before the countersink snaps: two millionths.

    In a measure of length that does not follow, steps along its path become steps of pressure and lose the limit.
    """
    shape = {"family": "recessed_end", "panel_dome_radius_mm": 867.5, "countersink_diameter_mm": 47.428}
    shape |= {"countersink_radius_mm": 0.6022, "panel_radius_mm": 0.5072, "panel_wall_angle_deg": 10.296}
    shape |= {"panel_depth_mm": 1.8731, "chuck_wall_angle_deg": 13.766, "chuck_wall_length_mm": 0.7392}
    shape |= {"chuck_bend_radius_mm": 1.1257, "upper_chuck_wall_angle_deg": 18.986, "gauge_mm": 0.1944}
    body = case(
        shape | {"upper_chuck_wall_length_mm": 1.8841}, run="GNA", side="inside", edges={"outer_edge": "clamped"}
    )
    model, settings = model_of(run_of(body, "GNA")), run_of(body, "GNA").settings
    traces = [trace_path(model, settings.scaled(factor)) for factor in (0.5, 1.0, 2.0)]
    assert len({point.metric.load_scale for point in traces[1].points}) > 1
    limits = [trace.limit.load_factor for trace in traces]
    assert limits == pytest.approx([limits[1]] * 3, rel=2e-6)


def test_the_path_is_the_same_bits_twice() -> None:
    body = case(cap_shape(4.0, 400.0, 0.3), run="GMNA", edges={"outer_edge": "clamped"}, metal=METAL)
    outcomes = [run(body, "GMNA", estimate_error=False) for _ in range(2)]
    assert outcomes[0].limit == outcomes[1].limit
    assert np.array_equal(outcomes[0].path.pressure, outcomes[1].path.pressure)


@pytest.mark.parametrize("n", [0, 1, 3])
def test_lanczos_finds_what_a_dense_solver_finds(n: int) -> None:
    """Smallest positive p of K + p G with G indefinite: the trap is an eigenvalue solver that takes G for a mass."""
    body = case(cap_shape(5.0, 100.0, 0.3), run="LBA", edges={"outer_edge": "clamped"})
    model = model_of(run_of(body, "LBA").at(Level(0.5, 4)))
    elastic, initial = linear_wave_operators(model, solve_linear(model), 1.0)
    free = np.setdiff1d(np.arange(model.shell.elements.wave.size), model.supports.wave_fixed(n))

    def dense(bands: np.ndarray) -> np.ndarray:
        lower = bands[0] + n * bands[1] + n * n * bands[2]
        size = len(lower)
        full = np.zeros((size, size))
        for k in range(lower.shape[1]):
            full[np.arange(k, size), np.arange(size - k)] = lower[: size - k, k]
        return (full + np.tril(full, -1).T)[np.ix_(free, free)]

    k, g = dense(elastic.bands), dense(initial.bands)
    largest = scipy.linalg.eigh(-g, k, eigvals_only=True)[-1]
    found = linear_bifurcations(model, range(n, n + 1))[0]
    assert found.load_factor == pytest.approx(1.0 / largest, rel=1e-7)
    assert found.lowest
    assert found.residual < 1e-6


def test_axial_balance_of_a_path_state() -> None:
    """Pressure on the wall and a dead load against the support: 1e-9 of the load."""
    shape = {"family": "recessed_end", "panel_diameter_mm": 43.6, "panel_radius_mm": 0.45, "panel_depth_mm": 2.45}
    shape |= {"countersink_radius_mm": 0.5, "chuck_wall_angle_deg": 12.0, "chuck_wall_length_mm": 3.4, "gauge_mm": 0.21}
    outcome = run(case(shape, run="GNA", side="inside", edges={"outer_edge": "clamped"}, waves=(1, 2)), "GNA")
    assert outcome.balance.applied > 1000.0
    assert outcome.balance.reaction == pytest.approx(-outcome.balance.applied, rel=1e-9)


def test_a_dead_axial_force_is_carried_by_the_far_support() -> None:
    edges = {"start_edge": "clamped", "outer_edge": "sleeve"}
    loads = {"axial_force_N": 500.0}
    body = case(cylinder_shape(100.0, 1.0), run="LA", side="inside", edges=edges, loads=loads)
    model = model_of(run_of(body, "LA").at(Level(1.0, 4)))
    at = solve_linear(model, 0.0)
    stress = at.resultants.tau[0].mean(axis=1)
    assert stress == pytest.approx(500.0 / (2.0 * np.pi * 100.0), rel=2e-3)
    axial = model.shell.elements.axisymmetric.values("w")[-1]
    assert evaluate(model, np.zeros(model.shell.size)).constant[axial] > 0.0  # tension pulls the upper edge up


@pytest.mark.parametrize("kind", ["LA", "LBA", "GNA"])
def test_a_body_that_pressure_would_push_away_is_refused(kind: str) -> None:
    """A cap whose free edge carries no thrust: nothing balances the pressure on it."""
    loads = {"end_thrust": False}
    body = case(cap_shape(4.0, 400.0, 0.3), run=kind, edges={"outer_edge": "free"}, loads=loads, waves=(0, 2))
    outcome = run(body, kind)
    assert outcome.status is Status.FAILED
    assert "along its axis" in outcome.reason
    assert_explained(outcome)


def test_each_state_is_as_far_from_the_one_before_it_as_its_step() -> None:
    """Arc lengths, 1e-9 of round-off, of a path that has its limit put in within a step: that state is passed over."""
    body = case(cap_shape(4.0, 400.0, 0.3), run="GNA", edges={"outer_edge": "clamped"}, waves=(0, 3))
    of = run_of(body, "GNA")
    trace = trace_path(model_of(of), of.settings)
    after_limit = trace.points[trace.points.index(trace.limit) + 1]
    steps = list(trace.steps)
    assert [after for _, after in steps] == list(trace.points[1:])
    for before, after in steps:
        assert after.arc - before.arc == pytest.approx(after.step, rel=1e-9)
    (before,) = [before for before, after in steps if after is after_limit]
    assert before is not trace.limit
