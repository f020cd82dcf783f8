"""Strain of the layers of a waved wall, and what their stress and moduli are by the metrics; compiled.

In a wave the principal axes of a layer turn, so that strain is a tensor: a function of the stretch U of the layer in
its surface, ln U ("logarithmic") or U - 1 ("engineering"), exact for any strain. With C = U^2 by its half sum m, half
difference p and off-diagonal q, and D = p^2 + q^2,

    e_11 + e_22 = F(m, D)     e_11 - e_22 = G(m, D) p     2 e_12 = G(m, D) q

    ln U:   F = (1/2) ln(m^2 - D)    G = artanh(d)/(m d), d^2 = D/m^2
    U - 1:  F = 2 M - 2              G = 1/M, M^2 = (m + (m^2 - D)^(1/2))/2

so that first and second derivatives are short and without a case for equal stretches (derived here). C is referred to
the metric of the unstrained wall, waved by its deviation, whose own length along s and breadth across it are one.
Stress is conjugate to this strain: the triple (p, 3^(1/2) d, 3^(1/2) tau_12) goes with (e_11 + e_22,
(e_11 - e_22)/3^(1/2), 2 e_12/3^(1/2)), as the pairs of `shell.points` do.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckle.shell.compiled import njit
from buckle.shell.points import LOGARITHMIC as LOG
from buckle.waves.numbering import WavedRow

Array = NDArray[np.float64]

A11, B11, C11, A22, B22, C22, A12, B12, C12 = map(int, list(WavedRow)[:9])
LOGARITHMIC = LOG
ROOT3 = math.sqrt(3.0)
SERIES = 0.02
"""Of D/m^2: below it the series of artanh is summed, above it closed forms lose no more than six digits of sixteen in
second derivatives."""
TERMS = 10


class Reference(NamedTuple):
    """Unstrained metric of the layer points, (points, angles, layers) each, and the volume that each stands for."""

    along: Array  # [-] one over the length per unit of s
    across: Array  # [1/mm] one over the breadth, normal to that, per radian
    lean: Array  # [mm] C_12 / C_11
    weight: Array  # [mm3] per radian, by each of the angles


@njit(cache=True, error_model="numpy")
def strains(measure: int, metrics: Array, reference: Reference, position: Array) -> tuple[Array, bool]:
    """Strain triples of all layers, (3, points, angles, layers) [-]; False where the wall is turned inside out.

    Metrics (points, angles, 11) [-, mm, mm2], positions (points, angles, layers) [-].
    """
    count, angles, layers = position.shape
    out = np.empty((3, count, angles, layers))
    for i in range(count):
        for j in range(angles):
            for k in range(layers):
                m, p, q = _referred(metrics[i, j], reference, (i, j, k), position[i, j, k])
                if not (m > 0.0 and m * m - p * p - q * q > 0.0):
                    return out, False
                f, g = _values(measure, m, p * p + q * q)
                out[0, i, j, k], out[1, i, j, k], out[2, i, j, k] = f, g * p / ROOT3, g * q / ROOT3
    return out, True


@njit(cache=True, error_model="numpy")
def _referred(a: Array, reference: Reference, at: tuple[int, int, int], xi: float) -> tuple[float, float, float]:
    """Metric of a layer referred to the unstrained one: half sum, half difference, off-diagonal."""
    c11 = a[A11] + xi * (2.0 * a[B11] + xi * a[C11])
    c22 = a[A22] + xi * (2.0 * a[B22] + xi * a[C22])
    c12 = a[A12] + xi * (2.0 * a[B12] + xi * a[C12])
    along, across, lean = reference.along[at], reference.across[at], reference.lean[at]
    first = c11 * along * along
    second = (c22 - lean * (2.0 * c12 - lean * c11)) * across * across
    return 0.5 * (first + second), 0.5 * (first - second), (c12 - lean * c11) * along * across


@njit(cache=True, error_model="numpy")
def _values(measure: int, m: float, d: float) -> tuple[float, float]:
    """F and G."""
    left = m * m - d
    if measure == LOGARITHMIC:
        return 0.5 * math.log(left), _artanh(d / (m * m))[0] / m
    mean = math.sqrt(0.5 * (m + math.sqrt(left)))
    return 2.0 * mean - 2.0, 1.0 / mean


@njit(cache=True, error_model="numpy")
def _artanh(y: float) -> tuple[float, float, float]:
    """artanh(x)/x of y = x^2, and its first two derivatives by y."""
    if y < SERIES:
        value, slope, bend = 0.0, 0.0, 0.0
        for n in range(TERMS, -1, -1):
            bend = bend * y + 2.0 * slope
            slope = slope * y + value
            value = value * y + 1.0 / (2 * n + 1)
        return value, slope, bend
    x, left = math.sqrt(y), 1.0 / (1.0 - y)
    value = math.atanh(x) / x
    slope = 0.5 * (left - value) / y
    return value, slope, 0.5 * (left * left - 3.0 * slope) / y


@njit(cache=True, error_model="numpy")
def _derivatives(measure: int, m: float, d: float) -> tuple[Array, Array]:
    """(value, by m, by D, by m twice, by m and D, by D twice) of F and of G."""
    f, g, left = np.empty(6), np.empty(6), m * m - d
    if measure == LOGARITHMIC:
        y = d / (m * m)
        h, slope, bend = _artanh(y)
        f[0], f[1], f[2] = 0.5 * math.log(left), m / left, -0.5 / left
        f[3], f[4], f[5] = 1.0 / left - 2.0 * m * m / (left * left), m / (left * left), -0.5 / (left * left)
        g[0], g[1], g[2] = h / m, -(h + 2.0 * y * slope) / m**2, slope / m**3
        g[3], g[4] = (2.0 * h + y * (10.0 * slope + 4.0 * y * bend)) / m**3, -(3.0 * slope + 2.0 * y * bend) / m**4
        g[5] = bend / m**5
        return f, g
    root = math.sqrt(left)
    mean = math.sqrt(0.5 * (m + root))
    by_m, by_d = (1.0 + m / root) / (4.0 * mean), -1.0 / (8.0 * root * mean)
    mm = ((1.0 / root - m * m / root**3) / 4.0 - by_m * by_m) / mean
    md = (m / (8.0 * root**3) - by_m * by_d) / mean
    dd = (-1.0 / (16.0 * root**3) - by_d * by_d) / mean
    f[0], f[1], f[2], f[3], f[4], f[5] = 2.0 * mean - 2.0, 2.0 * by_m, 2.0 * by_d, 2.0 * mm, 2.0 * md, 2.0 * dd
    s, c = mean**2, 2.0 / mean**3
    g[0], g[1], g[2] = 1.0 / mean, -by_m / s, -by_d / s
    g[3], g[4], g[5] = c * by_m * by_m - mm / s, c * by_m * by_d - md / s, c * by_d * by_d - dd / s
    return f, g


@njit(cache=True, error_model="numpy")
def sums(measure: int, metrics: Array, reference: Reference, state: tuple[Array, Array, Array]) -> tuple[Array, Array]:
    """Forces by the metrics, (points, angles, 11), and moments of the moduli, (points, angles, 3, 3, 5).

    `state` holds the layers' positions (points, angles, layers) [-], stress triples (3, points, angles, layers) [MPa]
    and moduli (points, angles, layers, 3, 3) [MPa] by the strain triples. The moments, sums of xi^0 to xi^4, are those
    of the second derivatives of energy by (C_11, C_22, C_12), the bending of the strain measure counted in.
    """
    position, stress, moduli = state
    count, angles, layers = position.shape
    force, moments = np.zeros((count, angles, 11)), np.zeros((count, angles, 3, 3, 5))
    by_c, bent, to_c = np.empty(3), np.empty((3, 3)), np.empty((3, 3))
    for i in range(count):
        for j in range(angles):
            for k in range(layers):
                xi, weight = position[i, j, k], reference.weight[i, j, k]
                m, p, q = _referred(metrics[i, j], reference, (i, j, k), xi)
                s = (stress[0, i, j, k], stress[1, i, j, k] / ROOT3, stress[2, i, j, k] / ROOT3)
                _by_stretch(measure, (m, p, q), s, moduli[i, j, k], (by_c, bent))
                _to_metric(reference.along[i, j, k], reference.across[i, j, k], reference.lean[i, j, k], to_c)
                _add(weight, xi, (by_c, bent, to_c), (force[i, j], moments[i, j]))
    return force, moments


@njit(cache=True, error_model="numpy")
def _by_stretch(
    measure: int, at: tuple[float, float, float], s: tuple[float, float, float], moduli: Array, out: tuple[Array, Array]
) -> None:
    """Derivatives of the energy of a layer by m, p and q: first (3,) and second (3, 3)."""
    (m, p, q), (by_c, bent) = at, out
    f, g = _derivatives(measure, m, p * p + q * q)
    e = np.empty((3, 3))
    e[0, 0], e[0, 1], e[0, 2] = f[1], 2.0 * p * f[2], 2.0 * q * f[2]
    e[1, 0], e[1, 1], e[1, 2] = p * g[1], g[0] + 2.0 * p * p * g[2], 2.0 * p * q * g[2]
    e[2, 0], e[2, 1], e[2, 2] = q * g[1], 2.0 * p * q * g[2], g[0] + 2.0 * q * q * g[2]
    along = s[1] * p + s[2] * q
    bent[0, 0] = s[0] * f[3] + along * g[3]
    bent[0, 1] = 2.0 * p * (s[0] * f[4] + along * g[4]) + s[1] * g[1]
    bent[0, 2] = 2.0 * q * (s[0] * f[4] + along * g[4]) + s[2] * g[1]
    level, curve = 2.0 * (s[0] * f[2] + along * g[2]), 4.0 * (s[0] * f[5] + along * g[5])
    bent[1, 1] = level + p * (p * curve + 4.0 * s[1] * g[2])
    bent[2, 2] = level + q * (q * curve + 4.0 * s[2] * g[2])
    bent[1, 2] = p * q * curve + 2.0 * g[2] * (p * s[2] + q * s[1])
    bent[1, 0], bent[2, 0], bent[2, 1] = bent[0, 1], bent[0, 2], bent[1, 2]
    for a in range(3):
        by_c[a] = s[0] * e[0, a] + s[1] * e[1, a] + s[2] * e[2, a]
    for row in range(3):
        scale = 1.0 if row == 0 else 1.0 / ROOT3
        for b in range(3):
            value = scale * (moduli[row, 0] * e[0, b] + (moduli[row, 1] * e[1, b] + moduli[row, 2] * e[2, b]) / ROOT3)
            for a in range(3):
                bent[a, b] += e[row, a] * value


@njit(cache=True, error_model="numpy")
def _to_metric(along: float, across: float, lean: float, out: Array) -> None:
    """Derivative of (m, p, q) by (C_11, C_22, C_12), (3, 3)."""
    first, second = 0.5 * along * along, 0.5 * across * across
    out[0, 0], out[0, 1], out[0, 2] = first + lean * lean * second, second, -2.0 * lean * second
    out[1, 0], out[1, 1], out[1, 2] = first - lean * lean * second, -second, 2.0 * lean * second
    out[2, 0], out[2, 1], out[2, 2] = -lean * along * across, 0.0, along * across


@njit(cache=True, error_model="numpy")
def _add(weight: float, xi: float, layer: tuple[Array, Array, Array], out: tuple[Array, Array]) -> None:
    """Add a layer to the forces by the metrics and to the moments."""
    (by_c, bent, to_c), (force, moments) = layer, out
    half = np.empty((3, 3))
    for a in range(3):
        total = weight * (by_c[0] * to_c[0, a] + by_c[1] * to_c[1, a] + by_c[2] * to_c[2, a])
        force[3 * a] += total
        force[3 * a + 1] += 2.0 * xi * total
        force[3 * a + 2] += xi * xi * total
        for b in range(3):
            half[a, b] = bent[a, 0] * to_c[0, b] + bent[a, 1] * to_c[1, b] + bent[a, 2] * to_c[2, b]
    for a in range(3):
        for b in range(3):
            value = weight * (to_c[0, a] * half[0, b] + to_c[1, a] * half[1, b] + to_c[2, a] * half[2, b])
            for power in range(5):
                moments[a, b, power] += value
                value *= xi
