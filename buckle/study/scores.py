"""Independent standard normal scores u, and the values of the case that they stand for.

A quantity of distribution F has the value F^-1(Phi(z)) at a normal score z; scores of a correlation matrix R are
z = L u with R = L L^T. Source: A. Nataf 1962 (from memory), by which a correlation is one of the scores.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.stats import norm, truncnorm

from buckle.case.tolerances import Tolerance, lognormal_parameters

Array = NDArray[np.float64]
DIGITS = 10
"""Significant digits of a value, the same on every machine."""


@dataclass(frozen=True, eq=False)
class Scatter:
    """What scatters: the tolerances, and the lower triangle L of the correlation of their scores."""

    tolerances: tuple[Tolerance, ...]
    triangle: Array

    @property
    def keys(self) -> tuple[str, ...]:
        """The keys, in order."""
        return tuple(each.key for each in self.tolerances)

    def values(self, u: Array) -> Array:
        """Return the values (designs, keys) of the quantities at scores u of the same shape."""
        z = u @ self.triangle.T
        return np.column_stack([values_at(each, z[:, at]) for at, each in enumerate(self.tolerances)])

    def inputs(self, u: Array) -> list[Mapping[str, float]]:
        """Return what the case says at scores u (designs, keys)."""
        return [
            {key: float(f"{value:.{DIGITS}g}") for key, value in zip(self.keys, row, strict=True)}
            for row in self.values(u)
        ]


def scatter_of(tolerances: Sequence[Tolerance], correlation: Array) -> Scatter:
    """Return what scatters of the tolerances of a case and the correlation matrix of their scores."""
    return Scatter(tuple(tolerances), np.asarray(np.linalg.cholesky(correlation), dtype=np.float64))


def values_at(tolerance: Tolerance, z: Array) -> Array:
    """Return the values that a quantity has at normal scores."""
    low, high, mean, deviation = tolerance.low, tolerance.high, tolerance.mean, tolerance.standard_deviation
    match tolerance.law:
        case "normal":
            return mean + deviation * z
        case "lognormal":
            middle, spread = lognormal_parameters(mean, deviation)
            return np.exp(middle + spread * z)
        case "truncated":
            ends = (low - mean) / deviation, (high - mean) / deviation
            return np.asarray(truncnorm.ppf(norm.cdf(z), *ends, loc=mean, scale=deviation))
        case "uniform":
            return low + (high - low) * norm.cdf(z)
        case "triangular":
            return _triangular(low, tolerance.nominal, high, z)
        case "measured":
            return _measured(np.array(tolerance.sample), z)
    raise ValueError(f"{tolerance.key}: no law {tolerance.law!r}")


def _triangular(low: float, peak: float, high: float, z: Array) -> Array:
    """Return the values of a triangular distribution, from the end that is nearer so that both tails are exact."""
    width, rising = high - low, peak - low
    share = rising / width
    below = low + np.sqrt(norm.cdf(z) * width * rising)
    above = high - np.sqrt(norm.sf(z) * width * (high - peak))
    return np.where(norm.cdf(z) < share, below, above)


def _measured(sample: Array, z: Array) -> Array:
    """Return the values of a measured sample, straight lines between its order statistics; none lies beyond it.

    The i-th of n in order has the share (i - 1/2) / n below it: A. Hazen 1914 (from memory).
    """
    shares = (np.arange(len(sample)) + 0.5) / len(sample)
    return np.interp(norm.cdf(z), shares, np.sort(sample))


def score_of(share: float) -> float:
    """Return how many standard deviations below the mean of a normal quantity a share of it lies."""
    return float(-norm.ppf(share))


def share_of(score: float) -> float:
    """Return the share of a normal quantity that lies more than a number of standard deviations below its mean."""
    return float(norm.sf(score)) if math.isfinite(score) else 0.0
