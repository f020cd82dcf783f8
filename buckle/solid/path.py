"""The equilibrium path of a solid by arc-length steps, through limit points, elastic or elastic-plastic.

Each step starts from the tangent and how it turned over the last step; its length is controlled by that turn, by the
plastic strain of the hardest-worked point, and by how hard Newton had to work.
"""

from collections.abc import Iterator

import numpy as np

from buckle.bands.lapack import factor
from buckle.errors import SolveError
from buckle.solid.body import Body
from buckle.solid.newton import StalledError, Steps, advance, free_of
from buckle.solid.operators import evaluate
from buckle.solid.state import Direction, Metric, State
from buckle.units import pressure_text


def start(body: Body) -> State:
    """Unloaded state of the path; raises SolveError where something is loose or the pressure moves nothing."""
    history = body.virgin
    x = np.zeros(body.size)
    at = evaluate(body, x, 0.0, history)
    lu = factor(at.tangent)
    if lu is None:
        raise SolveError("the unloaded solid has no stiffness against some motion", "hold an edge")
    along = Direction(lu.solve(free_of(body, at.enclosed)), 1.0)
    weight = len(body.fields) / (body.size * body.half_thickness**2)
    moved = float(np.sqrt(weight * np.dot(along.x, along.x)))
    if moved == 0.0:
        raise SolveError("the pressure moves nothing", "free an edge")
    metric, still = Metric(weight, 1.0 / moved), Direction(x, 0.0)
    onward = along.times(1.0 / metric.length(along))
    return State(still, onward, still, history, np.zeros(body.elements.point_count), metric)


def go_on(body: Body, state: State, step: float, steps: Steps) -> Iterator[State]:
    """Yield states along the path after one of it, with a first step; raises SolveError when there is none further."""
    while True:
        state, step = next_state(body, state, step, steps)
        yield state


def next_state(body: Body, state: State, step: float, steps: Steps) -> tuple[State, float]:
    """Return the state a step on, or as much of it as can be taken, and the step to take from there.

    Raises SolveError when no further state can be found.
    """
    state = state.measured()
    new = _next(body, state, step, steps)
    return new, new.step * _growth(state, new, steps) * new.measured().metric.length(new.onward)


def _next(body: Body, state: State, step: float, steps: Steps) -> State:
    """State a step on, or as much of it as can be taken."""
    while True:
        try:
            return advance(body, state, step, steps, extrapolated(state, step))
        except StalledError as stall:
            step *= 0.4
            if step < steps.shortest:
                where = pressure_text(state.pressure)
                reason = f"the path of the solid could not be followed beyond {where}: {stall.reason}"
                raise SolveError(reason, stall.remedy) from stall


def extrapolated(state: State, step: float) -> Direction:
    """Guess the state a step on, from the tangent and its bend."""
    return state.at.plus(step, state.onward).plus(0.5 * step * step, state.bend)


def _growth(state: State, new: State, steps: Steps) -> float:
    """Factor on the step length: towards the aimed turn and plastic strain, less when Newton had to work."""
    turn = float(np.arccos(np.clip(state.metric.dot(state.onward, new.onward), -1.0, 1.0)))
    flowed = float(np.max(new.pace)) * new.step
    wanted = (steps.turn / max(turn, 1e-9), steps.strain / max(flowed, 1e-9), (6.0 / new.iterations) ** 0.7, 2.0)
    return max(min(wanted), 0.4)
