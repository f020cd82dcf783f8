"""Nominal stress and moduli from what the metal answers in principal axes.

With l = dF F^-1 in the principal axes of the elastic strain, the second variation of the work is (spectral form of the
spatial moduli; Simo and Taylor 1991, Ogden 1984, both from memory)

    sum_ab (D_ab - tau_a delta_ab) l_aa l_bb  +  sum_{a != b} [ (g_ab + tau_b) l_ab^2 + g_ab l_ab l_ba ]

and l is linear in dF, which carries both to the unloaded body: P = dW/dF = tau F^-T and A = dP/dF.
"""

import numpy as np
from numpy.typing import NDArray

from buckle.solid.metal import Principal
from buckle.solid.numbering import GradientRow, TwistRow
from buckle.solid.tensors import Axes, inverse

Array = NDArray[np.float64]
RR, RZ, ZR, ZZ, TT = GradientRow
RT, ZT, TR, TZ = TwistRow
IN_PLANE, STRETCHES = ((RR, RZ), (ZR, ZZ)), (RR, ZZ, TT)
"""In principal axes the rows are 11 12 21 22 33 and 13 23 31 32, in the same order."""


def nominal_stress(to_axes: Array, answer: Principal) -> Array:
    """Nominal stress (points, 5) [MPa] on rR rZ zR zZ tT; `to_axes` (points, 5, 5) [-] as below."""
    stress = np.zeros((len(to_axes), 1, len(GradientRow)))
    stress[:, 0, RR], stress[:, 0, ZZ], stress[:, 0, TT] = answer.stress
    return np.matmul(stress, to_axes)[:, 0, :]


def nominal_moduli(to_axes: Array, answer: Principal) -> Array:
    """Nominal moduli (points, 5, 5) [MPa] on rR rZ zR zZ tT; `to_axes` as below."""
    t1, t2, _ = answer.stress
    g = answer.shear[0]
    a = np.zeros_like(to_axes)
    for i, row in enumerate(STRETCHES):
        for j, column in enumerate(STRETCHES):
            a[:, row, column] = answer.moduli[i, j]
        a[:, row, row] -= answer.stress[i]
    a[:, RZ, RZ], a[:, ZR, ZR] = g + t2, g + t1
    a[:, RZ, ZR] = a[:, ZR, RZ] = g
    moduli: Array = np.matmul(to_axes.transpose(0, 2, 1), np.matmul(a, to_axes))
    return moduli


def into_axes(F: Array, axes: Axes) -> Array:
    """Matrices (points, 5, 5) that give l = dF F^-1 in principal axes, 11 12 21 22 33, from dF (5, points) [-]."""
    Q = np.array([[axes.cos, axes.sin], [-axes.sin, axes.cos]])
    across = _across(F, Q)
    out = np.zeros((F.shape[1], len(GradientRow), len(GradientRow)))
    for a in range(2):
        for b in range(2):
            for i in range(2):
                for j in range(2):
                    out[:, IN_PLANE[a][b], IN_PLANE[i][j]] = Q[a, i] * across[j, b]
    out[:, TT, TT] = 1.0 / F[TT]
    return out


def nominal_around(F: Array, axes: Axes, answer: Principal) -> Array:
    """Nominal moduli (points, 4, 4) [MPa] on rT zT tR tZ, by which the meridian plane shears around the axis."""
    t1, t2, t3 = answer.stress
    _, second, first = answer.shear
    t = np.zeros((F.shape[1], len(TwistRow), len(TwistRow)))  # l_13, l_23, l_31, l_32 from the four components
    Q = np.array([[axes.cos, axes.sin], [-axes.sin, axes.cos]])
    across = _across(F, Q)
    for a in range(2):
        for i in range(2):
            t[:, (RT, ZT)[a], (RT, ZT)[i]] = Q[a, i] / F[TT]
            t[:, (TR, TZ)[a], (TR, TZ)[i]] = across[i, a]
    m = np.zeros_like(t)
    m[:, RT, RT], m[:, ZT, ZT], m[:, TR, TR], m[:, TZ, TZ] = first + t3, second + t3, first + t1, second + t2
    m[:, RT, TR] = m[:, TR, RT] = first
    m[:, ZT, TZ] = m[:, TZ, ZT] = second
    moduli: Array = np.matmul(t.transpose(0, 2, 1), np.matmul(m, t))
    return moduli


def _across(F: Array, Q: Array) -> Array:
    """F^-1 Q^T, [J, b] for material direction J and principal axis b, (2, 2, points)."""
    Rr, Rz, Zr, Zz, _ = inverse(F)
    return np.array(
        [
            [Rr * Q[0, 0] + Rz * Q[0, 1], Rr * Q[1, 0] + Rz * Q[1, 1]],
            [Zr * Q[0, 0] + Zz * Q[0, 1], Zr * Q[1, 0] + Zz * Q[1, 1]],
        ]
    )
