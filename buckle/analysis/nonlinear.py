"""MNA, GNA and GMNA of a case: path, limit, bifurcations, growth, and how sure the numbers are."""

from dataclasses import dataclass, replace

from buckle.analysis.allowed import allowed_of
from buckle.analysis.certainty import certainty
from buckle.analysis.movement import movement_of
from buckle.analysis.notes import strained, told
from buckle.analysis.setup import KINDS, Extras, Level, finest, settings_of, shell_of
from buckle.analysis.stops import stops_of
from buckle.analysis.unload import Grown, grown, loaded, moved
from buckle.analysis.views import (
    axial_balance,
    describe,
    mode_place,
    mode_view,
    outside_note,
    path_table,
    plastic_strain_view,
    point_section,
    yielded_at,
)
from buckle.case import Case
from buckle.errors import SolveError
from buckle.results import BIFURCATION, LIMIT_POINT, Event, MidSurface, Outcome, Status
from buckle.shell.model import Shell
from buckle.solve.path import ArcLength, PathPoint
from buckle.solve.placing import Bifurcation
from buckle.solve.stability import Watch, find_bifurcation
from buckle.solve.trace import Beyond, Stops, Trace, is_path_end, trace_path, trace_plateau
from buckle.units import pressure_text

HARDEN = "data of metal that hardens up to such strains, or an edge that gives way"
SHORTER = 0.5  # times the usual steps, for a path that these do not get along
LOOKED_AT = 0.1  # below a capacity, for waves at another level: twice the error that a number may have
PLATEAU = 3e-4
"""MNA: what a collapse mechanism may still gain, as a fraction. Limits of 134 random bodies are 0.003 % (median) to
0.025 % lower than with a third of it; less is not to be had where a fine mesh meets a clamped edge, since strains of a
million per cent there leave fewer digits of the residual."""


@dataclass(frozen=True, eq=False)
class Followed:
    """A path that was followed, the level of discretisation, and what is told of it."""

    level: Level
    trace: Trace
    outcome: Outcome


def path_outcome(case: Case, kind: str, extras: Extras) -> Outcome:
    """Follow the path of a case and report its events."""
    return follow_case(case, kind, extras).outcome


def follow_case(case: Case, kind: str, extras: Extras, level: Level | None = None) -> Followed:
    """Follow the path of a case, at the level that reported numbers come from or another one.

    Events count only when nothing about them is in doubt: a bifurcation that cannot be placed or a pressure that moves
    with the mesh makes the analysis a failed one, without a number, unless shorter steps do better.
    """
    level = level or finest(case, kind)
    followed = _at_level(case, kind, level, extras)
    if followed.outcome.status is not Status.FAILED:
        return followed
    again = _at_level(case, kind, replace(level, step=SHORTER * level.step), extras)
    if again.outcome.status is Status.FAILED:
        return followed
    note = f"steps {SHORTER:g} times as long as usual: with those, {followed.outcome.reason}"
    return replace(again, outcome=replace(again.outcome, notes=(*again.outcome.notes, note)))


def _at_level(case: Case, kind: str, level: Level, extras: Extras) -> Followed:
    trace = _trace(case, kind, level, Beyond() if extras.pictures and kind != "MNA" else None)
    try:
        outcome = _events(case, kind, level, trace, extras)
        if extras.error and outcome.capacity is not None:
            outcome = _with_error(case, kind, level, outcome)
    except SolveError as error:
        outcome = Outcome(kind, Status.FAILED, error.reason, error.remedy)
    return Followed(level, trace, _describe(case, kind, level, trace, outcome, pictures=extras.pictures))


def _events(case: Case, kind: str, level: Level, trace: Trace, extras: Extras) -> Outcome:
    """Events of a path and the status that follows from them; a path may break off after an onset of waves."""
    end, highest = trace.end, trace.highest
    outcome = Outcome(
        kind,
        Status.SOLVED,
        limit=_limit_event(trace.limit),
        highest_limit=None if highest is trace.limit or highest not in trace.limits else _limit_event(highest),
        peak=None if highest is trace.limit else _axisymmetric(trace),
        notes=told(trace, movement_of(trace.shell)),
    )
    if kind != "MNA":
        outcome = _with_bifurcations(case, kind, level, trace, outcome, extras)
    if outcome.capacity is not None:
        return outcome
    assert end is not None
    status = Status.NO_LIMIT if is_path_end(end) else Status.FAILED
    torn = strained(trace)
    remedy = HARDEN if torn else end.remedy
    return replace(outcome, status=status, reason=f"{end.reason}{torn}", remedy=remedy)


