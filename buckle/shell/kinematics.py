"""Metric of a shell of revolution and its first and second variations, axisymmetric and in wave number n.

A point of the shell is x = x0 + zeta d: mid-surface plus distance times the director, which turns through the finite
angle beta and keeps its length. With h half the thickness and zeta = h xi, the metric of the layer xi is

    C_11 = a11 + 2 xi b11 + xi^2 c11     a11 = x,s.x,s    b11 = h x,s.d,s   c11 = h^2 d,s.d,s
    C_22 = a22 + 2 xi b22 + xi^2 c22     (theta in place of s; C_12 likewise)
    g1 = x,s.d, g2 = x,theta.d           transverse shear, the same through the thickness because d.d = 1

(per ds^2, ds dtheta, dtheta^2). These are the eleven *metrics*; seven are not zero in an axisymmetric state. All of
them are quadratic in (x0, d), so variations are short and exact. Derived here.

Axisymmetric fields at a point: q = (u, u', w', beta, beta'), u radial, w axial, ' = d/ds.
Fields of wave number n: (u, u', w, w', alpha, alpha') cos(n theta) and (v, v', omega, omega') sin(n theta), where
alpha turns the director in the meridian plane and omega tilts it towards e_theta. Averages over theta are scaled so
that cos^2 -> 1; at n = 0 everything reduces to the axisymmetric operator.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.meridian import Station

Array = NDArray[np.float64]

AXISYMMETRIC_FIELDS = ("u", "u'", "w'", "beta", "beta'")
WAVE_FIELDS = ("u", "u'", "w", "w'", "alpha", "alpha'", "v", "v'", "omega", "omega'")


@dataclass(frozen=True)
class State:
    """Deformed axisymmetric geometry at points, arrays (points,)."""

    rho: Array  # radius of the mid-surface
    xr: Array  # x0' radial
    xz: Array  # x0' axial
    tr: Array  # tangent turned with the director
    tz: Array
    dr: Array  # director
    dz: Array
    kappa: Array  # rate of turning of the director
    h: Array  # half thickness
    stretch: Array  # x0' . t
    shear: Array  # x0' . d

    @property
    def metric(self) -> tuple[Array, Array, Array]:
        """Metrics (a11, b11, c11), (a22, b22, c22), both (points, 3), and g1 (points,)."""
        h = self.h
        along = np.stack([self.xr**2 + self.xz**2, -h * self.kappa * self.stretch, (h * self.kappa) ** 2], axis=1)
        around = np.stack([self.rho**2, h * self.rho * self.dr, (h * self.dr) ** 2], axis=1)
        return along, around, self.shear


def deformed(station: Station, q: Array) -> State:
    """Deformed state for the fields q (points, 5) on the reference stations."""
    angle = station.heading + q[:, 3]
    tr, tz = np.cos(angle), np.sin(angle)
    xr, xz = np.cos(station.heading) + q[:, 1], np.sin(station.heading) + q[:, 2]
    return State(
        rho=station.r + q[:, 0],
        xr=xr,
        xz=xz,
        tr=tr,
        tz=tz,
        dr=-tz,
        dz=tr,
        kappa=station.curvature + q[:, 4],
        h=0.5 * station.thickness,
        stretch=xr * tr + xz * tz,
        shear=xz * tr - xr * tz,
    )


def first_variation(x: State) -> Array:
    """Derivative of (a11, b11, c11, a22, b22, c22, g1) by q, (points, 7, 5)."""
    m = np.zeros((len(x.rho), 7, 5))
    h = x.h
    m[:, 0, 1], m[:, 0, 2] = 2.0 * x.xr, 2.0 * x.xz
    m[:, 1, 1], m[:, 1, 2] = -h * x.kappa * x.tr, -h * x.kappa * x.tz
    m[:, 1, 3], m[:, 1, 4] = -h * x.kappa * x.shear, -h * x.stretch
    m[:, 2, 4] = 2.0 * h * h * x.kappa
    m[:, 3, 0] = 2.0 * x.rho
    m[:, 4, 0], m[:, 4, 3] = h * x.dr, -h * x.rho * x.tr
    m[:, 5, 3] = -2.0 * h * h * x.dr * x.tr
    m[:, 6, 1], m[:, 6, 2], m[:, 6, 3] = x.dr, x.dz, -x.stretch
    return m


def second_variation(x: State, force: Array) -> Array:
    """Sum of force times the second derivative of the seven metrics by q, (points, 5, 5); force (points, 7)."""
    pa, pb, pc, ra, rb, rc, g = _scaled(x, force)
    hess = np.zeros((len(x.rho), 5, 5))
    hess[:, 1, 1] = hess[:, 2, 2] = 2.0 * pa
    _pair(hess, 1, 3, -pb * x.kappa * x.dr - g * x.tr)
    _pair(hess, 2, 3, -pb * x.kappa * x.dz - g * x.tz)
    _pair(hess, 1, 4, -pb * x.tr)
    _pair(hess, 2, 4, -pb * x.tz)
    _pair(hess, 3, 4, -pb * x.shear)
    hess[:, 3, 3] = pb * x.kappa * x.stretch - rb * x.rho * x.dr + 2.0 * rc * (x.tr**2 - x.dr**2) - g * x.shear
    hess[:, 4, 4] = 2.0 * pc
    hess[:, 0, 0] = 2.0 * ra
    _pair(hess, 0, 3, -rb * x.tr)
    return hess


def wave_first_variation(x: State) -> tuple[Array, Array, Array, Array]:
    """First variations by the wave fields, each split as m0 + n m1.

    Returns (in m0, in m1) for (a11, b11, c11, a22, b22, c22, g1), varying with cos, shape (points, 7, 10), and
    (out m0, out m1) for (a12, b12, c12, g2), varying with sin, shape (points, 4, 10).
    """
    count, h = len(x.rho), x.h
    in0, in1 = np.zeros((count, 7, 10)), np.zeros((count, 7, 10))
    in0[:, :, [0, 1, 3, 4, 5]] = first_variation(x)
    in1[:, 3, 6] = 2.0 * x.rho
    in1[:, 4, 6], in1[:, 4, 8] = h * x.dr, h * x.rho
    in1[:, 5, 8] = 2.0 * h * h * x.dr
    out0, out1 = np.zeros((count, 4, 10)), np.zeros((count, 4, 10))
    out0[:, 0, 6], out0[:, 0, 7] = -x.xr, x.rho
    out1[:, 0, 0], out1[:, 0, 2] = -x.xr, -x.xz
    out0[:, 1, 6], out0[:, 1, 7] = 0.5 * h * x.kappa * x.tr, 0.5 * h * x.dr
    out0[:, 1, 8], out0[:, 1, 9] = -0.5 * h * x.xr, 0.5 * h * x.rho
    out1[:, 1, 0], out1[:, 1, 2] = 0.5 * h * x.kappa * x.tr, 0.5 * h * x.kappa * x.tz
    out1[:, 1, 4] = 0.5 * h * x.stretch
    out0[:, 2, 8], out0[:, 2, 9] = h * h * x.kappa * x.tr, h * h * x.dr
    out1[:, 2, 4] = -h * h * x.kappa
    out0[:, 3, 6], out0[:, 3, 8] = -x.dr, x.rho
    out1[:, 3, 0], out1[:, 3, 2] = -x.dr, -x.dz
    return in0, in1, out0, out1


def wave_second_variation(x: State, force: Array) -> tuple[Array, Array, Array]:
    """Force times the second derivative of the metrics by the wave fields as k0 + n k1 + n^2 k2, (points, 10, 10)."""
    pa, pb, pc, ra, rb, rc, g = _scaled(x, force)
    k0, k1, k2 = (np.zeros((len(x.rho), 10, 10)) for _ in range(3))
    inner = [0, 1, 3, 4, 5]
    k0[:, np.array(inner)[:, None], inner] = second_variation(x, force)
    k0[:, 7, 7] = 2.0 * pa
    _pair(k0, 7, 9, pb)
    _pair(k0, 7, 8, g)
    _pair(k0, 8, 9, -pb * x.shear)
    k0[:, 9, 9] = 2.0 * pc
    k0[:, 8, 8] = (
        pb * x.kappa * x.stretch - 2.0 * pc * x.kappa**2 - rb * x.rho * x.dr + 2.0 * rc * (1.0 - x.dr**2) - g * x.shear
    )
    k0[:, 6, 6] = 2.0 * ra
    _pair(k0, 6, 8, rb)
    k2[:, 0, 0] = k2[:, 2, 2] = k2[:, 6, 6] = 2.0 * ra
    _pair(k1, 0, 6, 4.0 * ra)
    _pair(k1, 0, 8, 2.0 * rb)
    _pair(k1, 4, 6, -2.0 * rb * x.tr)
    _pair(k1, 4, 8, -4.0 * rc * x.tr)
    _pair(k2, 0, 4, -rb * x.tr)
    _pair(k2, 2, 4, -rb * x.tz)
    _pair(k2, 6, 8, rb)
    k2[:, 4, 4] = k2[:, 8, 8] = 2.0 * rc
    return k0, k1, k2


def enclosed_slopes(station: Station, q: Array) -> tuple[Array, Array]:
    """Axial slope z' and radius of the mid-surface at fields q (points, 5): second derivatives of the swept volume.

    By (u, u) it is z', by (u, w') the radius; all others are nil.
    """
    return np.sin(station.heading) + q[:, 2], station.r + q[:, 0]


def enclosed_variation(station: Station, q: Array) -> Array:
    """Derivative by q of the volume per radian swept left of the walk, (1/2) rho^2 dz, (points, 5)."""
    slope, rho = enclosed_slopes(station, q)
    out = np.zeros_like(q)
    out[:, 0], out[:, 2] = rho * slope, 0.5 * rho * rho
    return out


def wave_enclosed_second_variation(x: State) -> tuple[Array, Array]:
    """Second derivative of the swept volume by the wave fields as k0 + n k1, (points, 10, 10)."""
    k0, k1 = (np.zeros((len(x.rho), 10, 10)) for _ in range(2))
    k0[:, 0, 0] = k0[:, 6, 6] = x.xz
    _pair(k0, 0, 3, x.rho)
    _pair(k1, 0, 6, x.xz)
    _pair(k1, 3, 6, 0.5 * x.rho)
    _pair(k1, 2, 7, 0.5 * x.rho)
    _pair(k1, 2, 6, -0.5 * x.xr)
    return k0, k1


def _scaled(x: State, force: Array) -> tuple[Array, ...]:
    """Forces per metric with the half thickness of b and c put in."""
    h = x.h
    return (
        force[:, 0],
        h * force[:, 1],
        h * h * force[:, 2],
        force[:, 3],
        h * force[:, 4],
        h * h * force[:, 5],
        force[:, 6],
    )


def _pair(matrix: Array, i: int, j: int, value: Array) -> None:
    matrix[:, i, j] += value
    matrix[:, j, i] += value
