"""The path of a case by the shell, as `buckle run` follows it, with pressures at growths beside its events."""

import math
import time
from collections.abc import Sequence
from dataclasses import replace

from buckle.analysis.followed import Followed
from buckle.analysis.movement import movement_of
from buckle.analysis.nonlinear import follow
from buckle.analysis.setup import Extras, Level, run_of
from buckle.case import Case
from buckle.crosscheck.side import Side
from buckle.errors import SolveError
from buckle.results import LIMIT_POINT, Event, Status
from buckle.solve.trace import Stop, first_beyond

NUMBERS_ONLY = Extras(error=False, bracket=True, pictures=False)
THICKNESSES = 5.0
"""Growth up to which elastic bodies without a limit are compared: beyond some thicknesses they are membranes."""
MARKS = 6  # about so many growths, in steps of 1, 2 or 5 of a decimal place
AT_GROWTH = "growth"


def shell_side(case: Case, kind: str, level: Level | None = None, growths: Sequence[float] | None = None) -> Side:
    """Follow the path of a case by the shell; without `growths` at round ones up to its highest pressure."""
    begun, run = time.perf_counter(), run_of(case, kind, NUMBERS_ONLY)
    try:
        followed = follow(run if level is None else run.at(level))
    except SolveError as error:
        return Side(trouble=error.reason, seconds=time.perf_counter() - begun)
    side = _side(followed, growths)
    return replace(side, seconds=time.perf_counter() - begun)


def marks(most: float) -> tuple[float, ...]:
    """Round growths [mm] up to the largest one: half a step, and steps of 1, 2 or 5 times a power of ten."""
    if most <= 0.0:
        return ()
    size = 10.0 ** math.floor(math.log10(most / MARKS))
    step = next(share * size for share in (1.0, 2.0, 5.0, 10.0) if share * size * (MARKS + 0.5) >= most)
    count = math.floor(most / step + 1e-9)
    return tuple(float(f"{share * step:.6g}") for share in (0.5, *range(1, count + 1)) if share * step <= most)


def _side(followed: Followed, growths: Sequence[float] | None) -> Side:
    trace, outcome = followed.trace, followed.outcome
    met = [limit for limit in trace.limits if limit in trace.points]
    grown = movement_of(trace.model).growth(trace.highest.at.x)
    if outcome.axisymmetric is None:
        grown = min(grown, THICKNESSES * float(trace.shell.elements.station.thickness.max()))
    wanted = marks(grown) if growths is None else growths
    side = Side(
        limit=Event(LIMIT_POINT, met[0].load_factor) if met else None,
        highest=outcome.axisymmetric,
        onset=outcome.bifurcation,
        lower_onset=outcome.deformation_bifurcation,
        reached=outcome.reached,
        growth_at_highest=grown,
        settings=outcome.settings,
        notes=outcome.notes,
        trouble=outcome.reason if outcome.status is Status.FAILED else "",
    )
    try:
        return replace(side, at_growth=_at_growths(followed, wanted))
    except SolveError as error:
        return replace(side, trouble=side.trouble or error.reason)


def _at_growths(followed: Followed, growths: Sequence[float]) -> dict[float, float]:
    """Pressure [MPa] at the first state with each growth [mm] that the path comes to; raises SolveError."""
    found = {}
    for growth in growths:
        pressure = _pressure_at(followed, growth)
        if pressure is not None:
            found[growth] = pressure
    return found


def _pressure_at(followed: Followed, growth: float) -> float | None:
    trace, movement = followed.trace, movement_of(followed.trace.model)
    mark = Stop(AT_GROWTH, lambda point: movement.growth(point.at.x) / growth - 1.0)
    state = first_beyond(trace, mark, followed.run.settings)
    return None if state is None else state.load_factor
