"""Metrics of a waved shell at points around half a wave, and what forces on them are by its fields; compiled.

A point of the shell is x = x0 + zeta d as in `shell.kinematics`, now with all three components: the mid-surface moves
by (u, v, w) along (e_r, e_theta, e_z), and the director of fixed length turns by beta in the meridian plane and then by
omega out of it, d = (-sin B cos omega, sin omega, cos B cos omega) with B = heading + beta. With ' = d/ds and dots for
d/dtheta, in the turning base,

    x' = (cos + u', v', sin + w')     x. = (u. - v, r + u + v., w.)     d. = d,beta beta. + d,omega omega. + e_z x d

and the eleven metrics are products of these five vectors; nothing is left out. Up to second order in a wave they are
those of `shell.kinematics`, whose waves turn the director in the same way. Derived here.
"""

import math

import numpy as np
from numpy.typing import NDArray

from buckle.shell.compiled import njit
from buckle.shell.points import Line
from buckle.waves.numbering import PointRow, WavedRow

Array = NDArray[np.float64]

U, U_S, U_T, W_S, W_T, V, V_S, V_T, BETA, BETA_S, BETA_T, OMEGA, OMEGA_S, OMEGA_T = map(int, PointRow)
A11, B11, C11, A22, B22, C22, A12, B12, C12, G1, G2 = map(int, WavedRow)
FIELDS, METRICS = len(PointRow), len(WavedRow)
X_S, X_T, DIR, DIR_S, DIR_T = range(0, 15, 3)
"""First row of each of the five vectors."""
D_B, D_O, D_BB, D_BO, D_OO, D_BBO = range(1, 7)
"""Row of each derivative of the director by beta and omega; its own is 0."""
PAIRS = (
    *((X_S, X_S, A11, 2.0, 0), (X_S, DIR_S, B11, 1.0, 1), (DIR_S, DIR_S, C11, 2.0, 2)),
    *((X_T, X_T, A22, 2.0, 0), (X_T, DIR_T, B22, 1.0, 1), (DIR_T, DIR_T, C22, 2.0, 2)),
    *((X_S, X_T, A12, 1.0, 0), (X_S, DIR_T, B12, 0.5, 1), (X_T, DIR_S, B12, 0.5, 1), (DIR_S, DIR_T, C12, 1.0, 2)),
    *((X_S, DIR, G1, 1.0, 0), (X_T, DIR, G2, 1.0, 0)),
)
"""Vectors of which each metric is a product, its second derivative by them, and the power of the half thickness."""


@njit(cache=True, error_model="numpy")
def metrics_of(line: Line, fields: Array) -> Array:
    """The eleven metrics at all points [-, mm, mm2], (points, angles, 11), of fields (points, angles, 14)."""
    count, angles = fields.shape[:2]
    out, y, turned = np.zeros((count, angles, METRICS)), np.empty(15), np.empty((7, 3))
    for i in range(count):
        for j in range(angles):
            _vectors(line, i, fields[i, j], y, turned)
            for a, b, metric, factor, power in PAIRS:
                half = 0.5 if a == b else 1.0
                product = y[a] * y[b] + y[a + 1] * y[b + 1] + y[a + 2] * y[b + 2]
                out[i, j, metric] += half * factor * line.half[i] ** power * product
    return out


