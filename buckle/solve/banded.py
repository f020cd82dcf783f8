"""LAPACK's band routines: LU for equilibrium, Cholesky for 'is it stable', inverse iteration for 'how far from it'."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.blas import dsbmv
from scipy.linalg.lapack import dgbtrf, dgbtrs, dpbtrf, dpbtrs

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class BandLU:
    """LU factors of a general band."""

    factors: Array
    pivots: NDArray[np.int32]
    half: int

    def solve(self, right: Array) -> Array:
        """Solve for one or more right-hand sides, (size,) or (size, k)."""
        solution, info = dgbtrs(self.factors, self.half, self.half, right, self.pivots)
        assert info == 0
        return solution


def factor(band: Array) -> BandLU | None:
    """Factor a general band (size, 3 m + 1), overwriting it; None when it is exactly singular."""
    half = (band.shape[1] - 1) // 3
    factors, pivots, info = dgbtrf(band.T, half, half, overwrite_ab=1)
    return BandLU(factors, pivots, half) if info == 0 else None


def lower_half(band: Array) -> Array:
    """Lower half (size, m + 1) of a general band (size, 3 m + 1)."""
    return band[:, 2 * ((band.shape[1] - 1) // 3) :]


def general(lower: Array) -> Array:
    """General band (size, 3 m + 1) of a symmetric matrix given by its lower half (size, m + 1)."""
    size, width = lower.shape
    half = width - 1
    band = np.zeros((size, 3 * half + 1))
    band[:, 2 * half :] = lower
    for k in range(1, width):
        band[k:, 2 * half - k] = lower[:-k, k]
    return band


def cholesky(lower: Array) -> Array | None:
    """Factor a symmetric band given by its lower half; None when it is not positive definite."""
    factors, info = dpbtrf(lower.T, lower=1)
    return factors if info == 0 else None


def is_stable(lower: Array) -> bool:
    """Tell whether a symmetric band (lower half) is positive definite, overwriting it."""
    _, info = dpbtrf(lower.T, lower=1, overwrite_ab=1)
    return bool(info == 0)


def cholesky_solve(factors: Array, right: Array) -> Array:
    """Solve with Cholesky factors."""
    solution, info = dpbtrs(factors, right, lower=1)
    assert info == 0
    return solution


def multiply(lower: Array, x: Array) -> Array:
    """Multiply a symmetric band (lower half) by a vector."""
    return dsbmv(lower.shape[1] - 1, 1.0, lower.T, x, lower=1)


def nearest_zero(lower: Array, start: Array | None = None, tolerance: float = 1e-7) -> tuple[float, Array]:
    """Eigenvalue nearest to zero and its vector, by inverse iteration from a fixed start.

    The matrix is scaled by its diagonal first, so that the value is a fraction of the stiffness: comparable between
    wave numbers and free of units.
    """
    scale = 1.0 / np.sqrt(np.abs(lower[:, 0]))
    scaled = np.zeros_like(lower)
    for k in range(lower.shape[1]):
        scaled[: len(scale) - k, k] = lower[: len(scale) - k, k] * scale[: len(scale) - k] * scale[k:]
    lu = factor(general(scaled))
    if lu is None:
        return 0.0, np.zeros(len(scale))
    x = np.cos(np.arange(len(scale))) if start is None else start / scale
    x, value = x / np.linalg.norm(x), 0.0
    for _ in range(200):
        y = lu.solve(x)
        new = 1.0 / float(x @ y)
        x = y / np.linalg.norm(y)
        if abs(new - value) <= tolerance * abs(new):
            break
        value = new
    return new, x * scale
