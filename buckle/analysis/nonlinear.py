"""MNA, GNA and GMNA of a case: path, limit, bifurcations, growth, and how sure the numbers are."""

from dataclasses import replace

from buckle.analysis.allowed import allowed_of
from buckle.analysis.certainty import certainty
from buckle.analysis.followed import Followed
from buckle.analysis.movement import movement_of
from buckle.analysis.notes import notes_of, strained
from buckle.analysis.onset import onset_again, with_onset
from buckle.analysis.setup import Run, model_of
from buckle.analysis.stops import stops_of
from buckle.analysis.unload import Grown, grown, loaded, moved
from buckle.analysis.views import (
    axial_balance,
    describe,
    path_table,
    plastic_strain_view,
    point_section,
    undeformed,
    yielded_at,
)
from buckle.errors import SolveError
from buckle.results import BIFURCATION, LIMIT_POINT, Event, MidSurface, Outcome, Status
from buckle.solve.path import PathPoint
from buckle.solve.trace import Beyond, Stops, Trace, is_path_end, trace_path, trace_plateau

HARDEN = "data of metal that hardens up to such strains, or an edge that gives way"
SHORTER = 0.5  # times the usual steps, for a path that these do not get along
PLATEAU = 3e-4
"""MNA: what a collapse mechanism may still gain, as a fraction. Limits of 134 random bodies are 0.003 % (median) to
0.025 % lower than with a third of it; less is not to be had where a fine mesh meets a clamped edge, since strains of a
million per cent there leave fewer digits of the residual."""


def path_outcome(run: Run) -> Outcome:
    """Follow the path of a run and report its events."""
    return follow(run).outcome


def follow(run: Run) -> Followed:
    """Follow the path of a run.

    Events count only when nothing about them is in doubt: a bifurcation that cannot be located or a load that moves
    with the mesh makes the analysis a failed one, without a number, unless shorter steps do better.
    """
    followed = _followed(run)
    if followed.outcome.status is not Status.FAILED:
        return followed
    again = _followed(run.at(replace(run.level, step=SHORTER * run.level.step)))
    if again.outcome.status is Status.FAILED:
        return followed
    return again.noting(f"steps {SHORTER:g} times as long as usual: with those, {followed.outcome.reason}")


def _followed(run: Run) -> Followed:
    trace = _trace(run, Beyond() if run.extras.pictures and run.finite else None)
    followed = Followed(run, trace, Outcome(run.kind, Status.SOLVED))
    try:
        followed = _with_events(followed)
        if run.extras.error and followed.outcome.capacity is not None:
            followed = _with_error(followed, followed.outcome.capacity)
    except SolveError as error:
        followed = Followed(run, trace, Outcome(run.kind, Status.FAILED, error.reason, error.remedy))
    return _described(followed)


def _with_events(followed: Followed) -> Followed:
    """Add the events of a path and the status that follows from them; it may break off after an onset of waves."""
    trace, highest = followed.trace, followed.trace.highest
    followed = followed.adding(
        limit=_limit_event(trace.limit),
        highest_limit=None if highest is trace.limit or highest not in trace.limits else _limit_event(highest),
        peak=None if highest is trace.limit else _axisymmetric(trace),
        notes=notes_of(trace, movement_of(trace.model)),
    )
    if followed.run.finite:
        followed = with_onset(followed)
    if followed.outcome.capacity is not None:
        return followed
    end, torn = trace.end, strained(trace)
    assert end is not None
    return followed.adding(
        carried=_carried(followed),
        status=Status.NO_LIMIT if is_path_end(end) else Status.FAILED,
        reason=f"{end.reason}{torn}",
        remedy=HARDEN if torn else end.remedy,
    )


def _carried(followed: Followed) -> float | None:
    """Load up to which a path rises without an event, as far as waves can be told; None where they are not looked for.

    It is a lower bound of the capacity: the limit, the stop or the onset that ends it lies beyond. There is none where
    waves outside the range examined have begun.
    """
    if not followed.run.finite or followed.trace.limits or followed.outcome.outside:
        return None
    gathering = followed.outcome.gathering
    highest = followed.trace.rising[-1].load_factor
    return highest if gathering is None else min(gathering, highest)


