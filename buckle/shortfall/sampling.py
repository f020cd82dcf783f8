"""Sampling: plain, and about chosen points with weights that make up for where the samples were taken."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import beta as beta_law
from scipy.stats import norm

from buckle.results import Array

SURE = 0.95
"""Share of intervals that hold the truth."""
FEWEST = 2
"""Samples that tell a scatter at all."""


@dataclass(frozen=True)
class Share:
    """A share with the interval that holds the truth in 95 of 100 samplings."""

    value: float
    low: float
    high: float


@dataclass(frozen=True)
class Level:
    """A reserve that a share of all designs lies below, with its interval; ends are infinite where nothing is known."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, eq=False)
class Sample:
    """Reserves of sampled designs and their weights, which have a mean of about 1; None of plain sampling.

    A design without a reserve has minus infinity: it is counted as one that falls short.
    """

    scores: Array
    reserves: Array
    weights: Array | None = None

    def share_below(self, asked: float) -> Share:
        """Return the share of all designs whose reserve is below what is asked.

        Plain: the interval of Clopper and Pearson (1934). Weighted: that of a lognormal estimate with the sample's own
        standard error.
        """
        short = self.reserves < asked
        count = len(short)
        if self.weights is None:
            return _exact_interval(int(short.sum()), count)
        terms = np.where(short, self.weights, 0.0)
        if count < FEWEST:
            return Share(float(terms.mean()), 0.0, 1.0)
        value, error = float(terms.mean()), float(terms.std(ddof=1)) / math.sqrt(count)
        if value <= 0.0:
            return Share(0.0, 0.0, min(1.0, float(3.0 * self.weights.max() / count)))
        wide = math.exp(_two_sided() * math.sqrt(math.log1p((error / value) ** 2)))
        return Share(value, value / wide, min(1.0, value * wide))

    def level(self, share: float) -> Level:
        """Return the reserve that a share of all designs lies below."""
        order = np.argsort(self.reserves)
        reserves, count = self.reserves[order], len(order)
        if self.weights is None:
            below = np.arange(1, count + 1) / count
            error = np.full(count, math.sqrt(share * (1.0 - share) / count))
        else:
            weights = self.weights[order]
            below = np.cumsum(weights) / count
            squares = np.cumsum(weights**2) / count
            error = np.sqrt(np.maximum(squares - below**2, 0.0) / count)
        wide = _two_sided()
        return Level(
            _first(reserves, below >= share, math.inf),
            _low_end(reserves, below + wide * error >= share),
            _first(reserves, below - wide * error >= share, math.inf),
        )

    @property
    def mean(self) -> float:
        """Mean of the reserves of a plain sample; not a number where none has one."""
        return float(self._finite.mean()) if len(self._finite) else math.nan

    @property
    def deviation(self) -> float:
        """Standard deviation of those; not a number of fewer than two."""
        return float(self._finite.std(ddof=1)) if len(self._finite) >= FEWEST else math.nan

    @property
    def _finite(self) -> Array:
        return self.reserves[np.isfinite(self.reserves)]


def plain_scores(count: int, keys: int, seed: int) -> Array:
    """Return independent standard normal scores (count, keys)."""
    return np.random.default_rng(seed).standard_normal((count, keys))


def mixed_scores(points: Sequence[Array], count: int, seed: int) -> tuple[Array, Array]:
    """Return scores taken in turn about the points, with unit standard deviation, and their weights (count,).

    The weight is the density of what is asked over that of what was sampled, the mean of all these normal laws, so that
    no weight is larger than that of a sample about the nearest point alone times the number of points.
    """
    centres = np.array(points)
    source = np.random.default_rng(seed)
    u = centres[np.arange(count) % len(centres)] + source.standard_normal((count, centres.shape[1]))
    squares = -0.5 * ((u[:, None, :] - centres[None, :, :]) ** 2).sum(axis=2)
    logs = -0.5 * (u**2).sum(axis=1) - _log_mean_exp(squares)
    return u, np.exp(logs)


def _log_mean_exp(logs: Array) -> Array:
    top = logs.max(axis=1)
    return np.asarray(top + np.log(np.exp(logs - top[:, None]).mean(axis=1)))


def _exact_interval(short: int, count: int) -> Share:
    rest = 0.5 * (1.0 - SURE)
    low = 0.0 if short == 0 else float(beta_law.ppf(rest, short, count - short + 1))
    high = 1.0 if short == count else float(beta_law.ppf(1.0 - rest, short + 1, count - short))
    return Share(short / count, low, high)


def _two_sided() -> float:
    return float(norm.ppf(0.5 + 0.5 * SURE))


def _first(values: Array, holds: NDArray[np.bool_], otherwise: float) -> float:
    return float(values[int(np.argmax(holds))]) if bool(holds.any()) else otherwise


def _low_end(values: Array, holds: NDArray[np.bool_]) -> float:
    """Return the first value for which it holds; minus infinity where that is the first of all."""
    return -math.inf if bool(holds[0]) else _first(values, holds, -math.inf)
