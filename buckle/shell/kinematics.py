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
from buckle.shell.numbering import IN_WAVE
from buckle.shell.numbering import FieldRow as Q
from buckle.shell.numbering import MetricRow as M
from buckle.shell.numbering import TwistRow as T
from buckle.shell.numbering import WaveRow as W

Array = NDArray[np.float64]


@dataclass(frozen=True)
class State:
    """Deformed axisymmetric geometry at points, arrays (points,)."""

    rho: Array  # [mm] radius of the mid-surface
    xr: Array  # [-] x0' radial
    xz: Array  # [-] x0' axial
    tr: Array  # [-] tangent turned with the director
    tz: Array  # [-]
    dr: Array  # [-] director
    dz: Array  # [-]
    kappa: Array  # [rad/mm] rate of turning of the director
    h: Array  # [mm] half thickness
    stretch: Array  # [-] x0' . t
    shear: Array  # [-] x0' . d

    @property
    def metric(self) -> tuple[Array, Array, Array]:
        """Metrics (a11, b11, c11), (a22, b22, c22), both (points, 3) [-, mm2], and g1 (points,) [-]."""
        h = self.h
        along = np.stack([self.xr**2 + self.xz**2, -h * self.kappa * self.stretch, (h * self.kappa) ** 2], axis=1)
        around = np.stack([self.rho**2, h * self.rho * self.dr, (h * self.dr) ** 2], axis=1)
        return along, around, self.shear


def deformed(station: Station, q: Array) -> State:
    """Deformed state for the fields q (points, 5) [mm, -, rad, rad/mm] on the reference stations."""
    angle = station.heading + q[:, Q.BETA]
    tr, tz = np.cos(angle), np.sin(angle)
    xr, xz = np.cos(station.heading) + q[:, Q.U_S], np.sin(station.heading) + q[:, Q.W_S]
    return State(
        rho=station.r + q[:, Q.U],
        xr=xr,
        xz=xz,
        tr=tr,
        tz=tz,
        dr=-tz,
        dz=tr,
        kappa=station.curvature + q[:, Q.BETA_S],
        h=0.5 * station.thickness,
        stretch=xr * tr + xz * tz,
        shear=xz * tr - xr * tz,
    )


def first_variation(at: State) -> Array:
    """Derivative of (a11, b11, c11, a22, b22, c22, g1) by q, (points, 7, 5).

    Metrics [-, mm2] by fields [mm, -, rad, rad/mm].
    """
    m = np.zeros((len(at.rho), len(M), len(Q)))
    h = at.h
    m[:, M.A11, Q.U_S], m[:, M.A11, Q.W_S] = 2.0 * at.xr, 2.0 * at.xz
    m[:, M.B11, Q.U_S], m[:, M.B11, Q.W_S] = -h * at.kappa * at.tr, -h * at.kappa * at.tz
    m[:, M.B11, Q.BETA], m[:, M.B11, Q.BETA_S] = -h * at.kappa * at.shear, -h * at.stretch
    m[:, M.C11, Q.BETA_S] = 2.0 * h * h * at.kappa
    m[:, M.A22, Q.U] = 2.0 * at.rho
    m[:, M.B22, Q.U], m[:, M.B22, Q.BETA] = h * at.dr, -h * at.rho * at.tr
    m[:, M.C22, Q.BETA] = -2.0 * h * h * at.dr * at.tr
    m[:, M.G1, Q.U_S], m[:, M.G1, Q.W_S], m[:, M.G1, Q.BETA] = at.dr, at.dz, -at.stretch
    return m