def _trace(run: Run, beyond: Beyond | None = None) -> Trace:
    model = model_of(run)
    if not run.finite:
        return trace_plateau(model, run.settings, PLATEAU)
    return trace_path(model, run.settings, stops_of(run.case, model) if run.plastic else Stops(), beyond)


def _limit_event(point: PathPoint | None) -> Event | None:
    return None if point is None else Event(LIMIT_POINT, point.load_factor)


def _axisymmetric(trace: Trace) -> Event | None:
    """The highest load of the path if it is a limit or that of a stop; none where the path broke off below it."""
    highest = trace.highest
    if highest in trace.limits:
        return Event(LIMIT_POINT, highest.load_factor)
    if trace.stopped is not None and highest is trace.points[-1]:
        return Event(trace.stopped.kind, highest.load_factor)
    return None


def _with_error(followed: Followed, capacity: Event) -> Followed:
    """Add what the capacity may be off by."""
    run, peak = followed.run, followed.outcome.peak
    sure = certainty(run, capacity.kind, capacity.load, lambda other: _load_again(other, capacity))
    event = replace(capacity, error_percent=sure.error_percent)
    name = "bifurcation" if event.kind == BIFURCATION else "limit" if peak is None else "peak"
    return followed.adding(convergence=sure.changes, **{name: event})


def _load_again(run: Run, capacity: Event) -> float | None:
    """Capacity at another level: by whatever event it ends there, since which comes first may be a matter of the mesh.

    Waves of quite different number may begin at nearly the same load, close to the limit.
    """
    trace = _trace(run)
    highest = _axisymmetric(trace)
    onset = onset_again(run, trace, capacity) if run.finite else None
    loads = (None if highest is None else highest.load, onset)
    return min((load for load in loads if load is not None), default=None)


def _described(followed: Followed) -> Followed:
    """Add what is read off the states of a path, and what pictures show."""
    run, trace = followed.run, followed.trace
    last, at_demand = trace.rising[-1], grown(run, trace) if run.finite else Grown()
    if run.finite and followed.outcome.capacity is not None:
        followed = _with_movement(followed, followed.outcome.capacity)
    followed = followed.noting(*at_demand.notes).adding(
        growth=at_demand.growth,
        balance=axial_balance(trace.model, last.at, last.load_factor),
        yielded_at=yielded_at(trace.shell, last),
        reached=max(point.load_factor for point in trace.rising),
        settings=describe(trace.model, run.level),
    )
    if not run.extras.pictures:
        return followed
    if run.finite:
        followed = _with_limit_strain(followed)
    return followed.adding(
        path=path_table(trace.model, (*trace.points, *trace.beyond)),
        sections=_sections(trace, (*at_demand.sections(trace.shell), *followed.outcome.sections)),
    )


def _with_movement(followed: Followed, capacity: Event) -> Followed:
    """Add movement and strain at the capacity, and the loads at which the case's allowances are reached."""
    run, trace = followed.run, followed.trace
    try:
        at = loaded(trace, capacity.load, run.settings) if capacity.kind == BIFURCATION else trace.highest.at
        followed = followed.adding(at_capacity=moved(trace.model, at, capacity.load))
        return followed.adding(allowed=allowed_of(run, trace))
    except SolveError as error:
        return followed.noting(f"movement: {error.reason}")


def _sections(trace: Trace, between: tuple[MidSurface, ...]) -> tuple[MidSurface, ...]:
    """Shapes at the start of the path, at states on its way, at its limit and at its end."""
    sections = (undeformed(trace.shell, "unloaded"), *between)
    if trace.limit is not None:
        sections += (point_section(trace.shell, trace.limit, "limit point"),)
    if trace.beyond:
        sections += (point_section(trace.shell, trace.beyond[-1], "beyond the limit"),)
    return sections


def _with_limit_strain(followed: Followed) -> Followed:
    """Add the plastic strain at the limit where that governs; an onset of waves has brought its own."""
    outcome, trace = followed.outcome, followed.trace
    if outcome.limit is None or outcome.bifurcation is not None or trace.limit is None:
        return followed
    inside = followed.run.case.meridian.inside
    return followed.adding(plastic_strain=plastic_strain_view(trace.shell, inside, trace.limit.at))
