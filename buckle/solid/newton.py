"""A step along the path: to the state in equilibrium at a distance along the tangent.

Newton keeps to the plane at right angles to the tangent there. A correction that leaves more out of balance than there
was is cut back. The tangent at the new state is that of all states at any length of the step, so that pressure rises
along it exactly where those states rise.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import BandLU, factor
from buckle.errors import SolveError
from buckle.solid.body import Body
from buckle.solid.history import Preflow, preflow, take
from buckle.solid.operators import Evaluation, evaluate, gradients, internal_forces
from buckle.solid.state import Direction, State

Array = NDArray[np.float64]
NUDGE = 1e-4  # of a step, for the difference by its length
FARTHEST = 10.0  # of a step: a correction that goes farther leads nowhere
WORSE, CUT = 2.0, 0.3  # a correction that leaves more than so many times the force out of balance is cut to so much
ROUND_OFF = 1e-9  # of the internal forces: what is out of balance by less has no direction
SETTLED = 7  # iterations after which a point may leave the explicit half of a step but not join it: no coming and going


@dataclass(frozen=True)
class Steps:
    """Settings of the path; lengths in half thicknesses (see `state`)."""

    first: float = 0.2
    turn: float = 0.12  # aimed turn of the tangent in one step [rad]
    strain: float = 0.02  # aimed equivalent plastic strain of the hardest-worked point in one step
    widest_turn: float = 0.5  # a step that turns more is repeated shorter: it may have changed branch
    kink: float = 2e-3  # a step this short may turn by up to a right angle: a wall that yields all at once
    shortest: float = 1e-4
    tolerance: float = 1e-5  # Newton correction left undone, as a fraction of the step ...
    load_tolerance: float = 1e-7  # ... and of the pressure, which weighs little in the length of a soft path
    iterations: int = 8
    count: int = 600

    def scaled(self, share: float) -> "Steps":
        """Return settings with steps longer by a factor."""
        return replace(self, first=share * self.first, turn=share * self.turn, strain=share * self.strain)


class StalledError(SolveError):
    """A step did not come to a state."""


def advance(body: Body, state: State, step: float, steps: Steps, trial: Direction) -> State:
    """Take a step from a `measured` state to the one nearest a guess; raises StalledError."""
    expected = _expected(body, state, step)
    last: _Iterate | None = None
    for iteration in range(1, steps.iterations + 1):
        at = _evaluate(body, trial, state, expected)
        if last is not None and _worse(body, trial, at, last):
            last = last.shorter()
        else:
            last = None if at is None else _iterate(body, state, trial, at, step)
            if last is None or not state.metric.length(last.change) < FARTHEST * step:
                break
            if _settled(state, last, step, steps):
                return _arrived(body, state, last, step, steps, iteration)
            if expected is not None and iteration >= SETTLED:
                expected = expected.only(last.at.step.halved, state.history)
        trial = last.next
    raise StalledError("Newton did not converge", "shorter steps or a finer mesh")


@dataclass(frozen=True, eq=False)
class _Iterate:
    """A trial of Newton, what is out of balance there, and the correction by which it goes on."""

    trial: Direction
    at: Evaluation
    left: Array  # force out of balance
    lu: BandLU
    rise: Array  # displacements by a unit of pressure
    change: Direction

    @property
    def next(self) -> Direction:
        """Where it goes."""
        return self.trial.plus(1.0, self.change)

    def shorter(self) -> "_Iterate":
        """Return the iterate going less far."""
        return replace(self, change=self.change.times(CUT))


def _iterate(body: Body, state: State, trial: Direction, at: Evaluation, step: float) -> _Iterate | None:
    """Newton's correction to a distance along the tangent; None where the tangent stiffness is singular."""
    lu = factor(at.tangent)
    if lu is None:
        return None
    left = _out_of_balance(body, trial, at)
    fall, rise = lu.solve(np.stack([left, free_of(body, at.enclosed)], axis=1)).T
    short = step - state.metric.dot(state.onward, trial.plus(-1.0, state.at))
    return _Iterate(trial, at, left, lu, rise, _bordered(state, fall, rise, short))


