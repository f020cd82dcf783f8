"""LA and LBA of a case."""

import numpy as np

from buckle.analysis.certainty import FIRST_YIELD, Certainty, certainty
from buckle.analysis.setup import Run, model_of
from buckle.analysis.views import axial_balance, describe, mode_peak, mode_view, outside_note
from buckle.case import Case
from buckle.errors import SolveError
from buckle.results import BIFURCATION, Event, Mode, Outcome, Status, Stresses
from buckle.shell.model import Model, Shell
from buckle.shell.recovery import sampled, surface_stresses
from buckle.solve.linear import LinearBifurcation, linear_bifurcations, lower_outside, lowest_bifurcation, solve_linear

MODES_KEPT = 3


def stress_outcome(run: Run) -> Outcome:
    """LA: stresses at one unit of the load, what stays constant included, and the load of first yield."""
    model = model_of(run)
    unit = run.case.loads.unit
    stresses = _stresses(run.case, model, unit)
    at = solve_linear(model, unit)
    yields, sure, notes = _sure_of_yield(run, model) if run.extras.error else (_yields(run.case, model), None, ())
    return Outcome(
        kind=run.kind,
        status=Status.SOLVED,
        stresses=stresses,
        first_yield=yields,
        first_yield_error=None if sure is None else sure.error_percent,
        convergence={} if sure is None else sure.changes,
        notes=notes,
        balance=axial_balance(model, at, unit),
        settings=describe(model, run.level),
    )


def _yields(case: Case, model: Model) -> float | None:
    return first_yield(case, model) if case.material.hardening else None


def _sure_of_yield(run: Run, model: Model) -> tuple[float | None, Certainty | None, tuple[str, ...]]:
    """First yield with what it may be off by; none, and a note, where it is not converged. The stresses stand."""
    yields = _yields(run.case, model)
    if not yields:
        return yields, None, ()
    try:
        sure = certainty(run, FIRST_YIELD, yields, lambda other: first_yield(other.case, model_of(other)))
    except SolveError as error:
        return None, None, (f"no first yield: {error.reason}",)
    return yields, sure, ()


def first_yield(case: Case, model: Model) -> float:
    """Load at which the von Mises stress of a face or the middle first reaches yield."""
    assert case.material.hardening is not None
    dead, unit = _stresses(case, model, 0.0), _stresses(case, model, 1.0)
    at, bt = dead.meridional, unit.meridional - dead.meridional
    ac, bc = dead.circumferential, unit.circumferential - dead.circumferential
    # (a + p b) in von Mises' form equals yield: a quadratic in p at every station
    two = bt * bt - bt * bc + bc * bc
    one = 2.0 * at * bt - at * bc - ac * bt + 2.0 * ac * bc
    zero = at * at - at * ac + ac * ac - case.material.hardening.yield_stress**2
    if np.any(zero > 0.0):
        return 0.0
    stressed = two > 1e-12 * np.max(two)
    root = -one + np.sqrt(one * one - 4.0 * two * zero)
    return float(np.min(root[stressed] / (2.0 * two[stressed])))


def _stresses(case: Case, model: Model, load: float) -> Stresses:
    stations = sampled(model.shell)
    meridional, circumferential = surface_stresses(stations, solve_linear(model, load).x)
    outward = slice(None, None, -1) if case.meridian.inside == "left" else slice(None)
    at = stations.elements
    return Stresses(load, at.s, at.station.r, at.station.z, meridional[outward], circumferential[outward])


def bifurcation_outcome(run: Run) -> Outcome:
    """LBA: critical load of every wave number of the case's range and the modes of the lowest."""
    model = model_of(run)
    low, high = run.case.analyses.wave_numbers
    waves = range(low, high + 1)
    found = linear_bifurcations(model, waves) if run.extras.pictures else [lowest_bifurcation(model, waves)]
    doubtful = [each.wave_number for each in found if not each.lowest]
    if doubtful:
        reason = f"the lowest eigenvalue of wave number {doubtful[0]} could not be confirmed"
        return Outcome(run.kind, Status.FAILED, reason, "a finer mesh (numerics.mesh_density)")
    unstable = (each for each in found if each.load_factor is not None)
    critical = sorted(unstable, key=lambda each: each.load_factor or 0.0)
    if not critical:
        load = model.load.increasing
        reason = f"the {load.words} makes no wave number of the range unstable"
        other = "pressure on the other side" if load.is_pressure else "axial force in the other sense"
        return Outcome(run.kind, Status.NO_LIMIT, reason, f"{other}, or a wider range of wave numbers")
    sure = _certainty(run, critical[0]) if run.extras.error else None
    outside = lower_outside(model, waves, critical[0].load_factor or 0.0)
    shell = model.shell
    return Outcome(
        kind=run.kind,
        status=Status.SOLVED,
        critical=tuple(
            _event(shell, each, sure if each is critical[0] else None) for each in _by_wave_number(critical)
        ),
        modes=tuple(_mode(shell, each) for each in critical[:MODES_KEPT]) if run.extras.pictures else (),
        notes=outside_note(outside),
        outside=outside,
        settings=describe(model, run.level),
        convergence={} if sure is None else sure.changes,
    )


def _by_wave_number(critical: list[LinearBifurcation]) -> list[LinearBifurcation]:
    return sorted(critical, key=lambda each: each.wave_number)


def _event(shell: Shell, each: LinearBifurcation, sure: Certainty | None) -> Event:
    assert each.load_factor is not None
    error = None if sure is None else sure.error_percent
    return Event(BIFURCATION, each.load_factor, each.wave_number, error, *mode_peak(shell, each.mode))


def _mode(shell: Shell, each: LinearBifurcation) -> Mode:
    assert each.load_factor is not None
    return mode_view(shell, each.mode, each.wave_number, each.load_factor)


def _certainty(run: Run, lowest: LinearBifurcation) -> Certainty:
    """What the lowest load may be off by; in the same wave number, since others are as low on a complete sphere."""
    assert lowest.load_factor is not None
    n = lowest.wave_number

    def again(other: Run) -> float | None:
        return linear_bifurcations(model_of(other), range(n, n + 1))[0].load_factor

    return certainty(run, BIFURCATION, lowest.load_factor, again)
