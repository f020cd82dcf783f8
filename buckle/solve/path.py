"""The equilibrium path by pseudo-arc-length steps: through limit points, elastic or elastic-plastic.

Distance along the path is measured in a plane where displacements (root mean square over the meridian, in half
thicknesses) and load have slope one at the start, and again where a body has become much stiffer since: the panel
of an end is soft as a plate and stiff as a membrane. Load control stalls below the limit of a domed base and apex
control changes branch on clamped caps; neither is used.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import factor, is_stable, lower_half
from buckle.errors import PathEndError, SolveError
from buckle.shell.model import Load, Model, Shell
from buckle.shell.operators import HOLD, PUSHED, Evaluation, evaluate, residual, tangent, unbalanced
from buckle.shell.plasticity import PlasticState
from buckle.units import pressure_text

Array = NDArray[np.float64]
STIFF = 0.95  # share of load in a unit tangent from which on steps would be steps of load alone


@dataclass(frozen=True)
class ArcLength:
    """Settings of the path follower."""

    first_step: float = 0.2
    strain_step: float = 0.02  # aimed plastic strain of the hardest-worked layer in one step
    shortest_step: float = 1e-5
    turn: float = 0.12  # aimed turn of the path tangent in one step [rad]
    widest_turn: float = 0.3  # a step that turns more is repeated shorter: it may have changed branch
    branch_step: float = 1e-3  # a longer step that becomes unstable though the load rises is repeated shorter
    kink_step: float = 2e-3  # a step this short may turn by up to a right angle: a wall that yields all at once
    tolerance: float = 1e-6  # Newton correction left undone at a state, as a fraction of the step ...
    round_off: float = 3e-8  # ... or in half thicknesses: what is left where a whole body flows and nothing is stiff
    iterations: int = 12
    steps: int = 600
    largest_strain: float = 0.7  # of any layer, logarithmic

    def scaled(self, factor: float) -> "ArcLength":
        """Return settings with steps longer by the factor."""
        return replace(
            self,
            first_step=self.first_step * factor,
            strain_step=self.strain_step * factor,
            turn=self.turn * factor,
        )


@dataclass(frozen=True, eq=False)
class Metric:
    """Inner product of path directions: sum of weights x_i y_i + p q / scale^2, p and q the loads."""

    weights: Array  # (size,) [1/mm2] so that lengths are in half thicknesses
    load_scale: float

    def dot(self, a: "Direction", b: "Direction") -> float:
        """Inner product of two directions."""
        return float(np.dot(self.weights * a.x, b.x)) + a.load_factor * b.load_factor / self.load_scale**2

    def length(self, a: "Direction") -> float:
        """Length of a direction."""
        return float(np.sqrt(self.dot(a, a)))

    def stiffened(self, unit: "Direction") -> "Metric":
        """Return the metric with slope one along a unit tangent that is nearly all load; itself along another."""
        moved = float(np.sqrt(np.dot(self.weights * unit.x, unit.x)))
        if abs(unit.load_factor) < STIFF * self.load_scale or moved < 1e-6:
            return self
        return replace(self, load_scale=abs(unit.load_factor) / moved)


@dataclass(frozen=True, eq=False)
class Direction:
    """A direction in (displacement, load)."""

    x: Array  # (size,) [mm, rad]
    load_factor: float

    def times(self, factor: float) -> "Direction":
        """Scale the direction."""
        return Direction(factor * self.x, factor * self.load_factor)


@dataclass(frozen=True, eq=False)
class PathPoint:
    """A converged state on the path."""

    at: Evaluation
    load_factor: float
    tangent: Direction  # unit, pointing onward
    metric: Metric  # which tangent, arc and step are measured in
    arc: float  # distance from the start
    step: float = 0.0  # distance from the point before
    iterations: int = 0
    drift: Array | float = 0.0  # (points, layers) [-] of the layers' positions, by distance along the path
    indefinite: bool = False  # whether the tangent of its step is not positive definite
    origin: "PathPoint | None" = None  # the state that its step started from

    @property
    def elastic(self) -> bool:
        """Whether nothing has yielded by then."""
        return self.at.history is None or not np.any(self.at.history.equivalent)

    def history(self, step: float) -> PlasticState | None:
        """What a step of some length starts from: the layers' places are those expected at its end.

        Taken as they are at its start they would make the path first order in the step.
        """
        old = self.at.history
        return None if old is None else replace(old, position=old.position + step * self.drift)

    def measured(self, metric: Metric) -> "PathPoint":
        """Return the point with its tangent a unit in another metric; arc and step are kept."""
        if metric is self.metric:
            return self
        return replace(self, metric=metric, tangent=self.tangent.times(1.0 / metric.length(self.tangent)))


def solve_equilibrium(
    model: Model, x: Array, load_factor: float, old: PlasticState | None, settings: ArcLength | None = None
) -> Evaluation:
    """Newton at a fixed load from x (size,) [mm, rad] and the history `old`; raises SolveError if it stalls."""
    settings = settings or ArcLength()
    for _ in range(2 * settings.iterations):
        at = _evaluate(model, x, old)
        lu = factor(tangent(model, at, load_factor)) if at is not None else None
        if at is None or lu is None:
            break
        change = lu.solve(-model.supports.freed(residual(at, load_factor)))
        x = x + change
        if np.max(np.abs(change)) <= settings.tolerance * np.max(model.shell.elements.station.thickness):
            return evaluate(model, x, old)
    where = model.load.text(load_factor)
    raise SolveError(f"no equilibrium found at {where} by load control", "follow the path instead")


def start_path(model: Model, settings: ArcLength | None = None) -> PathPoint:
    """Start of the path: nothing acts yet but what stays constant, its pressure by a path of its own."""
    old, origin = model.shell.wall.virgin, None
    at = evaluate(model, np.zeros(model.shell.size), old)
    if model.load.constant_pressure:
        at, origin = _pressurised(model, settings)
    elif np.any(at.constant):
        at = solve_equilibrium(model, at.x, 0.0, old)
    if unbalanced(model, at, 1.0):
        raise SolveError(PUSHED, HOLD)
    band = tangent(model, at, 0.0)
    lower, lu = lower_half(band).copy(), factor(band)
    if lu is None:
        raise SolveError("the unloaded shell has no stiffness against some motion", "hold an edge")
    if not is_stable(lower):
        raise buckled(model.load, "without waves")
    v = lu.solve(model.supports.freed(at.increasing))
    weights = _displacement_weights(model.shell)
    rise = float(np.sqrt(np.dot(weights * v, v)))
    if rise == 0.0:
        raise SolveError(f"the {model.load.increasing.words} moves nothing", "free an edge")
    metric = Metric(weights, 1.0 / rise)
    unit = Direction(v, 1.0)
    return PathPoint(at, 0.0, unit.times(1.0 / metric.length(unit)), metric, 0.0, origin=origin)


def _pressurised(model: Model, settings: ArcLength | None) -> tuple[Evaluation, PathPoint]:
    """State under the constant pressure alone, and the last below it; raises SolveError where it is not carried."""
    alone, pressure = model.pressurised, model.load.constant_pressure
    before: PathPoint | None = None
    try:
        for point in follow_path(alone, settings):
            if before is not None and point.load_factor >= pressure:
                x = solve_equilibrium(alone, before.at.x, pressure, before.at.history, settings).x
                return evaluate(model, x, before.at.history), before
            if before is not None and point.load_factor <= before.load_factor:
                break
            before = point
    except SolveError as error:
        raise _not_carried(pressure, error.reason) from error
    raise _not_carried(pressure, "its path turns down before")


def _not_carried(pressure: float, why: str) -> SolveError:
    what = f"the constant pressure of {pressure_text(pressure)} alone is not carried"
    return SolveError(f"{what}: {why}", "less of it")


def buckled(load: Load, how: str) -> SolveError:
    """What is raised where the load that stays has buckled a body before there is any of the other."""
    constant, other = load.constant, load.increasing.words
    return SolveError(f"{constant} alone buckles the body, {how}, before there is any {other}", f"less of {constant}")


def follow_path(model: Model, settings: ArcLength | None = None, start: PathPoint | None = None) -> Iterator[PathPoint]:
    """Yield states along the path from a state of it, by default from its start, that one first.

    Raises SolveError when no further state can be found.
    """
    settings = settings or ArcLength()
    point = start or start_path(model, settings)
    yield point
    step, before = point.step or settings.first_step, None
    for _ in range(settings.steps):
        new = advance(model, point, step, settings, extrapolated(point, before, step))
        while new is None or (step > settings.branch_step and _branches(point, new)):
            step *= 0.4
            if step < settings.shortest_step:
                beyond = model.load.text(point.load_factor)
                raise SolveError(f"the path could not be followed beyond {beyond}", "a finer mesh or a shorter step")
            new = advance(model, point, step, settings, extrapolated(point, before, step))
        yield new
        if _largest_strain(model.shell, new) > settings.largest_strain:
            where = f"{settings.largest_strain:.0%} at {model.load.text(new.load_factor)}"
            raise PathEndError(
                f"the strain of a layer passed {where} without a limit",
                f"read it as 'no limit up to this {model.load.increasing.words}'",
            )
        step *= _growth(point, new, settings)
        before, point = point, new
        metric = new.metric.stiffened(new.tangent)
        if metric is not new.metric:
            step *= metric.length(new.tangent)
            before, point = None, new.measured(metric)
    raise PathEndError(
        f"{settings.steps} steps met no limit up to {model.load.text(point.load_factor)}", "a longer step"
    )


def _branches(point: PathPoint, new: PathPoint) -> bool:
    """Tell whether an elastic path has become unstable without a limit: it jumped to another one or has a branch.

    Where metal flows the tangent of a long step is softer than the metal, and may be indefinite for that alone.
    """
    rises = point.tangent.load_factor > 0.0 and new.tangent.load_factor > 0.0
    return new.elastic and rises and new.indefinite and not point.indefinite


def extrapolated(point: PathPoint, before: PathPoint | None, step: float) -> Direction:
    """Guess the state one step on, from the tangent and its turning over the last step."""
    onward = point.tangent
    bend = 0.0 if before is None else 0.5 * step * step / point.step
    last = onward if before is None else before.tangent
    return Direction(
        point.at.x + step * onward.x + bend * (onward.x - last.x),
        point.load_factor + step * onward.load_factor + bend * (onward.load_factor - last.load_factor),
    )


def between(a: PathPoint, b: PathPoint, step: float) -> Direction:
    """Guess the state a step after a, before its successor b, by the cubic through both with their tangents."""
    f = step / b.step
    of_b, slope_a, slope_b = f * f * (3.0 - 2.0 * f), f * (1.0 - f) ** 2 * b.step, f * f * (f - 1.0) * b.step
    return Direction(
        a.at.x + of_b * (b.at.x - a.at.x) + slope_a * a.tangent.x + slope_b * b.tangent.x,
        a.load_factor
        + of_b * (b.load_factor - a.load_factor)
        + slope_a * a.tangent.load_factor
        + slope_b * b.tangent.load_factor,
    )


def advance(model: Model, point: PathPoint, step: float, settings: ArcLength, guess: Direction) -> PathPoint | None:
    """Take a step from a point to the state nearest a guess; None when Newton fails or the tangent turns too far."""
    metric, onward, x, load_factor = point.metric, point.tangent, guess.x, guess.load_factor
    old = point.history(step)
    for iteration in range(1, settings.iterations + 1):
        at = _evaluate(model, x, old)
        if at is None:
            return None
        band = tangent(model, at, load_factor)
        lower, lu = lower_half(band).copy(), factor(band)
        if lu is None:
            return None
        left, load = (model.supports.freed(force) for force in (residual(at, load_factor), at.increasing))
        fall, rise = lu.solve(np.stack([-left, load], axis=1)).T
        change = bordered(metric, onward, fall, rise)
        size = metric.length(change)
        if not np.isfinite(size) or size > 10.0 * step:
            return None
        if size <= max(settings.tolerance * step, settings.round_off):
            unit = _onward(point, rise, step, settings)
            if unit is None:
                return None
            drift = _drift(point, at, step)
            arc = point.arc + step
            indefinite = not is_stable(lower)
            return PathPoint(at, float(load_factor), unit, metric, arc, step, iteration, drift, indefinite, point)
        x, load_factor = x + change.x, load_factor + change.load_factor
    return None


def _drift(point: PathPoint, at: Evaluation, step: float) -> Array | float:
    """Rate at which the layers have moved through the wall in a step."""
    old, new = point.at.history, at.history
    return 0.0 if old is None or new is None else (new.position - old.position) / step


def _growth(point: PathPoint, new: PathPoint, settings: ArcLength) -> float:
    """Factor on the step length: towards the aimed turn and plastic strain, less when Newton had to work."""
    worked = _plastic_strain(new) - _plastic_strain(point)
    wanted = (
        settings.turn / max(turn_between(point, new), 1e-9),
        settings.strain_step / max(float(np.max(worked)), 1e-9),
        (6.0 / new.iterations) ** 0.7,
        2.0,
    )
    return max(min(wanted), 0.4)


def within_a_step(settings: ArcLength) -> ArcLength:
    """Return settings for states between two that were accepted: the path may turn as it must there."""
    return replace(settings, widest_turn=0.5 * np.pi)


def turn_between(a: PathPoint, b: PathPoint) -> float:
    """Angle between the tangents of two points, in the metric of both [rad]."""
    return float(np.arccos(np.clip(a.metric.dot(a.tangent, b.tangent), -1.0, 1.0)))


def bordered(metric: Metric, onward: Direction, fall: Array, rise: Array) -> Direction:
    """Newton correction normal to the path: K dx - f dp = -R, <(dx, dp), onward> = 0.

    `fall` solves K fall = -R, `rise` K rise = f, (size,) each [mm, rad].
    """
    weighted = metric.weights * onward.x
    per_load = float(np.dot(weighted, rise)) + onward.load_factor / metric.load_scale**2
    change = -float(np.dot(weighted, fall)) / per_load
    return Direction(fall + change * rise, change)


def _onward(point: PathPoint, rise: Array, step: float, settings: ArcLength) -> Direction | None:
    """Unit tangent at the end of a step from `point`, where K rise = f; None when it has turned too far."""
    v = Direction(rise, 1.0)
    size = point.metric.length(v)
    cosine = point.metric.dot(v, point.tangent) / size
    if abs(cosine) < np.cos(settings.widest_turn) and (step > settings.kink_step or cosine < 0.0):
        return None
    return v.times(np.copysign(1.0 / size, cosine))


def _evaluate(model: Model, x: Array, old: PlasticState | None) -> Evaluation | None:
    """Evaluate, or None where the trial geometry is impossible (it crosses the axis) or the plastic return fails."""
    try:
        return evaluate(model, x, old)
    except SolveError:
        return None


def _plastic_strain(point: PathPoint) -> Array:
    history = point.at.history
    return np.zeros(1) if history is None else history.equivalent


def _largest_strain(shell: Shell, point: PathPoint) -> float:
    """Largest logarithmic strain of any layer, total or plastic."""
    at, wall = point.at.resultants, shell.wall
    stretches = (at.metric[0] / wall.along, at.metric[1] / wall.around)
    total = max(0.5 * float(np.max(np.abs(np.log(stretch)))) for stretch in stretches)
    return max(total, float(np.max(_plastic_strain(point))))


def _displacement_weights(shell: Shell) -> Array:
    """Weights of u and w of element ends for a mean square over the meridian, in half thicknesses."""
    vertices = shell.elements.mesh.vertices
    share = np.zeros(len(vertices))
    share[:-1] += 0.5 * np.diff(vertices)
    share[1:] += 0.5 * np.diff(vertices)
    share /= vertices[-1] - vertices[0]
    weights = np.zeros(shell.size)
    unit = 0.5 * float(np.max(shell.elements.station.thickness))
    for name in "uw":
        weights[shell.elements.axisymmetric.values(name)] = share / unit**2
    return weights