def _worse(body: Body, trial: Direction, at: Evaluation | None, last: _Iterate) -> bool:
    """Tell whether a correction has left more out of balance than there was, or nothing that can be evaluated."""
    if at is None:
        return True
    left = np.linalg.norm(_out_of_balance(body, trial, at))
    return bool(left > WORSE * np.linalg.norm(last.left) + ROUND_OFF * np.linalg.norm(at.internal))


def _settled(state: State, last: _Iterate, step: float, steps: Steps) -> bool:
    """Tell whether what Newton would still correct is small in length and in pressure."""
    load = abs(state.pressure) + abs(last.trial.pressure)
    if abs(last.change.pressure) > steps.load_tolerance * load:
        return False
    return state.metric.length(last.change) <= steps.tolerance * step


def _out_of_balance(body: Body, trial: Direction, at: Evaluation) -> Array:
    return free_of(body, trial.pressure * at.enclosed - at.internal)


def _expected(body: Body, state: State, step: float) -> Preflow | None:
    """Explicit half of the plastic flow of a step, as much as at the pace of the last one."""
    if not body.metal.flows or not np.any(state.pace):
        return None
    return preflow(gradients(body, state.at.x), state.history, 0.5 * step * state.pace)


def _evaluate(body: Body, trial: Direction, state: State, expected: Preflow | None) -> Evaluation | None:
    """Evaluate, or None where an element is turned inside out or strains have no bounds."""
    try:
        at = evaluate(body, trial.x, trial.pressure, state.history, expected)
    except SolveError:
        return None
    return at if np.all(np.isfinite(at.internal)) else None


def _force_rate(body: Body, state: State, at: Evaluation, step: float) -> Array:
    """Rate of the internal forces with the length of the step where nothing moves: its explicit half grows with it.

    Left out of the tangent, pressure would seem to fall on a path that still rises gently.
    """
    longer = step * (1.0 + NUDGE)
    expected = _expected(body, state, longer)
    if expected is None:
        return np.zeros(body.size)
    nudged = take(body.metal, at.F, state.history, expected, at.step.halved)
    return (internal_forces(body, at.F, nudged) - at.internal) / (longer - step)


def _bordered(state: State, fall: Array, rise: Array, length: float) -> Direction:
    """Direction fall + p * rise that goes on by a length along the tangent; K rise = force of unit pressure."""
    along = Direction(rise, 1.0)
    share = length - state.metric.dot(state.onward, Direction(fall, 0.0))
    return Direction(fall, 0.0).plus(share / state.metric.dot(state.onward, along), along)


def _unit(state: State, onward: Direction, widest: float) -> Direction:
    """Unit tangent along a direction; raises StalledError if the path has turned by more than `widest` [rad]."""
    unit = onward.times(1.0 / state.metric.length(onward))
    if not state.metric.dot(state.onward, unit) >= np.cos(widest):
        raise StalledError("the path turns sharply", "shorter steps")
    return unit


def _arrived(body: Body, state: State, last: _Iterate, step: float, steps: Steps, iterations: int) -> State:
    """State at the end of a step; raises StalledError where the path has turned too far."""
    swing = last.lu.solve(-free_of(body, _force_rate(body, state, last.at, step)))
    widest = steps.widest_turn if step > steps.kink else 0.5 * np.pi
    onward = _unit(state, _bordered(state, swing, last.rise, 1.0), widest)
    history = last.at.history
    return State(
        at=last.trial,
        onward=onward,
        bend=onward.plus(-1.0, state.onward).times(1.0 / step),
        history=history,
        pace=(history.worked - state.history.worked) / step,
        metric=state.metric,
        step=step,
        arc=state.arc + step,
        iterations=iterations,
    )


def free_of(body: Body, force: Array) -> Array:
    """Copy of nodal forces without those of held unknowns, (size,) [N]."""
    out = force.copy()
    out[body.fixed] = 0.0
    return out
