"""The path of a waved shell by pseudo-arc-length steps, from its unloaded shape through its highest load.

As `solve.path`: distance is measured in a plane of displacements (root mean square over the meridian and around, in
half thicknesses) and load, with slope one at the start. A deviation makes a path without branches: along it the load
rises where the determinant of the tangent is positive and falls where it is negative. A step after which that is not so
has jumped to another path, such as that of the body without waves, which carries more, and is repeated shorter.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import factor
from buckle.errors import PathEndError, SolveError
from buckle.solve.path import ArcLength, Direction, Metric, bordered
from buckle.waves.body import Waved
from buckle.waves.flow import Layering
from buckle.waves.operators import WavedEvaluation, evaluate, residual, tangent

Array = NDArray[np.float64]
LOST = 3  # states in a row, each a short step on, after which a path counts as lost
MOVED = ("u", "v", "w")
CLOSE = ArcLength(tolerance=1e-3, turn=0.2, widest_turn=0.6, strain_step=0.005, steps=400)
"""Waves grow manifold in a few steps: the highest pressure of an end that collapses in waves is 0.7 % low with strains
of 0.02 in a step, 0.35 % with 0.01, 0.05 % with 0.005. What Newton leaves undone, the next step makes good."""


@dataclass(frozen=True)
class WaveSteps:
    """Settings: the steps, and how far beyond its highest load a path is followed."""

    arc: ArcLength = field(default_factory=lambda: CLOSE)
    drop: float = 0.03  # of the highest load
    beyond: int = 40  # steps at most beyond the highest load
    longer: float = 4.0  # times the aimed plastic strain of a step, where the load falls

    @property
    def falling(self) -> ArcLength:
        """Settings where the load falls."""
        return replace(self.arc, strain_step=self.longer * self.arc.strain_step)

    def scaled(self, factor: float) -> "WaveSteps":
        """Return settings with steps longer by the factor."""
        return replace(self, arc=self.arc.scaled(factor))


@dataclass(frozen=True, eq=False)
class WavedPoint:
    """A converged state on the path."""

    at: WavedEvaluation
    load_factor: float
    tangent: Direction  # unit, pointing onward
    arc: float  # distance from the start
    step: float = 0.0  # distance from the point before
    iterations: int = 0
    drift: Array | float = 0.0  # (points, angles, layers) [-] of the layers' positions, by distance along the path
    astray: bool = False  # whether the determinant of the tangent belongs to another path

    def history(self, step: float) -> Layering:
        """What a step of some length starts from: the layers' positions are those expected at its end."""
        layers = self.at.layers
        if isinstance(self.drift, float):
            return layers
        return layers._replace(position=layers.position + step * self.drift)


def start_waves(body: Waved) -> tuple[WavedPoint, Metric]:
    """Unloaded state of a waved shell, and what its path is measured in."""
    at = evaluate(body, body.deviation, body.virgin)
    lu = factor(tangent(body, at, 0.0))
    if lu is None:
        raise SolveError("the unloaded shell has no stiffness against some motion", "hold an edge")
    rise = lu.solve(_freed(body, at.increasing))
    weights = _displacement_weights(body)
    size = float(np.sqrt(np.dot(weights * rise, rise)))
    if size == 0.0:
        raise SolveError(f"the {body.model.load.increasing.words} moves nothing", "free an edge")
    metric = Metric(weights, 1.0 / size)
    unit = Direction(rise, 1.0)
    return WavedPoint(at, 0.0, unit.times(1.0 / metric.length(unit)), 0.0), metric


def follow_waved(body: Waved, settings: WaveSteps | None = None) -> Iterator[WavedPoint]:
    """Yield states along the path from the unloaded one until the load has fallen from its highest by a share.

    Raises SolveError when no further state can be found.
    """
    settings = settings or WaveSteps()
    point, metric = start_waves(body)
    yield point
    step, before, highest, fallen, lost = settings.arc.first_step, None, 0.0, 0, 0
    for _ in range(settings.arc.steps):
        new = _advance(body, metric, (point, before), step, settings.arc)
        while new is None or (new.astray and step > settings.arc.branch_step):
            step *= 0.4
            if step < settings.arc.shortest_step:
                beyond = body.model.load.text(point.load_factor)
                raise SolveError(f"the path of waves could not be followed beyond {beyond}", "a shorter step")
            new = _advance(body, metric, (point, before), step, settings.arc)
        lost = lost + 1 if new.astray else 0
        if lost > LOST:
            beyond = body.model.load.text(point.load_factor)
            raise SolveError(f"the path of waves was lost beyond {beyond}: it has a branch", "a larger deviation")
        yield new
        highest, fallen = (new.load_factor, 0) if new.load_factor > highest else (highest, fallen + 1)
        if new.load_factor < (1.0 - settings.drop) * highest or fallen > settings.beyond:
            return
        step *= _growth(metric, point, new, settings.falling if fallen > 1 else settings.arc)
        before, point = point, new
        stiffer = metric.stiffened(new.tangent)
        if stiffer is not metric:
            length = stiffer.length(new.tangent)
            step, metric, before = step * length, stiffer, None
            point = replace(new, tangent=new.tangent.times(1.0 / length))
    where = body.model.load.text(point.load_factor)
    raise PathEndError(f"{settings.arc.steps} steps met no highest load up to {where}", "a longer step")


