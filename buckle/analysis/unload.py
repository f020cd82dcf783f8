"""Growth under the service and the required load, the shape there, and what of it stays after unloading."""

from dataclasses import dataclass, replace

from buckle.analysis.movement import movement_of
from buckle.analysis.setup import Run
from buckle.analysis.strained import face_strain, middle_strain
from buckle.analysis.views import section_view, stand_drop
from buckle.case import Case
from buckle.errors import SolveError
from buckle.results import Growth, MidSurface
from buckle.shell.model import Model, Shell
from buckle.shell.operators import Evaluation
from buckle.solve.path import ArcLength, PathPoint, solve_equilibrium
from buckle.solve.trace import Trace

UNLOADING_STEPS = 3


@dataclass(frozen=True)
class Grown:
    """Growth and state at each load that was asked for, with notes where they could not be found."""

    growth: tuple[Growth, ...] = ()
    states: tuple[tuple[str, float, Evaluation], ...] = ()  # what the load is called, load, state
    notes: tuple[str, ...] = ()

    def sections(self, shell: Shell) -> tuple[MidSurface, ...]:
        """Deformed sections at the loads."""
        return tuple(section_view(shell, at, load, name) for name, load, at in self.states)


def grown(run: Run, trace: Trace) -> Grown:
    """Growth at the service pressure and at the required load; where these are the same, that is the required one."""
    found, states, notes, settings = [], [], [], run.settings
    for load, name in sorted(_wanted(run.case).items()):
        try:
            at = loaded(trace, load, settings)
            found.append(_growth(trace.model, at, load, settings))
            states.append((name, load, at))
        except SolveError as error:
            notes.append(f"growth: {error.reason}")
    return Grown(tuple(found), tuple(states), tuple(notes))


def _wanted(case: Case) -> dict[float, str]:
    """Loads with the names of their sections."""
    needs = case.requirements
    pairs = ((needs.service_pressure, "service"), (case.required_load, "required"))
    return {load: name for load, name in pairs if load is not None}


def loaded(trace: Trace, load: float, settings: ArcLength) -> Evaluation:
    """State of the rising path under a load; raises SolveError where there is none."""
    return loading(trace, load, settings)[1][-1].at


def _growth(model: Model, at: Evaluation, load: float, settings: ArcLength) -> Growth:
    movement = moved(model, at, load)
    if at.history is None or not model.load.increasing.is_pressure:  # what stays constant would be taken for permanent
        return movement
    return replace(movement, permanent=permanent_growth(model, at, load, settings))


def moved(model: Model, at: Evaluation, load: float) -> Growth:
    """Movement and plastic strain of a state under a load."""
    shell, movement = model.shell, movement_of(model)
    found = Growth(load, movement.growth(at.x), stand_drop=stand_drop(movement, at.x))
    if at.history is not None:
        found = replace(found, face_strain=face_strain(shell, at), middle_strain=middle_strain(shell, at))
    return found


def permanent_growth(model: Model, at: Evaluation, load: float, settings: ArcLength) -> float:
    """Growth [mm] that stays of a state when its load is taken off; raises SolveError."""
    return movement_of(model).growth(unloading(model, at, load, settings)[-1].at.x)


def _last_below(trace: Trace, load: float) -> PathPoint:
    """Last state on the rising path below a load that the path does pass."""
    if trace.rising[-1].load_factor < load:
        raise SolveError(f"{trace.model.load.text(load)} lies above what the path reaches", "a lower service pressure")
    for before, after in zip(trace.rising[:-1], trace.rising[1:], strict=True):
        if before.load_factor <= load <= after.load_factor:
            return before
    return trace.rising[-1]


@dataclass(frozen=True, eq=False)
class AtLoad:
    """A state at a fixed load, and the one whose history it started from."""

    before: Evaluation
    at: Evaluation
    load: float


def unloading(model: Model, at: Evaluation, load: float, settings: ArcLength) -> tuple[AtLoad, ...]:
    """States on the way as the load is taken off in equal steps. Raises SolveError."""
    states: tuple[AtLoad, ...] = ()
    for k in range(UNLOADING_STEPS, 0, -1):
        between = (load * k / UNLOADING_STEPS, load * (k - 1) / UNLOADING_STEPS)
        states += _steps(model, states[-1].at if states else at, between, settings)
    return states


def loading(trace: Trace, load: float, settings: ArcLength) -> tuple[PathPoint, tuple[AtLoad, ...]]:
    """The state of the rising path below a load, and those on the way from there to it. Raises SolveError."""
    start = _last_below(trace, load)
    return start, _steps(trace.model, start.at, (start.load_factor, load), settings)


def _steps(
    model: Model, at: Evaluation, between: tuple[float, float], settings: ArcLength, halvings: int = 6
) -> tuple[AtLoad, ...]:
    """Equilibrium at the second of two loads from that at the first, by halves where Newton needs it."""
    start, end = between
    try:
        return (AtLoad(at, solve_equilibrium(model, at.x, end, at.history, settings), end),)
    except SolveError:
        if not halvings:
            raise
    half = 0.5 * (start + end)
    first = _steps(model, at, (start, half), settings, halvings - 1)
    return first + _steps(model, first[-1].at, (half, end), settings, halvings - 1)
