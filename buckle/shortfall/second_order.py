"""Second order: what the curvature of the limit at a design point makes of the share that first order tells.

In scores turned so that the last one, w, points to the design point the limit is w = beta + sum(kappa_i v_i^2) / 2 near
it, and first order's share Phi(-beta) is to be multiplied by the product of 1 / sqrt(1 + psi kappa_i): psi = beta for a
beta that is large (K. Breitung 1984), psi = phi(beta) / Phi(-beta) better for one that is not (M. Hohenbichler and
R. Rackwitz 1988); both from memory.
"""

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from scipy.linalg import null_space
from scipy.stats import norm

from buckle.results import Array
from buckle.shortfall.first_order import DIFFERENCE, DesignPoint, Reserve, gradient
from buckle.study.scores import share_of

STEP = 1.0
"""Standard deviations to either side by which curvatures are taken: what falls short lies within about one of the
design point along the limit, so that nearer is not nearer to the truth. Reserves that scatter by 1e-4 as meshes change
and fall by 0.03 in one standard deviation leave sqrt(6) 1e-4 / 0.03 of a curvature unknown, some 0.01: 2 % of the share
at beta = 4. At the derivatives' own step, a quarter, it would be sixteen times as much."""
SMOOTH = 1.25
"""Half the step may change the share by this factor, no more. At a kink the curvature is twice as large then, up to a
factor of sqrt(2); one that changes it by less is worth no more than 10 % of the share (worked out by quadrature). By
scatter, four times what it is at the step, four curvatures come to some 15 %."""
SURELY_NEAR = 7.0
"""A design point farther than this, a share of 1 in 10^12, is not looked at."""


@dataclass(frozen=True)
class SecondOrder:
    """What the curvatures of a requirement's limit tell of the share that falls short, or why they tell nothing."""

    share: float | None = None  # in the improved form
    asymptotic: float | None = None  # Breitung's; None too where it alone has no value
    curvatures: tuple[float, ...] = ()  # 1 / standard deviation; positive where the limit bends away from the middle
    reason: str = ""


def second_order(reserve: Reserve, point: DesignPoint, difference: float = DIFFERENCE) -> SecondOrder:
    """Return what second order tells at a design point."""
    if not point.found:
        return SecondOrder(reason="no design point was found")
    if abs(point.beta) >= SURELY_NEAR:
        return SecondOrder(reason=f"the design point is {abs(point.beta):.3g} standard deviations away")
    slope = gradient(reserve, point.u, difference)
    size = float(np.linalg.norm(slope))
    if not np.isfinite(size) or size == 0.0:
        return SecondOrder(reason="the reserve has no slope at the design point")
    side = 1.0 if point.beta >= 0.0 else -1.0  # where the middle falls short the share is that of what does not
    across = null_space(slope[None, :])
    table = _second_differences(reserve, point.u, across, STEP)
    if not np.isfinite(table).all():
        return SecondOrder(reason="a design beside the design point has no reserve")
    bends, directions = np.linalg.eigh(table)
    nearer = _along(reserve, point.u, across @ directions, 0.5 * STEP)
    return _of_curvatures(point.beta, side * bends / size, side * nearer / size)


def share_by_curvatures(beta: float, curvatures: Array, *, improved: bool = True) -> float | None:
    """Return the share that falls short beyond a curved limit; None where that bends round the middle.

    Where the limit's radius is no larger than its distance the point is not the nearest, or not the only one.
    """
    far = abs(beta)
    scale = float(np.exp(norm.logpdf(far) - norm.logsf(far))) if improved else far
    factors = 1.0 + scale * np.asarray(curvatures)
    if (factors <= 0.0).any() or (1.0 + far * np.asarray(curvatures) <= 0.0).any():
        return None
    beyond = share_of(far) / float(np.sqrt(np.prod(factors)))
    return beyond if beta >= 0.0 else 1.0 - beyond


def _of_curvatures(beta: float, curvatures: Array, nearer: Array) -> SecondOrder:
    share, half = share_by_curvatures(beta, curvatures), share_by_curvatures(beta, nearer)
    known = tuple(map(float, curvatures))
    if share is None:
        return SecondOrder(
            curvatures=known, reason="the limit bends round the middle as closely as the point lies to it"
        )
    if half is None or not 1.0 / SMOOTH <= _beyond(beta, share) / _beyond(beta, half) <= SMOOTH:
        return SecondOrder(
            curvatures=known,
            reason=f"the limit has a kink there or bends unevenly: over {STEP:g} and {0.5 * STEP:g} standard "
            f"deviations its curvatures are {_few(curvatures)} and {_few(nearer)}",
        )
    return SecondOrder(share, share_by_curvatures(beta, curvatures, improved=False), known)


def _beyond(beta: float, share: float) -> float:
    return share if beta >= 0.0 else 1.0 - share


def _few(curvatures: Array) -> str:
    return ", ".join(f"{each:.2g}" for each in curvatures)


def _second_differences(reserve: Reserve, u: Array, across: Array, step: float) -> Array:
    """Return the second derivatives of a reserve at a point by some directions, the columns of `across`.

    Not finite where a design there has no reserve.
    """
    count = across.shape[1]
    own = _along(reserve, u, across, step)
    bends = np.diag(own)
    pairs = list(combinations(range(count), 2))
    if pairs and np.isfinite(own).all():
        both = np.column_stack([across[:, one] + across[:, other] for one, other in pairs])
        for (one, other), bend in zip(pairs, _along(reserve, u, both, step), strict=True):
            bends[one, other] = bends[other, one] = 0.5 * (bend - bends[one, one] - bends[other, other])
    return bends


def _along(reserve: Reserve, u: Array, directions: Array, step: float) -> Array:
    """Return the second derivative along each column of some directions, whose lengths count."""
    if not directions.shape[1]:
        return np.zeros(0)
    ends = np.vstack([u + sign * step * column for column in directions.T for sign in (-1.0, 1.0)])
    middle, *beside = reserve(np.vstack([u, ends]))
    below, above = np.reshape(beside, (-1, 2)).T
    return np.asarray((above - 2.0 * middle + below) / step**2)
