"""Nominal stress and moduli from what the metal answers in principal axes.

With l = dF F^-1 in the principal axes of the elastic strain, the second variation of the work is (spectral form of the
spatial moduli; Simo and Taylor 1991, Ogden 1984, both from memory)

    sum_ab (D_ab - tau_a delta_ab) l_aa l_bb  +  sum_{a != b} [ (g_ab + tau_b) l_ab^2 + g_ab l_ab l_ba ]

and l is linear in dF, which carries both to the unloaded body: P = dW/dF = tau F^-T and A = dP/dF.
"""

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from buckle.solid.metal import PAIRS, Principal
from buckle.solid.numbering import GradientRow, TwistRow
from buckle.solid.tensors import Axes

Array = NDArray[np.float64]
RR, RZ, ZR, ZZ, TT = GradientRow
RT, ZT, TR, TZ = TwistRow
WITHIN = {(0, 0): RR, (0, 1): RZ, (1, 0): ZR, (1, 1): ZZ, (2, 2): TT}
AROUND = {(0, 2): RT, (1, 2): ZT, (2, 0): TR, (2, 1): TZ}
IN_SPACE = {(a, b): 3 * a + b for a in range(3) for b in range(3)}
"""Row of each l_ab in principal axes: 11 12 21 22 33 and 13 23 31 32, in the same order, or all nine."""


def nominal_stress(to_axes: Array, answer: Principal) -> Array:
    """Nominal stress (points, rows) [MPa] on rR rZ zR zZ tT or in space; `to_axes` (points, rows, rows) is
    what the axes give at F (`PrincipalAxes.into`).
    """
    rows = _rows(to_axes)
    stress = np.zeros((len(to_axes), 1, len(rows)))
    for a in range(3):
        stress[:, 0, rows[a, a]] = answer.stress[a]
    return np.matmul(stress, to_axes)[:, 0, :]


def nominal_moduli(to_axes: Array, answer: Principal) -> Array:
    """Nominal moduli (points, rows, rows) [MPa] on rR rZ zR zZ tT or in space; `to_axes` as above."""
    return _carried(to_axes, _spectral(answer, _rows(to_axes)))


def _rows(to_axes: Array) -> Mapping[tuple[int, int], int]:
    return next(rows for rows in (WITHIN, IN_SPACE) if len(rows) == to_axes.shape[2])


def _spectral(answer: Principal, rows: Mapping[tuple[int, int], int]) -> Array:
    """Second variation of the work by l_ab in some rows, (points, rows, rows) [MPa]."""
    a = np.zeros((answer.stress.shape[1], len(rows), len(rows)))
    stretches = [rows[i, i] for i in range(3) if (i, i) in rows]  # all or none
    for i, row in enumerate(stretches):
        for j, column in enumerate(stretches):
            a[:, row, column] = answer.moduli[i, j]
        a[:, row, row] -= answer.stress[i]
    for shear, (i, j) in zip(answer.shear, PAIRS, strict=True):
        if (i, j) in rows:
            one, other = rows[i, j], rows[j, i]
            a[:, one, one], a[:, other, other] = shear + answer.stress[j], shear + answer.stress[i]
            a[:, one, other] = a[:, other, one] = shear
    return a


def _carried(to_axes: Array, spectral: Array) -> Array:
    moduli: Array = np.matmul(to_axes.transpose(0, 2, 1), np.matmul(spectral, to_axes))
    return moduli


def nominal_around(F: Array, axes: Axes, answer: Principal) -> Array:
    """Nominal moduli (points, 4, 4) [MPa] on rT zT tR tZ, by which the meridian plane shears around the axis."""
    t = np.zeros((F.shape[1], len(TwistRow), len(TwistRow)))  # l_13, l_23, l_31, l_32 from the four components
    Q, across = axes.turn, axes.across(F)
    for a in range(2):
        for i in range(2):
            t[:, (RT, ZT)[a], (RT, ZT)[i]] = Q[a, i] / F[TT]
            t[:, (TR, TZ)[a], (TR, TZ)[i]] = across[i, a]
    return _carried(t, _spectral(answer, AROUND))