def _trace(case: Case, kind: str, level: Level, beyond: Beyond | None = None) -> Trace:
    shell, settings = shell_of(case, kind, level), settings_of(kind, level)
    if kind == "MNA":
        return trace_plateau(shell, settings, PLATEAU)
    return trace_path(shell, settings, stops_of(case, shell) if kind == "GMNA" else Stops(), beyond)


def _limit_event(point: PathPoint | None) -> Event | None:
    return None if point is None else Event(LIMIT_POINT, point.pressure)


def _axisymmetric(trace: Trace) -> Event | None:
    """The highest pressure of the path if it is a limit or that of a stop; none where the path broke off below it."""
    highest = trace.highest
    if highest in trace.limits:
        return Event(LIMIT_POINT, highest.pressure)
    if trace.stopped is not None and highest is trace.points[-1]:
        return Event(trace.stopped.kind, highest.pressure)
    return None


def _watch(case: Case, kind: str, level: Level) -> Watch:
    low, high = case.analyses.wave_numbers
    return Watch(range(low, high + 1), settings=settings_of(kind, level))


def _event(shell: Shell, found: Bifurcation | None) -> Event | None:
    if found is None:
        return None
    return Event(BIFURCATION, found.pressure, found.wave_number, None, *mode_place(shell, found.mode))


def _with_bifurcations(case: Case, kind: str, level: Level, trace: Trace, outcome: Outcome, extras: Extras) -> Outcome:
    """Add the onset of waves; where metal yields that by deformation theory is looked for first, since it is lower.

    Moduli of deformation theory are never above those of flow theory: a state that is stable by it is stable by both.
    """
    watch = _watch(case, kind, level)
    if extras.bracket and KINDS[kind].plastic:
        outcome, above = _with_bracket(trace, outcome, watch, _bracketed_up_to(case, extras))
        watch = replace(watch, above=above)
    watched = find_bifurcation(trace.shell, trace.rising, watch)
    found = watched.bifurcation
    outcome = replace(outcome, bifurcation=_event(trace.shell, found))
    if watched.gathering is not None:
        outcome = replace(outcome, notes=(*outcome.notes, _gathering_note(watched.gathering)))
    notes = outcome.notes + outside_note(watched.outside)
    outcome = replace(outcome, notes=notes, outside=watched.outside, gathering=watched.gathering)
    if found is None:
        return outcome
    return _with_mode(case, trace, outcome, found) if extras.pictures else outcome


def _bracketed_up_to(case: Case, extras: Extras) -> float:
    """Pressure [MPa] up to which the onset by deformation theory is asked for: a batch asks what is required."""
    needs = case.requirements
    whole = extras.pictures or needs.pressure is None
    return float("inf") if whole or needs.pressure is None else needs.partial_factor * needs.pressure


def _with_bracket(trace: Trace, outcome: Outcome, watch: Watch, up_to: float) -> tuple[Outcome, float]:
    """Add the onset by deformation theory up to a pressure, and tell from which pressure on flow theory may have one.

    Where it cannot be placed a note says so. Until something yields both theories are one and there is no bracket.
    """
    points = trace.rising[: 1 + sum(point.pressure < up_to for point in trace.rising)]
    try:
        found = find_bifurcation(trace.shell, points, replace(watch, theory="deformation", beside=False)).bifurcation
    except SolveError as error:
        note = f"no onset of waves by deformation theory: {error.reason}"
        return replace(outcome, notes=(*outcome.notes, note)), 0.0
    outcome = replace(outcome, bracketed=True)
    if found is None:
        return outcome, points[-1].pressure
    if not found.point.elastic:
        outcome = replace(outcome, deformation_bifurcation=_event(trace.shell, found))
    return outcome, found.pressure


def _gathering_note(pressure: float) -> str:
    return (
        f"from {pressure_text(pressure)} on plastic strain may gather in one place, as in a neck: mesh and steps decide"
        " how far, and waves could not be told from it there"
    )


