"""The load at which a movement or a strain comes to what a case allows of it."""

from collections.abc import Callable, Iterator

import scipy

from buckle.analysis.movement import Movement, movement_of
from buckle.analysis.setup import Run
from buckle.analysis.strained import face_strain
from buckle.analysis.unload import loaded, permanent_growth
from buckle.case import Case
from buckle.results import Allowed
from buckle.shell.model import Shell
from buckle.solve.path import ArcLength, PathPoint
from buckle.solve.trace import Stop, Trace, first_beyond

CLOSE = 1e-4  # of the load at which growth that stays is reached
NOTHING = 1e-4  # mm that may stay and count as none, since Newton leaves as much as a hundredth of it undone


def allowed_of(run: Run, trace: Trace) -> tuple[Allowed, ...]:
    """Everything that a case allows only so much of, with the load of the first state that has so much.

    Raises SolveError where a state cannot be placed.
    """
    needs, movement, settings = run.case.requirements, movement_of(trace.model), run.settings
    found = [
        Allowed(name, size, _first(trace, stop_at(name, size, read), settings))
        for name, size, read in readings(run.case, trace.shell, movement)
    ]
    if needs.permanent_growth is not None:
        load = _first_permanent(trace, movement, needs.permanent_growth, settings)
        found.append(Allowed("permanent_growth", needs.permanent_growth, load))
    return tuple(found)


def readings(case: Case, shell: Shell, movement: Movement) -> Iterator[tuple[str, float, Callable[[PathPoint], float]]]:
    """Yield what is read off a state, and how much of it is allowed."""
    needs = case.requirements
    if needs.growth is not None:
        yield "growth", needs.growth, lambda point: movement.growth(point.at.x)
    if needs.stand_drop is not None and movement.ring is not None and movement.ring.ahead:
        yield "stand_drop", needs.stand_drop, lambda point: movement.ring_travel(point.at.x)
    if needs.plastic_strain is not None:
        yield "plastic_strain", needs.plastic_strain, lambda point: face_strain(shell, point.at)


def stop_at(name: str, allowed: float, read: Callable[[PathPoint], float]) -> Stop:
    """Return the stop at which just so much is reached."""
    return Stop(name, lambda point: read(point) / allowed - 1.0)


def _first(trace: Trace, stop: Stop, settings: ArcLength) -> float | None:
    """Highest load before the first state that is beyond a stop; None where the highest is reached before.

    Where the path dips before it comes there, a body under a given load has jumped there from the dip's beginning.
    """
    state = first_beyond(trace, stop, settings, trace.highest)
    if state is None:
        return None
    return max(state.load_factor, *(point.load_factor for point in trace.points if point.arc <= state.arc))


def _first_permanent(trace: Trace, movement: Movement, allowed: float, settings: ArcLength) -> float | None:
    """Load after which just as much growth stays as is allowed; it grows with the load.

    What stays is never more than what there was under load, so that nothing below that needs a look. Of an elastic body
    nothing does. Raises SolveError where a state cannot be found.
    """
    if trace.points[-1].at.history is None:
        return None

    def stays(load: float) -> float:
        stayed = permanent_growth(trace.model, loaded(trace, load, settings), load, settings)
        return stayed - allowed - NOTHING

    rising = [point.load_factor for point in trace.rising if movement.growth(point.at.x) >= allowed]
    low = max((point.load_factor for point in trace.rising if movement.growth(point.at.x) < allowed), default=0.0)
    high = max(rising, default=0.0) * (1.0 - CLOSE)
    if not rising or high <= low or stays(high) < 0.0:
        return None
    return low if stays(low) >= 0.0 else float(scipy.optimize.brentq(stays, low, high, rtol=CLOSE))