def second_variation(at: State, force: Array) -> Array:
    """Sum of force times the second derivative of the seven metrics by q, (points, 5, 5); force (points, 7).

    Force is energy [N mm] by metrics [-, mm2], the result by fields [mm, -, rad, rad/mm], twice.
    """
    pa, pb, pc, ra, rb, rc, g = _scaled(at, force)
    hess = np.zeros((len(at.rho), len(Q), len(Q)))
    hess[:, Q.U_S, Q.U_S] = hess[:, Q.W_S, Q.W_S] = 2.0 * pa
    _pair(hess, Q.U_S, Q.BETA, -pb * at.kappa * at.dr - g * at.tr)
    _pair(hess, Q.W_S, Q.BETA, -pb * at.kappa * at.dz - g * at.tz)
    _pair(hess, Q.U_S, Q.BETA_S, -pb * at.tr)
    _pair(hess, Q.W_S, Q.BETA_S, -pb * at.tz)
    _pair(hess, Q.BETA, Q.BETA_S, -pb * at.shear)
    hess[:, Q.BETA, Q.BETA] = (
        pb * at.kappa * at.stretch - rb * at.rho * at.dr + 2.0 * rc * (at.tr**2 - at.dr**2) - g * at.shear
    )
    hess[:, Q.BETA_S, Q.BETA_S] = 2.0 * pc
    hess[:, Q.U, Q.U] = 2.0 * ra
    _pair(hess, Q.U, Q.BETA, -rb * at.tr)
    return hess


def wave_first_variation(at: State) -> tuple[Array, Array, Array, Array]:
    """First variations by the wave fields, each split as m0 + n m1.

    Returns (in m0, in m1) for (a11, b11, c11, a22, b22, c22, g1), varying with cos, shape (points, 7, 10), and
    (out m0, out m1) for (a12, b12, c12, g2), varying with sin, shape (points, 4, 10).
    Metrics [-, mm, mm2] by fields [mm, -, rad, rad/mm].
    """
    count, h = len(at.rho), at.h
    in0, in1 = np.zeros((count, len(M), len(W))), np.zeros((count, len(M), len(W)))
    in0[:, :, IN_WAVE] = first_variation(at)
    in1[:, M.A22, W.V] = 2.0 * at.rho
    in1[:, M.B22, W.V], in1[:, M.B22, W.OMEGA] = h * at.dr, h * at.rho
    in1[:, M.C22, W.OMEGA] = 2.0 * h * h * at.dr
    out0, out1 = np.zeros((count, len(T), len(W))), np.zeros((count, len(T), len(W)))
    out0[:, T.A12, W.V], out0[:, T.A12, W.V_S] = -at.xr, at.rho
    out1[:, T.A12, W.U], out1[:, T.A12, W.W] = -at.xr, -at.xz
    out0[:, T.B12, W.V], out0[:, T.B12, W.V_S] = 0.5 * h * at.kappa * at.tr, 0.5 * h * at.dr
    out0[:, T.B12, W.OMEGA], out0[:, T.B12, W.OMEGA_S] = -0.5 * h * at.xr, 0.5 * h * at.rho
    out1[:, T.B12, W.U], out1[:, T.B12, W.W] = 0.5 * h * at.kappa * at.tr, 0.5 * h * at.kappa * at.tz
    out1[:, T.B12, W.ALPHA] = 0.5 * h * at.stretch
    out0[:, T.C12, W.OMEGA], out0[:, T.C12, W.OMEGA_S] = h * h * at.kappa * at.tr, h * h * at.dr
    out1[:, T.C12, W.ALPHA] = -h * h * at.kappa
    out0[:, T.G2, W.V], out0[:, T.G2, W.OMEGA] = -at.dr, at.rho
    out1[:, T.G2, W.U], out1[:, T.G2, W.W] = -at.dr, -at.dz
    return in0, in1, out0, out1


