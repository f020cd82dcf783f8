"""Tensors in space: one column for each point, nine rows xX xY xZ yX yY yZ zX zY zZ, of symmetric ones too."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
UNIT = np.eye(3).reshape(9, 1)
ROWS = len(UNIT)


@dataclass(frozen=True, eq=False)
class Frame:
    """Principal axes: axis a is (x, y, z) of `turn[a]`, (3, 3, points) [-]."""

    turn: Array

    def assembled(self, values: Array) -> Array:
        """Symmetric tensor (9, points) of principal values (3, points), of stresses [MPa] or strains [-]."""
        return np.einsum("aip,ap,ajp->ijp", self.turn, values, self.turn).reshape(ROWS, -1)


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


def _matrices(rows: Array) -> Array:
    return rows.T.reshape(-1, 3, 3)


def _rows(matrices: Array) -> Array:
    return np.ascontiguousarray(matrices.reshape(-1, ROWS).T)
