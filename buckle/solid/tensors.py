"""Tensors of a body of revolution that does not twist: one column for each point.

A gradient has five rows, rR rZ zR zZ in the meridian plane and tT around the axis; a symmetric tensor has four, rr zz
rz tt. Principal axes 1 and 2 lie in the meridian plane, 3 goes around the axis.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.solid.numbering import GradientRow

Array = NDArray[np.float64]
RR, RZ, ZR, ZZ, TT = GradientRow
IN_PLANE = ((RR, RZ), (ZR, ZZ))
UNIT = np.array([[1.0], [1.0], [0.0], [1.0]])
STRETCHES = (RR, ZZ, TT)
"""Rows of a gradient that are one where nothing moves."""


@dataclass(frozen=True, eq=False)
class Axes:
    """Principal axes 1 and 2 in the meridian plane: axis 1 is (cos, sin) in (r, z), axis 2 is (-sin, cos)."""

    cos: Array  # (points,) [-]
    sin: Array  # (points,) [-]

    @property
    def turn(self) -> Array:
        """Components of axis a in (r, z), [a, i], (2, 2, points) [-]."""
        return np.array([[self.cos, self.sin], [-self.sin, self.cos]])

    def assembled(self, values: Array) -> Array:
        """Symmetric tensor (4, points) of principal values (3, points), of stresses [MPa] or strains [-]."""
        c, s = self.cos, self.sin
        first, second, around = values
        return np.stack(
            [first * c * c + second * s * s, first * s * s + second * c * c, (first - second) * c * s, around]
        )

    def across(self, F: Array) -> Array:
        """F^-1 of a gradient (5, points) along the axes: [J, b] of material direction J, (2, 2, points) [-]."""
        Rr, Rz, Zr, Zz, _ = inverse(F)
        Q = self.turn
        return np.array(
            [
                [Rr * Q[0, 0] + Rz * Q[0, 1], Rr * Q[1, 0] + Rz * Q[1, 1]],
                [Zr * Q[0, 0] + Zz * Q[0, 1], Zr * Q[1, 0] + Zz * Q[1, 1]],
            ]
        )

    def into(self, F: Array) -> Array:
        """Matrices (points, 5, 5) that give l = dF F^-1 in these axes, 11 12 21 22 33, from dF (5, points) [-]."""
        Q, across = self.turn, self.across(F)
        out = np.zeros((F.shape[1], len(GradientRow), len(GradientRow)))
        for a in range(2):
            for b in range(2):
                for i in range(2):
                    for j in range(2):
                        out[:, IN_PLANE[a][b], IN_PLANE[i][j]] = Q[a, i] * across[j, b]
        out[:, TT, TT] = 1.0 / F[TT]
        return out


def principal(b: Array) -> tuple[Array, Axes]:
    """Principal values (3, points) and axes of a symmetric tensor (4, points); 1 is the larger one in the plane.

    In the unit of the tensor: here it is that of strains [-].
    """
    rr, zz, rz, tt = b
    mean, half = 0.5 * (rr + zz), 0.5 * (rr - zz)
    radius = np.hypot(half, rz)
    turn = 0.5 * np.arctan2(rz, half)
    return np.stack([mean + radius, mean - radius, tt]), Axes(np.cos(turn), np.sin(turn))


def carried(F: Array, c: Array) -> Array:
    """F c F^T of a symmetric tensor c (4, points) and a gradient F (5, points) [-]."""
    rR, rZ, zR, zZ, tT = F
    rr, zz, rz, tt = c
    first_r, first_z = rR * rr + rZ * rz, rR * rz + rZ * zz
    second_r, second_z = zR * rr + zZ * rz, zR * rz + zZ * zz
    return np.stack(
        [first_r * rR + first_z * rZ, second_r * zR + second_z * zZ, first_r * zR + first_z * zZ, tT * tT * tt]
    )


def determinant(F: Array) -> Array:
    """Determinant of the part in the meridian plane, (points,) [-]; F (5, points)."""
    rR, rZ, zR, zZ, _ = F
    return rR * zZ - rZ * zR


def inverse(F: Array) -> Array:
    """Inverse of a gradient, rows Rr Rz Zr Zz Tt, (5, points) [-]."""
    rR, rZ, zR, zZ, tT = F
    area = determinant(F)
    return np.stack([zZ / area, -rZ / area, -zR / area, rR / area, 1.0 / tT])


def is_upright(F: Array) -> bool:
    """Tell whether a gradient (5, points) [-] turns no point inside out."""
    return bool(np.all(determinant(F) > 0.0) and np.all(F[TT] > 0.0))
