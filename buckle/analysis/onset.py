"""Where waves begin on a path that was followed, by flow theory and by deformation theory."""

from dataclasses import replace

from buckle.analysis.followed import Followed
from buckle.analysis.setup import Run
from buckle.analysis.views import mode_peak, mode_view, outside_note, plastic_strain_view, point_section
from buckle.errors import SolveError
from buckle.results import BIFURCATION, Event
from buckle.shell.model import Shell
from buckle.solve.bifurcation import Bifurcation
from buckle.solve.stability import Watch, begun_outside, find_bifurcation
from buckle.solve.trace import Trace

NO_ONSET = "no onset of waves by deformation theory"
BY_DEFORMATION = "by deformation theory, at "
GATHERS = "plastic strain may gather in one place"
"""Notes by which a record tells that no lower bracket is known, and from where on strain may gather."""
LOOKED_AT = 0.1  # below a capacity, for waves at another level: twice the error that a number may have


def with_onset(followed: Followed) -> Followed:
    """Add the onset of waves; where metal yields that by deformation theory is looked for first, since it is lower.

    Moduli of deformation theory are never above those of flow theory: a state that is stable by it is stable by both.
    Raises SolveError where an onset cannot be located.
    """
    run, trace, watch = followed.run, followed.trace, _watch(followed.run)
    if run.extras.bracket and run.plastic:
        followed, above = _with_bracket(followed, watch)
        watch = replace(watch, above=above)
    watched = find_bifurcation(trace.model, trace.rising, watch)
    found = watched.bifurcation
    followed = replace(followed, onset=found)
    if watched.gathering is not None:
        followed = followed.noting(_gathering_note(trace.model.load.text(watched.gathering)))
    followed = followed.noting(*outside_note(watched.outside)).adding(
        bifurcation=_event(trace.shell, found),
        outside=tuple(sorted({*followed.outcome.outside, *watched.outside})),
        gathering=watched.gathering,
    )
    return followed if found is None or not run.extras.pictures else _with_mode(followed, found)


def onset_again(run: Run, trace: Trace, capacity: Event) -> float | None:
    """Load at which waves begin at another level, near a capacity or above it; None without waves."""
    watch = replace(_watch(run), above=(1.0 - LOOKED_AT) * capacity.load, beside=False)
    found = find_bifurcation(trace.model, trace.rising, watch).bifurcation
    return None if found is None else found.load_factor


def _watch(run: Run) -> Watch:
    low, high = run.case.analyses.wave_numbers
    return Watch(range(low, high + 1), settings=run.settings)


def _event(shell: Shell, found: Bifurcation | None) -> Event | None:
    if found is None:
        return None
    return Event(BIFURCATION, found.load_factor, found.wave_number, None, *mode_peak(shell, found.mode))


def _bracketed_up_to(run: Run) -> float:
    """Load up to which the onset by deformation theory is asked for: a batch asks what is required."""
    required = run.case.required_load
    if run.extras.pictures or required is None:
        return float("inf")
    return run.case.requirements.partial_factor * required


def _with_bracket(followed: Followed, watch: Watch) -> tuple[Followed, float]:
    """Add the onset by deformation theory, and give the load from which on flow theory may have one.

    Where it cannot be located a note says so. Until something yields both theories are one and there is no bracket.
    """
    trace, up_to = followed.trace, _bracketed_up_to(followed.run)
    points = trace.rising[: 1 + sum(point.load_factor < up_to for point in trace.rising)]
    try:
        found = find_bifurcation(trace.model, points, replace(watch, theory="deformation", beside=False)).bifurcation
    except SolveError as error:
        return followed.noting(f"{NO_ONSET}: {error.reason}"), 0.0
    followed = _with_others(followed, replace(watch, theory="deformation"), found)
    if found is None:
        return followed, points[-1].load_factor
    if not found.point.elastic:
        followed = replace(followed, by_deformation=found).adding(deformation_bifurcation=_event(trace.shell, found))
    return followed, found.load_factor


def _with_others(followed: Followed, watch: Watch, found: Bifurcation | None) -> Followed:
    """Add that the lower bracket was looked for, unless it may lie below the demand in waves outside the range.

    Where the case lets deformation theory decide they are as those of flow theory are: left out of what is judged.
    """
    run, trace, needs = followed.run, followed.trace, followed.run.case.requirements
    demand = needs.partial_factor * (run.case.required_load or 0.0)
    points = trace.rising[: 1 + sum(point.load_factor < demand for point in trace.rising)]
    if len(points) < 2 or needs.onset == "flow" or (found is not None and found.load_factor < demand):
        return followed.adding(bracketed=True)
    others = begun_outside(trace.model, points, watch)
    if not others:
        return followed.adding(bracketed=True)
    outside = others if needs.onset == "deformation" else ()
    where = trace.model.load.text(points[-1].load_factor)
    return followed.noting(f"{BY_DEFORMATION}{where}: {outside_note(others)[0]}").adding(outside=outside)


def _gathering_note(where: str) -> str:
    return (
        f"from {where} on {GATHERS}, as in a neck: mesh and steps decide"
        " how far, and waves could not be told from it there"
    )


def _with_mode(followed: Followed, found: Bifurcation) -> Followed:
    """Add the mode, the shape and the plastic strain at the onset."""
    shell = followed.trace.shell
    return followed.adding(
        modes=(mode_view(shell, found.mode, found.wave_number, found.load_factor),),
        sections=(point_section(shell, found.point, "bifurcation"),),
        plastic_strain=plastic_strain_view(shell, followed.run.case.meridian.inside, found.point.at),
    )