def wave_second_variation(at: State, force: Array) -> tuple[Array, Array, Array]:
    """Force times the second derivative of the metrics by the wave fields as k0 + n k1 + n^2 k2, (points, 10, 10).

    Force (points, 7) is energy [N mm] by metrics [-, mm2], the result by fields [mm, -, rad, rad/mm], twice.
    """
    pa, pb, pc, ra, rb, rc, g = _scaled(at, force)
    k0, k1, k2 = (np.zeros((len(at.rho), len(W), len(W))) for _ in range(3))
    k0[:, np.array(IN_WAVE)[:, None], IN_WAVE] = second_variation(at, force)
    k0[:, W.V_S, W.V_S] = 2.0 * pa
    _pair(k0, W.V_S, W.OMEGA_S, pb)
    _pair(k0, W.V_S, W.OMEGA, g)
    _pair(k0, W.OMEGA, W.OMEGA_S, -pb * at.shear)
    k0[:, W.OMEGA_S, W.OMEGA_S] = 2.0 * pc
    k0[:, W.OMEGA, W.OMEGA] = (
        pb * at.kappa * at.stretch
        - 2.0 * pc * at.kappa**2
        - rb * at.rho * at.dr
        + 2.0 * rc * (1.0 - at.dr**2)
        - g * at.shear
    )
    k0[:, W.V, W.V] = 2.0 * ra
    _pair(k0, W.V, W.OMEGA, rb)
    k2[:, W.U, W.U] = k2[:, W.W, W.W] = k2[:, W.V, W.V] = 2.0 * ra
    _pair(k1, W.U, W.V, 4.0 * ra)
    _pair(k1, W.U, W.OMEGA, 2.0 * rb)
    _pair(k1, W.ALPHA, W.V, -2.0 * rb * at.tr)
    _pair(k1, W.ALPHA, W.OMEGA, -4.0 * rc * at.tr)
    _pair(k2, W.U, W.ALPHA, -rb * at.tr)
    _pair(k2, W.W, W.ALPHA, -rb * at.tz)
    _pair(k2, W.V, W.OMEGA, rb)
    k2[:, W.ALPHA, W.ALPHA] = k2[:, W.OMEGA, W.OMEGA] = 2.0 * rc
    return k0, k1, k2


def enclosed_slopes(station: Station, q: Array) -> tuple[Array, Array]:
    """Axial slope z' and radius of the mid-surface at fields q (points, 5): second derivatives of the swept volume.

    By (u, u) it is z', by (u, w') the radius; all others are nil.
    z' [-] and radius [mm], each (points,).
    """
    return np.sin(station.heading) + q[:, Q.W_S], station.r + q[:, Q.U]


def enclosed_variation(station: Station, q: Array) -> Array:
    """Derivative by q of the volume per radian swept left of the walk, (1/2) rho^2 dz, (points, 5) [mm, mm2]."""
    slope, rho = enclosed_slopes(station, q)
    out = np.zeros_like(q)
    out[:, Q.U], out[:, Q.W_S] = rho * slope, 0.5 * rho * rho
    return out


def wave_enclosed_second_variation(at: State) -> tuple[Array, Array]:
    """Second derivative of the swept volume by the wave fields as k0 + n k1, (points, 10, 10) [-, mm]."""
    k0, k1 = (np.zeros((len(at.rho), len(W), len(W))) for _ in range(2))
    k0[:, W.U, W.U] = k0[:, W.V, W.V] = at.xz
    _pair(k0, W.U, W.W_S, at.rho)
    _pair(k1, W.U, W.V, at.xz)
    _pair(k1, W.W_S, W.V, 0.5 * at.rho)
    _pair(k1, W.W, W.V_S, 0.5 * at.rho)
    _pair(k1, W.W, W.V, -0.5 * at.xr)
    return k0, k1


def _scaled(at: State, force: Array) -> tuple[Array, ...]:
    """Forces per metric with the half thickness of b and c put in."""
    h = at.h
    return (
        force[:, M.A11],
        h * force[:, M.B11],
        h * h * force[:, M.C11],
        force[:, M.A22],
        h * force[:, M.B22],
        h * h * force[:, M.C22],
        force[:, M.G1],
    )


def _pair(matrix: Array, i: int, j: int, value: Array) -> None:
    matrix[:, i, j] += value
    matrix[:, j, i] += value
