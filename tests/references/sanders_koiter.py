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


def critical_pressure(radius, thickness, length, nu, *, closed, axial=0.0):
    """Least p / E and its n, from 1 wave up; `axial` is N / E at the ends, tension positive, held constant."""
    found = [(_pressure(radius, thickness, length, nu, n, closed, axial), n) for n in range(1, MOST_WAVES)]
    return min(found)


def _pressure(radius, thickness, length, nu, n, closed, axial):
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
    values = eig(stiffness + axial * by_axial, loss)[0]
    return min((value.real for value in values if np.isfinite(value) and value.real > 0.0), default=np.inf)


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
