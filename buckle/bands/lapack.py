"""LAPACK's band routines: LU for equilibrium, Cholesky for 'is it stable', inverse iteration for 'how far from it'."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.lib.stride_tricks import as_strided, sliding_window_view
from numpy.typing import NDArray
from scipy.linalg import eigvals_banded
from scipy.linalg.blas import dsbmv
from scipy.linalg.lapack import dgbtrf, dgbtrs, dpbtrf, dpbtrs

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class BandLU:
    """LU factors of a general band."""

    factors: Array
    pivots: NDArray[np.int32]
    half: int

    @property
    def sign(self) -> float:
        """Sign of the determinant."""
        exchanged = int(np.count_nonzero(self.pivots != np.arange(len(self.pivots))))
        negative = int(np.count_nonzero(self.factors[2 * self.half] < 0.0))
        return -1.0 if (exchanged + negative) % 2 else 1.0

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
    band = np.zeros((size + half, 3 * half + 1))
    band[:size, 2 * half :] = lower
    # Entry (i, k) of the lower half is (i + k, 2 half - k) of the band's upper one: a lattice of constant strides.
    row, entry = band.strides
    mirrored = as_strided(band.ravel()[2 * half :], (size, width), (row, row - entry))
    mirrored[:] = lower
    return band[:size]


def cholesky(lower: Array) -> Array | None:
    """Factor a symmetric band given by its lower half; None when it is not positive definite."""
    factors, info = dpbtrf(lower.T, lower=1)
    return factors if info == 0 else None


def is_stable(lower: Array) -> bool:
    """Tell whether a symmetric band (lower half) is positive definite, overwriting it."""
    _, info = dpbtrf(lower.T, lower=1, overwrite_ab=1)
    return bool(info == 0)


def negatives(lower: Array) -> int:
    """Number of eigenvalues of a symmetric band (lower half) below zero, by reduction to three diagonals."""
    found = eigvals_banded(lower.T, lower=True, select="v", select_range=(-np.inf, 0.0), check_finite=False)
    return len(found)


def cholesky_solve(factors: Array, right: Array) -> Array:
    """Solve with Cholesky factors."""
    solution, info = dpbtrs(factors, right, lower=1)
    assert info == 0
    return solution


def multiply(lower: Array, x: Array) -> Array:
    """Multiply a symmetric band (lower half) by a vector."""
    return dsbmv(lower.shape[1] - 1, 1.0, lower.T, x, lower=1)


def nearest_zero(lower: Array, start: Array | None = None, tolerance: float = 1e-7) -> tuple[float, Array]:
    """Eigenvalue nearest to zero, made negative where the matrix is not definite, and its vector.

    By inverse iteration from a start that is the same every time unless one is given. The matrix is scaled by its
    diagonal first, so that the value is a fraction of the stiffness: comparable between wave numbers and free of units.
    """
    size, width = lower.shape
    scale = 1.0 / np.sqrt(np.abs(lower[:, 0]))
    along = sliding_window_view(np.concatenate([scale, np.zeros(width - 1)]), width)
    scaled = lower * scale[:, None] * along
    solve, sign = _inverse(scaled)
    if solve is None:
        return 0.0, np.zeros(size)
    x = np.cos(np.arange(size)) if start is None else start / scale
    x, value = x / np.linalg.norm(x), 0.0
    for _ in range(200):
        y = solve(x)
        new = 1.0 / float(x @ y)
        x = y / np.linalg.norm(y)
        if abs(new - value) <= tolerance * abs(new):
            break
        value = new
    return sign * abs(new), x * scale


def _inverse(lower: Array) -> tuple[Callable[[Array], Array] | None, float]:
    """What solves with a symmetric band, and 1 or -1 as it is definite or not; None where it is singular."""
    factors = cholesky(lower)
    if factors is not None:
        return partial(cholesky_solve, factors), 1.0
    lu = factor(general(lower))
    return (None if lu is None else lu.solve), -1.0