@njit(cache=True, error_model="numpy")
def _vectors(line: Line, i: int, f: Array, y: Array, turned: Array) -> None:
    """The five vectors of a point, and its director with its derivatives by beta and omega."""
    heading = line.heading[i]
    y[0], y[1], y[2] = math.cos(heading) + f[U_S], f[V_S], math.sin(heading) + f[W_S]
    y[3], y[4], y[5] = f[U_T] - f[V], line.r[i] + f[U] + f[V_T], f[W_T]
    sb, cb, so, co = math.sin(heading + f[BETA]), math.cos(heading + f[BETA]), math.sin(f[OMEGA]), math.cos(f[OMEGA])
    turned[0, 0], turned[0, 1], turned[0, 2] = -sb * co, so, cb * co
    turned[D_B, 0], turned[D_B, 1], turned[D_B, 2] = -cb * co, 0.0, -sb * co
    turned[D_O, 0], turned[D_O, 1], turned[D_O, 2] = sb * so, co, -cb * so
    turned[D_BB, 0], turned[D_BB, 1], turned[D_BB, 2] = sb * co, 0.0, -cb * co
    turned[D_BO, 0], turned[D_BO, 1], turned[D_BO, 2] = cb * so, 0.0, sb * so
    turned[D_OO, 0], turned[D_OO, 1], turned[D_OO, 2] = sb * co, -so, -cb * co
    turned[D_BBO, 0], turned[D_BBO, 1], turned[D_BBO, 2] = -sb * so, 0.0, cb * so
    kappa = line.curvature[i] + f[BETA_S]
    for c in range(3):
        y[DIR + c] = turned[0, c]
        y[DIR_S + c] = turned[D_B, c] * kappa + turned[D_O, c] * f[OMEGA_S]
        y[DIR_T + c] = turned[D_B, c] * f[BETA_T] + turned[D_O, c] * f[OMEGA_T]
    y[DIR_T] -= turned[0, 1]
    y[DIR_T + 1] += turned[0, 0]


@njit(cache=True, error_model="numpy")
def _slopes(kappa: float, f: Array, turned: Array, t: Array) -> None:
    """Fill the derivatives of the vectors by the fields, (15, 14), that are not the same everywhere."""
    for c in range(3):
        t[DIR + c, BETA], t[DIR + c, OMEGA] = turned[D_B, c], turned[D_O, c]
        t[DIR_S + c, BETA] = turned[D_BB, c] * kappa + turned[D_BO, c] * f[OMEGA_S]
        t[DIR_S + c, OMEGA] = turned[D_BO, c] * kappa + turned[D_OO, c] * f[OMEGA_S]
        t[DIR_S + c, BETA_S], t[DIR_S + c, OMEGA_S] = turned[D_B, c], turned[D_O, c]
        t[DIR_T + c, BETA] = turned[D_BB, c] * f[BETA_T] + turned[D_BO, c] * f[OMEGA_T]
        t[DIR_T + c, OMEGA] = turned[D_BO, c] * f[BETA_T] + turned[D_OO, c] * f[OMEGA_T]
        t[DIR_T + c, BETA_T], t[DIR_T + c, OMEGA_T] = turned[D_B, c], turned[D_O, c]
    for column, row in ((BETA, D_B), (OMEGA, D_O)):
        t[DIR_T, column] -= turned[row, 1]
        t[DIR_T + 1, column] += turned[row, 0]


@njit(cache=True, error_model="numpy")
def by_fields(line: Line, fields: Array, force: Array, sums: Array, shear: Array) -> tuple[Array, Array]:
    """Forces and stiffness by metric referred to the fields: (points, angles, 14) and (points, angles, 14, 14).

    `force` (points, angles, 11) and `sums` (points, angles, 3, 3, 5) are the derivatives of energy by the metrics and,
    of its second ones, the moments through the wall; `shear` (points, 2) the stiffness of both shears.
    Energy [N mm] by fields [mm, -, rad, rad/mm].
    """
    count, angles = fields.shape[:2]
    out, hess = np.zeros((count, angles, FIELDS)), np.zeros((count, angles, FIELDS, FIELDS))
    y, turned, t = np.empty(15), np.empty((7, 3)), np.zeros((15, FIELDS))
    t[X_S, U_S] = t[X_S + 1, V_S] = t[X_S + 2, W_S] = 1.0
    t[X_T, U_T] = t[X_T + 1, U] = t[X_T + 1, V_T] = t[X_T + 2, W_T] = 1.0
    t[X_T, V] = -1.0
    product, stiff, first = np.empty((5, 5)), np.zeros((METRICS, METRICS)), np.empty((METRICS, FIELDS))
    bent = np.empty((15, FIELDS))
    for i in range(count):
        stiff[G1, G1], stiff[G2, G2] = shear[i, 0], shear[i, 1]
        for j in range(angles):
            f = fields[i, j]
            _vectors(line, i, f, y, turned)
            _slopes(line.curvature[i] + f[BETA_S], f, turned, t)
            _first(line.half[i], y, t, first)
            _fill(sums[i, j], stiff)
            _products(line.half[i], force[i, j], product)
            _bend(product, t, bent)
            _refer(force[i, j], first, stiff, out[i, j], hess[i, j])
            _add_bent(t, bent, hess[i, j])
            _turn(line.curvature[i] + f[BETA_S], f, (product, y, turned), hess[i, j])
    return out, hess


