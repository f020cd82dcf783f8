"""First order: the nearest point, in standard deviations of everything, at which a reserve is what is asked.

The distance beta of that point from the middle of all scores gives the share Phi(-beta), exact where the limit is a
plane there. Source: A. M. Hasofer and N. C. Lind 1974; R. Rackwitz and B. Fiessler 1978 (from memory).
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from buckle.results import Array
from buckle.study.scores import share_of

Reserve = Callable[[Array], Array]
"""Scores (designs, keys) -> reserves (designs,)."""

STEPS = 12
CLOSE = 2e-3
"""A design point is found when its reserve is this near to what is asked, and the last step was as short."""
DIFFERENCE = 0.25
"""Standard deviations to either side by which a derivative is taken: reserves scatter by 1e-4 as meshes change, and
change by a hundred times that in such a step."""
FARTHEST = 8.0
"""Standard deviations; 1 in 10^15 lies farther away."""


@dataclass(frozen=True, eq=False)
class DesignPoint:
    """The most likely scores at which a reserve is what is asked."""

    u: Array
    beta: float  # distance from the middle; negative where the middle falls short
    found: bool  # whether the search came to an end there

    @property
    def share(self) -> float:
        """The share that falls short, by first order."""
        return share_of(self.beta)

    @property
    def direction(self) -> Array:
        """Unit vector from the middle towards where more falls short."""
        return self.u / self.beta if self.beta else self.u


def gradient(reserve: Reserve, u: Array, difference: float = DIFFERENCE) -> Array:
    """Return the derivatives of a reserve at a point by central differences.

    To one side where designs on the other have no reserve; nothing where neither has one.
    """
    ends = np.vstack([u + sign * difference * row for row in np.eye(len(u)) for sign in (-1.0, 1.0)])
    below, above = reserve(ends).reshape(-1, 2).T
    if np.isfinite([below, above]).all():
        return (above - below) / (2.0 * difference)
    middle = float(reserve(u[None, :])[0])
    return np.array([_derivative(low, middle, high, difference) for low, high in zip(below, above, strict=True)])


def _derivative(low: float, middle: float, high: float, difference: float) -> float:
    """Return the derivative by a difference between those of three reserves that there are."""
    known = [(at, each) for at, each in ((-1.0, low), (0.0, middle), (1.0, high)) if math.isfinite(each)]
    if len(known) < 2:
        return 0.0
    (first, one), (last, other) = known[0], known[-1]
    return (other - one) / ((last - first) * difference)


def design_point(reserve: Reserve, asked: float, count: int, difference: float = DIFFERENCE) -> DesignPoint:
    """Return the design point of a reserve that `count` scores decide."""
    u, value = np.zeros(count), float(reserve(np.zeros((1, count)))[0])
    sign = 1.0 if value >= asked else -1.0
    for _ in range(STEPS):
        slope = gradient(reserve, u, difference)
        size = float(slope @ slope)
        if size == 0.0:
            return DesignPoint(u, sign * FARTHEST, found=False)
        aim = ((slope @ u - (value - asked)) / size) * slope
        far = float(np.linalg.norm(aim))
        if far > FARTHEST:
            aim *= FARTHEST / far
        moved, u, value = float(np.linalg.norm(aim - u)), aim, float(reserve(aim[None, :])[0])
        if not math.isfinite(value):
            return DesignPoint(u, sign * float(np.linalg.norm(u)), found=False)
        near = abs(value - asked) <= CLOSE * abs(asked)
        if near and moved <= 0.1 * max(far, 1.0):
            rest = sign * (value - asked) / float(np.sqrt(size))  # what is left of the way, by the slope
            return DesignPoint(u, sign * float(np.linalg.norm(u)) + sign * rest, found=True)
        if far > FARTHEST and np.linalg.norm(u) >= FARTHEST - 1e-9 and (value - asked) * sign > 0.0:
            return DesignPoint(u, sign * FARTHEST, found=False)
    return DesignPoint(u, sign * float(np.linalg.norm(u)), found=False)


def quantile_point(reserve: Reserve, start: Array, beta: float, difference: float = DIFFERENCE) -> tuple[Array, float]:
    """Return the scores at a distance beta from the middle at which a reserve is least, and the reserve there.

    By first order the share Phi(-beta) of all designs lies below it. `start` is a direction to begin with.
    """
    u = beta * start
    best = u, float(reserve(u[None, :])[0])
    for _ in range(3):
        slope = gradient(reserve, best[0], difference)
        size = float(np.linalg.norm(slope))
        if size == 0.0:
            break
        u = -beta * slope / size
        value = float(reserve(u[None, :])[0])
        moved = float(np.linalg.norm(u - best[0]))
        if value < best[1]:
            best = u, value
        if moved < 0.05 * beta or value > best[1]:
            break
    return best