def _with_mode(case: Case, trace: Trace, outcome: Outcome, found: Bifurcation) -> Outcome:
    return replace(
        outcome,
        modes=(mode_view(trace.shell, found.mode, found.wave_number, found.pressure),),
        sections=(point_section(trace.shell, found.point, "bifurcation"),),
        plastic_strain=plastic_strain_view(trace.shell, case.meridian.inside, found.point.at),
    )


def _with_error(case: Case, kind: str, level: Level, outcome: Outcome) -> Outcome:
    """Add what the capacity may be off by."""
    capacity = outcome.capacity
    assert capacity is not None
    sure = certainty(
        kind, capacity.kind, level, capacity.pressure, lambda other: _pressure_again(case, kind, other, capacity)
    )
    event = replace(capacity, error_percent=sure.error_percent)
    outcome = replace(outcome, convergence=sure.changes)
    if event.kind == BIFURCATION:
        return replace(outcome, bifurcation=event)
    return replace(outcome, limit=event) if outcome.peak is None else replace(outcome, peak=event)


def _pressure_again(case: Case, kind: str, level: Level, capacity: Event) -> float | None:
    """Capacity at another level: by whatever event it ends there, since which comes first may be a matter of the mesh.

    Waves of quite different number may begin at nearly the same pressure, close to the limit.
    """
    trace = _trace(case, kind, level)
    highest = _axisymmetric(trace)
    pressures = [] if highest is None else [highest.pressure]
    if kind != "MNA":
        above = (1.0 - LOOKED_AT) * capacity.pressure
        watch = replace(_watch(case, kind, level), above=above, beside=False)
        found = find_bifurcation(trace.shell, trace.rising, watch).bifurcation
        pressures += [] if found is None else [found.pressure]
    return min(pressures, default=None)


def _describe(case: Case, kind: str, level: Level, trace: Trace, outcome: Outcome, *, pictures: bool) -> Outcome:
    last = trace.rising[-1]
    settings = settings_of(kind, level)
    at_demand = Grown() if kind == "MNA" else grown(case, trace, settings)
    if kind != "MNA" and outcome.capacity is not None:
        outcome = _with_movement(case, trace, outcome, settings)
    outcome = replace(
        outcome,
        growth=at_demand.growth,
        notes=outcome.notes + at_demand.notes,
        balance=axial_balance(trace.shell, last.at, last.pressure),
        yielded_at=yielded_at(trace.shell, last),
        reached=max(point.pressure for point in trace.rising),
        settings=describe(trace.shell, level),
    )
    if not pictures:
        return outcome
    return replace(
        outcome if kind == "MNA" else _with_limit_strain(case, trace, outcome),
        path=path_table(trace.shell, (*trace.points, *trace.beyond)),
        sections=_sections(trace, (*at_demand.sections(trace.shell), *outcome.sections)),
    )


def _with_movement(case: Case, trace: Trace, outcome: Outcome, settings: ArcLength) -> Outcome:
    """Add movement and strain at the capacity, and the pressures at which the case's allowances are reached."""
    capacity = outcome.capacity
    assert capacity is not None
    try:
        at = loaded(trace, capacity.pressure, settings) if capacity.kind == BIFURCATION else trace.highest.at
        outcome = replace(outcome, at_capacity=moved(trace.shell, at, capacity.pressure))
        return replace(outcome, allowed=allowed_of(case, trace, settings))
    except SolveError as error:
        return replace(outcome, notes=(*outcome.notes, f"movement: {error.reason}"))


def _sections(trace: Trace, between: tuple[MidSurface, ...]) -> tuple[MidSurface, ...]:
    """Shapes at the start of the path, at states on its way, at its limit and at its end."""
    sections = (point_section(trace.shell, trace.points[0], "unloaded"), *between)
    if trace.limit is not None:
        sections += (point_section(trace.shell, trace.limit, "limit point"),)
    if trace.beyond:
        sections += (point_section(trace.shell, trace.beyond[-1], "beyond the limit"),)
    return sections


def _with_limit_strain(case: Case, trace: Trace, outcome: Outcome) -> Outcome:
    """Add the plastic strain at the limit where that governs; an onset of waves has brought its own."""
    if outcome.limit is None or outcome.bifurcation is not None or trace.limit is None:
        return outcome
    strain = plastic_strain_view(trace.shell, case.meridian.inside, trace.limit.at)
    return replace(outcome, plastic_strain=strain)