@njit(cache=True, error_model="numpy")
def _first(half: float, y: Array, t: Array, first: Array) -> None:
    """Derivative of the metrics by the fields, (11, 14)."""
    first[:] = 0.0
    for a, b, metric, factor, power in PAIRS:
        scale = factor * half**power * (0.5 if a == b else 1.0)
        for f in range(FIELDS):
            total = 0.0
            for c in range(3):
                total += y[a + c] * t[b + c, f] + y[b + c] * t[a + c, f]
            first[metric, f] += scale * total


@njit(cache=True, error_model="numpy")
def _products(half: float, force: Array, product: Array) -> None:
    """Second derivative of force times metrics by the vectors, the same for each component, (5, 5)."""
    product[:] = 0.0
    for a, b, metric, factor, power in PAIRS:
        value = force[metric] * factor * half**power
        product[a // 3, b // 3] += value
        if a != b:
            product[b // 3, a // 3] += value


@njit(cache=True, error_model="numpy")
def _bend(product: Array, t: Array, bent: Array) -> None:
    """Products times slopes, (15, 14)."""
    bent[:] = 0.0
    for a in range(5):
        for b in range(5):
            value = product[a, b]
            if value != 0.0:
                for c in range(3):
                    for f in range(FIELDS):
                        bent[3 * a + c, f] += value * t[3 * b + c, f]


@njit(cache=True, error_model="numpy")
def _add_bent(t: Array, bent: Array, hess: Array) -> None:
    for row in range(15):
        for f in range(FIELDS):
            if t[row, f] != 0.0:
                for g in range(FIELDS):
                    hess[f, g] += t[row, f] * bent[row, g]


@njit(cache=True, error_model="numpy")
def _fill(sums: Array, stiff: Array) -> None:
    """Put products of (1, 2 xi, xi^2), from the sums of xi^0 to xi^4, into each block of three by three."""
    for p in range(3):
        for q in range(3):
            for a in range(3):
                for b in range(3):
                    twice = (2.0 if a == 1 else 1.0) * (2.0 if b == 1 else 1.0)
                    stiff[3 * p + a, 3 * q + b] = twice * sums[p, q, a + b]


@njit(cache=True, error_model="numpy")
def _refer(force: Array, first: Array, stiff: Array, out: Array, hess: Array) -> None:
    """Refer forces and stiffness of a point to its fields: first^T force and first^T stiff first."""
    row = np.empty(FIELDS)
    for a in range(METRICS):
        row[:] = 0.0
        for b in range(METRICS):
            if stiff[a, b] != 0.0:
                for g in range(FIELDS):
                    row[g] += stiff[a, b] * first[b, g]
        for f in range(FIELDS):
            if first[a, f] != 0.0:
                out[f] += first[a, f] * force[a]
                for g in range(FIELDS):
                    hess[f, g] += first[a, f] * row[g]


@njit(cache=True, error_model="numpy")
def _turn(kappa: float, f: Array, known: tuple[Array, Array, Array], hess: Array) -> None:
    """Add forces by the director and its slopes times their second derivatives by the fields."""
    product, y, turned = known
    by = np.zeros((5, 3))
    for a in range(2, 5):
        for b in range(5):
            for c in range(3):
                by[a, c] += product[a, b] * y[3 * b + c]
    dots = np.zeros((3, 7))  # of the forces by d, d' and d. with the derivatives of d
    for a in range(3):
        for row in range(7):
            for c in range(3):
                dots[a, row] += by[a + 2, c] * turned[row, c]
    axial = np.empty(7)  # of the force by d. with e_z x the derivatives of d
    for row in range(7):
        axial[row] = by[4, 1] * turned[row, 0] - by[4, 0] * turned[row, 1]
    rates = ((1, kappa, f[OMEGA_S]), (2, f[BETA_T], f[OMEGA_T]))
    twice = (dots[0, D_BB] + axial[D_BB], dots[0, D_BO] + axial[D_BO], dots[0, D_OO] + axial[D_OO])
    bb, bo, oo = twice
    for a, turning, tilting in rates:
        bb += -dots[a, D_B] * turning + dots[a, D_BBO] * tilting
        bo += dots[a, D_BBO] * turning - dots[a, D_B] * tilting
        oo += -dots[a, D_B] * turning - dots[a, D_O] * tilting
    hess[BETA, BETA] += bb
    hess[OMEGA, OMEGA] += oo
    _pair(hess, BETA, OMEGA, bo)
    for a, turning_row, tilting_row in ((1, BETA_S, OMEGA_S), (2, BETA_T, OMEGA_T)):
        _pair(hess, BETA, turning_row, dots[a, D_BB])
        _pair(hess, BETA, tilting_row, dots[a, D_BO])
        _pair(hess, OMEGA, turning_row, dots[a, D_BO])
        _pair(hess, OMEGA, tilting_row, dots[a, D_OO])


@njit(cache=True)
def _pair(matrix: Array, i: int, j: int, value: float) -> None:
    matrix[i, j] += value
    matrix[j, i] += value


@njit(cache=True, error_model="numpy")
def enclosed(line: Line, fields: Array) -> tuple[Array, Array]:
    """First and second derivatives of the volume swept by fields (points, angles, 14), per radian and length.

    The volume is (1/2) (x (x. , x') - ...): that of `shell.kinematics` with all components.
    (points, angles, 14) and (points, angles, 14, 14) [mm, mm2].
    """
    count, angles = fields.shape[:2]
    first, second = np.zeros((count, angles, FIELDS)), np.zeros((count, angles, FIELDS, FIELDS))
    for i in range(count):
        cos, sin = math.cos(line.heading[i]), math.sin(line.heading[i])
        for j in range(angles):
            f, g, h = fields[i, j], first[i, j], second[i, j]
            r, v = line.r[i] + f[U], f[V]
            round_t, round_r = r + f[V_T], f[U_T] - v
            out, up = cos + f[U_S], sin + f[W_S]
            g[U], g[V] = 0.5 * ((round_t + r) * up - f[V_S] * f[W_T]), 0.5 * ((v - round_r) * up + out * f[W_T])
            g[V_T], g[U_T] = 0.5 * r * up, -0.5 * v * up
            g[W_S], g[V_S] = 0.5 * (r * round_t - v * round_r), -0.5 * r * f[W_T]
            g[U_S], g[W_T] = 0.5 * v * f[W_T], -0.5 * (r * f[V_S] - v * out)
            h[U, U] += up
            h[V, V] += up
            _pair(h, U, V_T, 0.5 * up)
            _pair(h, U, W_S, 0.5 * (round_t + r))
            _pair(h, U, V_S, -0.5 * f[W_T])
            _pair(h, U, W_T, -0.5 * f[V_S])
            _pair(h, V, U_T, -0.5 * up)
            _pair(h, V, W_S, 0.5 * (v - round_r))
            _pair(h, V, U_S, 0.5 * f[W_T])
            _pair(h, V, W_T, 0.5 * out)
            _pair(h, V_T, W_S, 0.5 * r)
            _pair(h, U_T, W_S, -0.5 * v)
            _pair(h, V_S, W_T, -0.5 * r)
            _pair(h, U_S, W_T, 0.5 * v)
    return first, second
