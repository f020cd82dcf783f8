"""Tensors in space: one column for each point, nine rows xX xY xZ yX yY yZ zX zY zZ, of symmetric ones too."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
UNIT = np.eye(3).reshape(9, 1)
ROWS = len(UNIT)
STRETCHES = (0, 4, 8)
"""Rows of a gradient that are one where nothing moves."""


@dataclass(frozen=True, eq=False)
class Frame:
    """Principal axes: axis a is (x, y, z) of `turn[a]`, (3, 3, points) [-]."""

    turn: Array

    def assembled(self, values: Array) -> Array:
        """Symmetric tensor (9, points) of principal values (3, points), of stresses [MPa] or strains [-]."""
        return np.einsum("aip,ap,ajp->ijp", self.turn, values, self.turn).reshape(ROWS, -1)

    def into(self, F: Array) -> Array:
        """Matrices (points, 9, 9) that give l = dF F^-1 in these axes, 11 12 ... 33, from dF (9, points) [-]."""
        across = np.einsum("Jkp,bkp->pJb", inverse(F).reshape(3, 3, -1), self.turn)
        spread = np.einsum("aip,pJb->pabiJ", self.turn, across)
        return np.ascontiguousarray(spread).reshape(-1, ROWS, ROWS)


def principal(b: Array) -> tuple[Array, Frame]:
    """Principal values (3, points), rising, and axes of a symmetric tensor (9, points) [-]."""
    values, vectors = np.linalg.eigh(_matrices(b))
    return values.T, Frame(np.ascontiguousarray(vectors.transpose(2, 1, 0)))


def carried(F: Array, c: Array) -> Array:
    """F c F^T of a symmetric tensor c and a gradient F, (9, points) [-] both."""
    gradient = _matrices(F)
    return _rows(np.matmul(np.matmul(gradient, _matrices(c)), gradient.transpose(0, 2, 1)))


def determinant(F: Array) -> Array:
    """Determinant of a gradient (9, points), (points,) [-]."""
    return np.linalg.det(_matrices(F))


def inverse(F: Array) -> Array:
    """Inverse of a gradient, rows Xx Xy Xz Yx ..., (9, points) [-]."""
    return _rows(np.asarray(np.linalg.inv(_matrices(F)), dtype=np.float64))


def is_upright(F: Array) -> bool:
    """Tell whether a gradient (9, points) [-] turns no point inside out."""
    return bool(np.all(determinant(F) > 0.0))


def _matrices(rows: Array) -> Array:
    return rows.T.reshape(-1, 3, 3)


def _rows(matrices: Array) -> Array:
    return np.ascontiguousarray(matrices.reshape(-1, ROWS).T)
