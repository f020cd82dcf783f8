"""The equilibrium path of a solid by arc-length steps, through limit points, elastic or elastic-plastic.

Distance is measured where displacements (root mean square over the nodes, in half thicknesses) and pressure have slope
one where the path has been stiffest: the panel of an end is soft as a plate and stiff as a membrane, and measured by
its start alone all later steps would be steps of pressure. Each step starts from the tangent and how it turned over the
last step, and Newton corrects at right angles to the tangent.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import factor
from buckle.errors import PathEndError, SolveError
from buckle.solid.elements import AXISYMMETRIC
from buckle.solid.history import History, Preflow, preflow, take
from buckle.solid.model import Solid
from buckle.solid.operators import Evaluation, evaluate, gradients, internal_forces
from buckle.units import pressure_text

Array = NDArray[np.float64]
NUDGE = 1e-4  # of a step, for the difference by its length
WORSE = 2.0  # times the force out of balance: a correction that leaves more is cut back
SETTLED = 7  # iterations after which a point may leave the explicit half of a step but not join it: no coming and going


@dataclass(frozen=True)
class Steps:
    """Settings of the path; lengths in half thicknesses as above."""

    first: float = 0.2
    turn: float = 0.12  # aimed turn of the tangent in one step [rad]
    strain: float = 0.02  # aimed equivalent plastic strain of the hardest-worked point in one step
    widest_turn: float = 0.5  # a step that turns more is repeated shorter: it may have changed branch
    kink: float = 2e-3  # a step this short may turn by up to a right angle: a wall that yields all at once
    shortest: float = 1e-4
    tolerance: float = 1e-5  # Newton correction left undone, as a fraction of the step ...
    load_tolerance: float = 1e-7  # ... and of the pressure, which weighs little in the length of a soft path
    iterations: int = 12
    count: int = 600

    def scaled(self, share: float) -> "Steps":
        """Return settings with steps longer by a factor."""
        return replace(self, first=share * self.first, turn=share * self.turn, strain=share * self.strain)


@dataclass(frozen=True, eq=False)
class Metric:
    """Inner product of path directions: sum of weight x_i y_i + p q / scale^2."""

    weight: float
    scale: float  # [MPa]

    def dot(self, a: "Direction", b: "Direction") -> float:
        """Inner product of two directions."""
        return self.weight * float(np.dot(a.x, b.x)) + a.pressure * b.pressure / self.scale**2

    def length(self, a: "Direction") -> float:
        """Length of a direction."""
        return float(np.sqrt(self.dot(a, a)))


@dataclass(frozen=True, eq=False)
class Direction:
    """A direction, or a place, in displacements and pressure."""

    x: Array
    pressure: float

    def times(self, factor: float) -> "Direction":
        """Return factor * self."""
        return Direction(factor * self.x, factor * self.pressure)

    def plus(self, share: float, other: "Direction") -> "Direction":
        """Return self + share * other."""
        return Direction(self.x + share * other.x, self.pressure + share * other.pressure)


@dataclass(frozen=True, eq=False)
class State:
    """A state in equilibrium on the path, and what the next step needs to know of the path behind it.

    Lengths are in the metric of the step that led here; `measured` gives the state in that of the next one.
    """

    at: Direction  # displacements (size,) [mm] and pressure [MPa]
    onward: Direction  # unit tangent
    bend: Direction  # change of the tangent per unit of length in the step that led here
    history: History
    pace: Array  # equivalent plastic strain per unit of length in that step, (points,)
    metric: Metric
    step: float = 0.0  # its length
    arc: float = 0.0  # distance from the start
    iterations: int = 0

    @property
    def pressure(self) -> float:
        """Pressure [MPa]."""
        return self.at.pressure

    @property
    def rising(self) -> float:
        """Rate of pressure along the path [MPa per unit of length]."""
        return self.onward.pressure

    def measured(self) -> "State":
        """Return the state measured anew, so that the path has slope one here, if it has become stiffer than ever."""
        moved = float(np.sqrt(self.metric.weight * np.dot(self.onward.x, self.onward.x)))
        if abs(self.onward.pressure) <= self.metric.scale * moved:
            return self
        metric = replace(self.metric, scale=abs(self.onward.pressure) / moved)
        longer = metric.length(self.onward)
        return replace(
            self,
            metric=metric,
            onward=self.onward.times(1.0 / longer),
            bend=self.bend.times(1.0 / longer**2),
            pace=self.pace / longer,
        )

    @property
    def largest_strain(self) -> float:
        """Largest equivalent plastic strain of any point."""
        return float(np.max(self.history.worked))


class StalledError(SolveError):
    """A step did not come to a state."""


def start(solid: Solid) -> State:
    """Unloaded state of the path; raises SolveError where something is loose or the pressure moves nothing."""
    history = History.virgin(solid.elements.point_count)
    x = np.zeros(solid.size)
    at = evaluate(solid, x, 0.0, history)
    lu = factor(at.tangent)
    if lu is None:
        raise SolveError("the unloaded solid has no stiffness against some motion", "hold an edge")
    along = Direction(lu.solve(_free(solid, at.enclosed)), 1.0)
    weight = AXISYMMETRIC / (solid.size * solid.half_thickness**2)
    moved = float(np.sqrt(weight * np.dot(along.x, along.x)))
    if moved == 0.0:
        raise SolveError("the pressure moves nothing", "free an edge")
    metric, still = Metric(weight, 1.0 / moved), Direction(x, 0.0)
    onward = along.times(1.0 / metric.length(along))
    return State(still, onward, still, history, np.zeros(solid.elements.point_count), metric)


def follow(solid: Solid, steps: Steps) -> Iterator[State]:
    """Yield states along the path from zero pressure; raises SolveError when no further state can be found."""
    state = start(solid)
    yield state
    yield from go_on(solid, state, steps.first, steps)


def go_on(solid: Solid, state: State, step: float, steps: Steps) -> Iterator[State]:
    """Yield states along the path after one of it, with a first step; raises SolveError as `follow` does."""
    for _ in range(steps.count):
        state = state.measured()
        new = _next(solid, state, step, steps)
        yield new
        step = new.step * _growth(state, new, steps) * new.measured().metric.length(new.onward)
        state = new
    raise PathEndError(f"{steps.count} steps led up to {pressure_text(state.pressure)} and no further", "longer steps")


def _next(solid: Solid, state: State, step: float, steps: Steps) -> State:
    """State a step on, or as much of it as can be taken."""
    while True:
        try:
            return advance(solid, state, step, steps, extrapolated(state, step))
        except StalledError as stall:
            step *= 0.4
            if step < steps.shortest:
                where = pressure_text(state.pressure)
                reason = f"the path of the solid could not be followed beyond {where}: {stall.reason}"
                raise SolveError(reason, stall.remedy) from stall


def extrapolated(state: State, step: float) -> Direction:
    """Guess the state a step on, from the tangent and its bend."""
    return state.at.plus(step, state.onward).plus(0.5 * step * step, state.bend)


def advance(solid: Solid, state: State, step: float, steps: Steps, place: Direction) -> State:
    """Take a step to the state nearest a guess; the state must be `measured`. Raises StalledError.

    The step is the distance along the tangent: Newton keeps to the plane at right angles to it there.
    """
    expected = _expected(solid, state, step)
    before: _Iterate | None = None
    for iteration in range(1, steps.iterations + 1):
        at = _evaluate(solid, place, state, expected)
        if before is not None and (at is None or _out_of_balance(solid, place, at) > WORSE * before.left):
            before = before.shorter()
            place = before.next
            continue
        lu = None if at is None else factor(at.tangent)
        if at is None or lu is None:
            break
        left = _free(solid, place.pressure * at.enclosed - at.internal)
        fall, rise = lu.solve(np.stack([left, _free(solid, at.enclosed)], axis=1)).T
        short = step - state.metric.dot(state.onward, place.plus(-1.0, state.at))
        change = _bordered(state, fall, rise, short)
        size, load = state.metric.length(change), abs(state.pressure) + abs(place.pressure)
        if not size < 10.0 * step:
            break
        if size <= steps.tolerance * step and abs(change.pressure) <= steps.load_tolerance * load:
            swing = lu.solve(-_free(solid, _force_rate(solid, state, at, step)))
            widest = steps.widest_turn if step > steps.kink else 0.5 * np.pi
            onward = _unit(state, _bordered(state, swing, rise, 1.0), widest)
            return _arrived(state, place, at, onward, (step, iteration))
        before = _Iterate(place, change, float(np.linalg.norm(left)))
        place = before.next
        if expected is not None and iteration >= SETTLED:
            expected = expected.only(at.step.halved, state.history)
    raise StalledError("Newton did not converge", "shorter steps or a finer mesh")


@dataclass(frozen=True, eq=False)
class _Iterate:
    """A place of Newton, where it is going to, and the force that was out of balance."""

    place: Direction
    change: Direction
    left: float

    @property
    def next(self) -> Direction:
        """Where it goes."""
        return self.place.plus(1.0, self.change)

    def shorter(self) -> "_Iterate":
        """Return the iterate going less far, because what is out of balance grew."""
        return replace(self, change=self.change.times(0.3))


def _out_of_balance(solid: Solid, place: Direction, at: Evaluation) -> float:
    return float(np.linalg.norm(_free(solid, place.pressure * at.enclosed - at.internal)))


def _expected(solid: Solid, state: State, step: float) -> Preflow | None:
    """Explicit half of the plastic flow of a step, as much as at the pace of the last one."""
    if not solid.metal.flows or not np.any(state.pace):
        return None
    return preflow(gradients(solid, state.at.x), state.history, 0.5 * step * state.pace)


def _evaluate(solid: Solid, place: Direction, state: State, expected: Preflow | None) -> Evaluation | None:
    """Evaluate, or None where an element is turned inside out or strains have no bounds."""
    try:
        at = evaluate(solid, place.x, place.pressure, state.history, expected)
    except SolveError:
        return None
    return at if np.all(np.isfinite(at.internal)) else None


def _force_rate(solid: Solid, state: State, at: Evaluation, step: float) -> Array:
    """Rate of the internal forces with the length of the step where nothing moves: its explicit half grows with it.

    Left out of the tangent, pressure would seem to fall on a path that still rises gently.
    """
    longer = step * (1.0 + NUDGE)
    expected = _expected(solid, state, longer)
    if expected is None:
        return np.zeros(solid.size)
    nudged = take(solid.metal, at.F, state.history, expected, at.step.halved)
    return (internal_forces(solid, at.F, nudged) - at.internal) / (longer - step)


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


def _arrived(state: State, place: Direction, at: Evaluation, onward: Direction, taken: tuple[float, int]) -> State:
    """State at the end of a step with its unit tangent; `taken` is the length and the iterations."""
    step, iterations = taken
    history = at.history
    return State(
        at=place,
        onward=onward,
        bend=onward.plus(-1.0, state.onward).times(1.0 / step),
        history=history,
        pace=(history.worked - state.history.worked) / step,
        metric=state.metric,
        step=step,
        arc=state.arc + step,
        iterations=iterations,
    )


def _growth(state: State, new: State, steps: Steps) -> float:
    """Factor on the step length: towards the aimed turn and plastic strain, less when Newton had to work."""
    turn = float(np.arccos(np.clip(state.metric.dot(state.onward, new.onward), -1.0, 1.0)))
    flowed = float(np.max(new.pace)) * new.step
    wanted = (steps.turn / max(turn, 1e-9), steps.strain / max(flowed, 1e-9), (6.0 / new.iterations) ** 0.7, 2.0)
    return max(min(wanted), 0.4)


def _free(solid: Solid, force: Array) -> Array:
    """Copy of nodal forces without those of held unknowns."""
    out = force.copy()
    out[solid.fixed] = 0.0
    return out
