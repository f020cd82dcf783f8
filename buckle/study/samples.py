"""Blocks made by number: space-filling designs between bounds, random samples of tolerances; a seed repeats them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm, qmc, truncnorm

from buckle.study.study import Block

DIGITS = 10
"""Significant digits of a sampled value: what a drawing could state, and the same on every machine."""


@dataclass(frozen=True)
class Spread:
    """How a quantity scatters about its mean, in the unit of its key."""

    distribution: str  # "normal", "truncated" or "uniform"
    mean: float
    deviation: float = 0.0  # standard deviation of normal and (before it is cut) truncated
    half_width: float = 0.0  # of uniform, and where truncated is cut


def fill(bounds: Mapping[str, tuple[float, float]], method: str, count: int, seed: int) -> Block:
    """Return `count` points that fill a box evenly, by Sobol's sequence (scrambled) or a Latin hypercube."""
    source = np.random.default_rng(seed)
    engine = qmc.Sobol(len(bounds), rng=source) if method == "sobol" else qmc.LatinHypercube(len(bounds), rng=source)
    low, high = np.array(list(bounds.values())).T
    return Block(tuple(bounds), _rows(low + (high - low) * engine.random(count)), "fill")


def draw(spreads: Mapping[str, Spread], correlation: NDArray[np.float64], count: int, seed: int) -> Block:
    """Return `count` independent random samples of quantities whose normal scores have a correlation matrix."""
    scores = np.random.default_rng(seed).standard_normal((count, len(spreads))) @ np.linalg.cholesky(correlation).T
    columns = [_scattered(spread, scores[:, at]) for at, spread in enumerate(spreads.values())]
    return Block(tuple(spreads), _rows(np.column_stack(columns)), "tolerance")


def _scattered(spread: Spread, scores: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a distribution's values at standard normal scores."""
    if spread.distribution == "normal":
        return spread.mean + spread.deviation * scores
    share = norm.cdf(scores)
    if spread.distribution == "uniform":
        return spread.mean + spread.half_width * (2.0 * share - 1.0)
    cut = spread.half_width / spread.deviation
    return np.asarray(truncnorm.ppf(share, -cut, cut, loc=spread.mean, scale=spread.deviation))


def _rows(values: NDArray[np.float64]) -> Sequence[Sequence[float]]:
    return [[float(f"{value:.{DIGITS}g}") for value in row] for row in values]
