"""The equilibrium path of a solid by arc-length steps up to its first limit point."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import splu

from buckle.errors import PathEndError, SolveError
from buckle.solid.model import Assembled, Solid, assemble

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Steps:
    """Settings of the path; lengths are root-mean-square displacements in half thicknesses."""

    first: float = 0.3
    longest: float = 2.0
    shortest: float = 1e-4
    tolerance: float = 1e-5  # last correction, as a fraction of the step
    iterations: int = 9
    count: int = 200
    placed: float = 1e-6  # what the limit may still lie above the highest state found, as a fraction of it


@dataclass(frozen=True, eq=False)
class SolidPoint:
    """A state in equilibrium and the unit tangent of the path there; (size + 1,) arrays end with pressure [MPa]."""

    y: Array
    onward: Array
    weights: Array  # of the inner product in which lengths are measured

    @property
    def pressure(self) -> float:
        """Pressure [MPa]."""
        return float(self.y[-1])

    @property
    def displacement(self) -> Array:
        """Displacements of the nodes (size,) [mm]."""
        return self.y[:-1]

    @property
    def rising(self) -> float:
        """Rate of pressure along the path [MPa per unit of length]."""
        return float(self.onward[-1])


def solid_limit(solid: Solid, steps: Steps | None = None) -> SolidPoint:
    """First state at which pressure stops rising; raises SolveError when none is found."""
    steps = steps or Steps()
    before = start_solid(solid)
    for point, step in follow_solid(solid, before, steps):
        if point.rising <= 0.0:
            return _highest(solid, before, point, step, steps)
        before = point
    raise PathEndError(f"{steps.count} steps met no limit up to {before.pressure:.6g} MPa", "longer steps")


def start_solid(solid: Solid) -> SolidPoint:
    """Unloaded state; pressure is measured so that the path has slope one there."""
    y = np.zeros(solid.size + 1)
    rise = _solved(solid, assemble(solid, y[:-1], 0.0))[1]
    weights = np.full(solid.size + 1, 2.0 / (solid.size * solid.half_thickness**2))
    weights[-1] = np.dot(weights[:-1] * rise, rise)
    return SolidPoint(y, _unit(weights, rise), weights)


def follow_solid(solid: Solid, start: SolidPoint, steps: Steps) -> Iterator[tuple[SolidPoint, float]]:
    """Yield states along the path and the step that led to each."""
    point, step = start, steps.first
    for _ in range(steps.count):
        new, effort = advance(solid, point, step, steps)
        while new is None:
            step *= 0.5
            if step < steps.shortest:
                raise SolveError(f"the path of the solid broke off at {point.pressure:.6g} MPa", "a finer mesh")
            new, effort = advance(solid, point, step, steps)
        yield new, step
        point, step = new, min(step * (5.0 / effort) ** 0.5, steps.longest)


def advance(solid: Solid, point: SolidPoint, step: float, steps: Steps) -> tuple[SolidPoint | None, int]:
    """Step along the tangent and correct at right angles to it; None when Newton does not converge."""
    y, normal = point.y + step * point.onward, point.weights * point.onward
    for iteration in range(1, steps.iterations + 1):
        fall, rise = _solved(solid, assemble(solid, y[:-1], y[-1]), y[-1])
        change = -np.dot(normal[:-1], fall) / (np.dot(normal[:-1], rise) + normal[-1])
        correction = np.append(fall + change * rise, change)
        y = y + correction
        size = np.sqrt(np.dot(point.weights * correction, correction))
        if not size < 10.0 * step:
            break
        if size <= steps.tolerance * step:
            onward = _unit(point.weights, rise)
            return SolidPoint(y, np.copysign(1.0, np.dot(normal, onward)) * onward, point.weights), iteration
    return None, steps.iterations


def _highest(solid: Solid, before: SolidPoint, after: SolidPoint, step: float, steps: Steps) -> SolidPoint:
    """Highest state within a step: the secant on the rate of pressure, at most min(rates) * width below the top."""
    low, high = (0.0, before), (step, after)
    while True:
        width = high[0] - low[0]
        best = max(low[1], high[1], key=lambda point: point.pressure)
        if min(low[1].rising, -high[1].rising) * width <= steps.placed * best.pressure:
            return best
        share = low[1].rising / (low[1].rising - high[1].rising)
        at = low[0] + width * min(max(share, 0.05), 0.95)
        point, _ = advance(solid, before, at, steps)
        if point is None:
            raise SolveError(f"the limit near {best.pressure:.6g} MPa could not be placed", "shorter steps")
        low, high = ((at, point), high) if point.rising > 0.0 else (low, (at, point))


def _solved(solid: Solid, at: Assembled, pressure: float = 0.0) -> tuple[Array, Array]:
    """Displacements by the out-of-balance forces and by a unit of pressure."""
    free = solid.free
    right = np.stack([pressure * at.enclosed - at.internal, at.enclosed], axis=1)[free]
    both = np.zeros((solid.size, 2))
    both[free] = splu(at.tangent[free][:, free], permc_spec="MMD_AT_PLUS_A").solve(right)
    return both[:, 0], both[:, 1]


def _unit(weights: Array, rise: Array) -> Array:
    """Unit direction (rise, 1)."""
    direction = np.append(rise, 1.0)
    unit: Array = direction / np.sqrt(np.dot(weights * direction, direction))
    return unit