def _advance(
    body: Waved, metric: Metric, last: tuple[WavedPoint, WavedPoint | None], step: float, settings: ArcLength
) -> WavedPoint | None:
    """Take a step from the last of two points; None when Newton fails or the tangent turns too far."""
    point, before = last
    x, load_factor = _extrapolated(point, before, step)
    old = point.history(step)
    for iteration in range(1, settings.iterations + 1):
        try:
            at = evaluate(body, x, old)
        except SolveError:
            return None
        lu = factor(tangent(body, at, load_factor))
        if lu is None:
            return None
        right = np.stack([-_freed(body, residual(at, load_factor)), _freed(body, at.increasing)], axis=1)
        fall, rise = lu.solve(right).T
        change = bordered(metric, point.tangent, fall, rise)
        size = metric.length(change)
        if not np.isfinite(size) or size > 10.0 * step:
            return None
        if size <= max(settings.tolerance * step, settings.round_off):
            new = _arrived(metric, point, at, (load_factor, rise, step, iteration), settings)
            return None if new is None else replace(new, astray=lu.sign * new.tangent.load_factor < 0.0)
        x, load_factor = x + change.x, load_factor + change.load_factor
    return None


def _arrived(
    metric: Metric,
    point: WavedPoint,
    at: WavedEvaluation,
    found: tuple[float, Array, float, int],
    settings: ArcLength,
) -> WavedPoint | None:
    """State at the end of a step; None when the tangent has turned too far in it."""
    load_factor, rise, step, iteration = found
    onward = Direction(rise, 1.0)
    size = metric.length(onward)
    cosine = metric.dot(onward, point.tangent) / size
    if abs(cosine) < np.cos(settings.widest_turn) and (step > settings.kink_step or cosine < 0.0):
        return None
    unit = onward.times(float(np.copysign(1.0 / size, cosine)))
    drift = (at.layers.position - point.at.layers.position) / step
    return WavedPoint(at, float(load_factor), unit, point.arc + step, step, iteration, drift)


def _extrapolated(point: WavedPoint, before: WavedPoint | None, step: float) -> tuple[Array, float]:
    """Guess the state one step on, from the tangent and its turning over the last step."""
    onward, x, load_factor = point.tangent, point.at.x, point.load_factor
    x, load_factor = x + step * onward.x, load_factor + step * onward.load_factor
    if before is not None:
        bend = 0.5 * step * step / point.step
        x = x + bend * (onward.x - before.tangent.x)
        load_factor += bend * (onward.load_factor - before.tangent.load_factor)
    return x, load_factor


def _growth(metric: Metric, point: WavedPoint, new: WavedPoint, settings: ArcLength) -> float:
    """Factor on the step length: towards the aimed turn and plastic strain, less when Newton had to work."""
    worked = float(np.max(new.at.layers.equivalent - point.at.layers.equivalent))
    turn = float(np.arccos(np.clip(metric.dot(point.tangent, new.tangent), -1.0, 1.0)))
    wanted = (
        settings.turn / max(turn, 1e-9),
        settings.strain_step / max(worked, 1e-9),
        (6.0 / new.iterations) ** 0.7,
        2.0,
    )
    return max(min(wanted), 0.4)


def _freed(body: Waved, force: Array) -> Array:
    """Copy of nodal forces without those of held unknowns."""
    out = force.copy()
    out[body.fixed] = 0.0
    return out


def _displacement_weights(body: Waved) -> Array:
    """Weights of the movements of element ends for a mean square over the surface, in half thicknesses."""
    shell = body.model.shell
    vertices = shell.elements.mesh.vertices
    share = np.zeros(len(vertices))
    share[:-1] += 0.5 * np.diff(vertices)
    share[1:] += 0.5 * np.diff(vertices)
    share /= vertices[-1] - vertices[0]
    unit, weights = 0.5 * float(np.max(shell.elements.station.thickness)), np.zeros(body.size)
    for k in body.harmonics.orders:
        own, numbering = body.harmonics.own(k), shell.elements.wave if k else shell.elements.axisymmetric
        for name in MOVED if k else "uw":
            weights[own[numbering.values(name)]] = (0.5 if k else 1.0) * share / unit**2
    return weights
