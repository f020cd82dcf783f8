"""The distribution of the least reserve of a case by several ways, side by side, and what scatters most in it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from buckle.results import Array
from buckle.shortfall.first_order import DIFFERENCE, DesignPoint, Reserve, design_point, gradient, quantile_point
from buckle.shortfall.sampling import Level, Sample, Share, mixed_scores, plain_scores
from buckle.shortfall.second_order import SURELY_NEAR, SecondOrder, second_order
from buckle.study.scores import score_of

SHARES = (1e-2, 1e-3, 1e-6)
"""Shares of all designs whose least reserve is told: 1 %, 0.1 % and 1 in a million."""

ByRequirement = Callable[[Array], Array]
"""Scores (designs, keys) -> reserves (designs, requirements); minus infinity where a design has none."""


@dataclass(frozen=True)
class Effort:
    """How many designs are sampled, plainly and about the design points, and from which seed."""

    plain: int = 400
    weighted: int = 240
    seed: int = 0


@dataclass(frozen=True, eq=False)
class Distribution:
    """Everything that the ways tell; `points` and `curved` go with the requirements."""

    requirements: tuple[str, ...]
    asked: float
    nominal: Array  # reserves (requirements,) at the middle of all scores
    points: tuple[DesignPoint, ...]  # of each requirement
    curved: tuple[SecondOrder, ...]  # what the limit's curvature makes of each
    first_levels: tuple[float, ...]  # least reserve at each of SHARES by first order
    scatter_shares: Array  # (keys,) share of each key in the variance of the least reserve, by first order
    slopes: Array  # (keys,) change of the least reserve by one standard deviation of each score
    plain: Sample
    weighted: Sample

    @property
    def first_share(self) -> float:
        """The share that falls short by first order: of the requirement by which most do."""
        return max(point.share for point in self.points)

    @property
    def second_share(self) -> float | None:
        """The same by second order; None where it tells nothing of the requirement that first order goes by."""
        if self._of_most.share is None:
            return None
        return max(each.share for each in self.curved if each.share is not None)

    @property
    def why_no_second(self) -> str:
        """Why second order tells nothing; '' where it does."""
        return self._of_most.reason

    @property
    def _of_most(self) -> SecondOrder:
        most = max(range(len(self.points)), key=lambda at: self.points[at].share)
        return self.curved[most]

    @property
    def plain_share(self) -> Share:
        """The same by plain sampling."""
        return self.plain.share_below(self.asked)

    @property
    def weighted_share(self) -> Share:
        """The same by sampling about the design points."""
        return self.weighted.share_below(self.asked)

    def levels(self, sample: Sample) -> list[Level]:
        """Return the least reserve at each of SHARES by a sample."""
        return [sample.level(share) for share in SHARES]

    @property
    def capability(self) -> float:
        """Distance of the mean reserve from what is asked, in units of three standard deviations."""
        deviation = self.plain.deviation
        return (self.plain.mean - self.asked) / (3.0 * deviation) if deviation else float("inf")

    @property
    def disagreements(self) -> list[str]:
        """Say where one of the ways lies outside the interval of another, and why; nothing where they agree."""
        weighted, plain, first = self.weighted_share, self.plain_share, self.first_share
        said = []
        if not weighted.low <= first <= weighted.high:
            side = "more" if first > weighted.high else "fewer"
            said.append(
                f"first order has {side} short ({1e6 * first:.3g} ppm) than sampling about its point "
                f"({1e6 * weighted.low:.3g} to {1e6 * weighted.high:.3g} ppm): it takes the limit as plane there and "
                "counts one requirement alone, and the limit is curved, has a kink, or several requirements share it"
            )
        second = self.second_share
        if second is not None and not weighted.low <= second <= weighted.high:
            side = "more" if second > weighted.high else "fewer"
            said.append(
                f"second order has {side} short ({1e6 * second:.3g} ppm) than sampling about its point "
                f"({1e6 * weighted.low:.3g} to {1e6 * weighted.high:.3g} ppm): it takes the limit as a paraboloid "
                "and counts one requirement alone, and the limit bends otherwise farther out, or several share it"
            )
        if weighted.high < plain.low or weighted.low > plain.high:
            said.append(
                f"plain sampling has {1e6 * plain.low:.3g} to {1e6 * plain.high:.3g} ppm short, outside of what "
                "sampling about the design points has: they were sampled too little, or designs fall short elsewhere"
            )
        return said


def distribution(
    reserves: ByRequirement,
    requirements: Sequence[str],
    keys: int,
    asked: float,
    effort: Effort,
    difference: float = DIFFERENCE,
) -> Distribution:
    """Return the distribution of the least of several reserves over standard normal scores."""

    def least(u: Array) -> Array:
        return np.asarray(reserves(u).min(axis=1))

    nominal = reserves(np.zeros((1, keys)))[0]
    slopes = gradient(least, np.zeros(keys), difference)
    points = tuple(design_point(_one(reserves, at), asked, keys, difference) for at in range(len(requirements)))
    curved = tuple(second_order(_one(reserves, at), point, difference) for at, point in enumerate(points))
    nearest = min(points, key=lambda point: point.beta)
    direction = _direction(nearest, slopes)
    quantiles = [quantile_point(least, direction, score_of(share), difference) for share in SHARES]
    centres = [u for u, _ in quantiles]
    centres += [point.u for point in points if point.found and abs(point.beta) < SURELY_NEAR]
    weighted, weights = mixed_scores([np.zeros(keys), *centres], effort.weighted, effort.seed)
    plain = plain_scores(effort.plain, keys, effort.seed + 1)
    variance = float(slopes @ slopes)
    return Distribution(
        tuple(requirements),
        asked,
        nominal,
        points,
        curved,
        tuple(value for _, value in quantiles),
        slopes**2 / variance if variance else slopes,
        slopes,
        Sample(plain, least(plain)),
        Sample(weighted, least(weighted), weights),
    )


def _one(reserves: ByRequirement, at: int) -> Reserve:
    return lambda u: reserves(u)[:, at]


def _direction(point: DesignPoint, slopes: Array) -> Array:
    """Return the direction in which a reserve falls: to the design point if there is one, else by the slopes."""
    if point.found and point.beta > 0.0:
        return point.direction
    size = float(np.linalg.norm(slopes))
    return -slopes / size if size else np.eye(len(slopes))[0]
