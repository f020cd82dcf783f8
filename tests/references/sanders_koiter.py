"""A second opinion that shares no code with the package: a cylinder in waves by the shell theory of Sanders and Koiter.

u = U cos(a x) cos(n theta), v = V sin(a x) sin(n theta), w = W sin(a x) cos(n theta), a = pi / L, w outward: ends with
w = v = N_x = M_x = 0. Strains and changes of curvature of J. L. Sanders, 1959 and 1963, and W. T. Koiter, 1960 (from
memory); a membrane state before buckling, N_theta = -p R, N_x = N - p R / 2 (closed ends) or N; the pressure follows
the wall: its energy is p times the second-order part of the volume enclosed, written out below and derived here. Every
strain is a row of three numbers, since each goes with one product of sine and cosine whose mean square is the same.
"""

import numpy as np
from scipy.linalg import eig

MOST_WAVES = 30
MOST_HALVES = 60


def critical_pressure(radius, thickness, length, nu, *, closed, axial=0.0):
    """Least p / E and its n, from 1 wave up; `axial` is N / E at the ends, tension positive, held constant."""
    found = [(_pressure(radius, thickness, length, nu, n, closed, axial), n) for n in range(1, MOST_WAVES)]
    return min(found)


def critical_axial(radius, thickness, length, nu, *, closed=False, pressure=0.0, waves=range(MOST_WAVES)):
    """Largest N / E (compression negative) that is critical, its n, and the half waves m along the length.

    `pressure` is p / E from outside, held constant: negative from inside. Ends are open, or N leaves out the thrust.
    """
    found = [
        (_axial(radius, thickness, length / m, nu, n, closed, pressure), n, m)
        for n in waves
        for m in range(1, MOST_HALVES)
    ]
    return max(found)


def _axial(radius, thickness, length, nu, n, closed, pressure):
    stiffness, by_axial, loss = _parts(radius, thickness, length, nu, n, closed)
    values = eig(stiffness - pressure * loss, by_axial)[0]
    return max((-value.real for value in values if np.isfinite(value) and value.real > 0.0), default=-np.inf)


def _pressure(radius, thickness, length, nu, n, closed, axial):
    stiffness, by_axial, loss = _parts(radius, thickness, length, nu, n, closed)
    values = eig(stiffness + axial * by_axial, loss)[0]
    return min((value.real for value in values if np.isfinite(value) and value.real > 0.0), default=np.inf)


def _parts(radius, thickness, length, nu, n, closed):
    """Stiffness of half a wave, what it gains by axial tension of one, what it loses by external pressure of one."""
    a, k = np.pi / length, n / radius
    U, V, W = np.eye(3)
    along, around, shear = -a * U, k * V + W / radius, a * V - k * U
    bent_along, bent_around = a**2 * W, k**2 * W + k * V / radius
    twisted = a * k * W + 0.75 * a * V / radius + 0.25 * k * U / radius
    tilt_along, tilt_around, spin = a * W, -k * W - V / radius, 0.5 * (a * V + k * U)
    membrane, bending = thickness / (1.0 - nu**2), thickness**3 / (12.0 * (1.0 - nu**2))
    stiffness = membrane * (
        _product(along, along)
        + _product(around, around)
        + 2.0 * nu * _product(along, around)
        + 0.5 * (1.0 - nu) * _product(shear, shear)
    ) + bending * (
        _product(bent_along, bent_along)
        + _product(bent_around, bent_around)
        + 2.0 * nu * _product(bent_along, bent_around)
        + 2.0 * (1.0 - nu) * _product(twisted, twisted)
    )
    by_axial = _product(tilt_along, tilt_along) + _product(spin, spin)
    by_around = _product(tilt_around, tilt_around) + _product(spin, spin)
    loss = radius * by_around + 0.5 * radius * closed * by_axial - _volume(radius, a, n)
    return stiffness, by_axial, loss


def _volume(radius, a, n):
    """Twice the second-order part of the enclosed volume, by area of the mid-surface.

    (w^2 + w v_t - v w_t + v^2 + (2 R w + R v_t) u_x - R v_x u_t) / R, where _t is the derivative by theta: the normal
    component of (r x r_t), r in the plane of the section, and its change along x.
    """
    U, V, W = np.eye(3)
    v_t, w_t, u_t = n * V, -n * W, -n * U
    in_plane = _product(W, W) + _product(W, v_t) - _product(V, w_t) + _product(V, V)
    stretched = _product(2.0 * radius * W + radius * v_t, -a * U) - radius * _product(a * V, u_t)
    return (in_plane + stretched) / radius


def _product(one, other):
    return 0.5 * (np.outer(one, other) + np.outer(other, one))
