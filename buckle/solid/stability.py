"""Moduli of a state for its stability: of the rate problem, which steps do not enter.

By J2 flow theory a point at yield that the path loads on has the tangent modulus along the stress deviator and the
elastic shear modulus G across it, and its principal axes turn as the elastic strain b_e makes them. By deformation
theory it is an elastic metal whose shear modulus is the secant one everywhere:

    1/G_s = 1/G + 3 eps_p / sigma_eq,    e = dev tau / (2 G_s)

with the same tangent modulus 1/G_t = 1/G + 3/H along the deviator (Hutchinson 1974, from memory). Every modulus of
deformation theory is the smaller one: G_s <= G, and so is g_ab = D coth(D/G_s) - m with D = (tau_a - tau_b)/2 and
m = (tau_a + tau_b)/2. What is stable by deformation theory is therefore stable by flow theory.
"""

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from buckle.solid import tensors
from buckle.solid.history import History, elastic_strain
from buckle.solid.metal import Metal, Principal, bulk_modulus, isotropic, mises
from buckle.solid.tensors import Axes, inverse

Array = NDArray[np.float64]
Theory = Literal["flow", "deformation"]
AT_YIELD = 1e-6  # of the strength: how far below it a point counts as at yield


def state_moduli(metal: Metal, F: Array, onward: Array, history: History, theory: Theory) -> tuple[Principal, Axes]:
    """Stress and moduli of a state with gradients F that goes on by dF = `onward`, both (5, points), and their axes.

    F and dF [-], moduli [MPa].
    """
    strain, axes = elastic_strain(F, history, tensors)
    hardening = metal.material.hardening
    if not metal.flows or hardening is None:
        return metal.answer(strain, history.worked).principal, axes
    shear, volume = metal.material.shear_modulus, strain.sum(axis=0)
    deviator = 2.0 * shear * (strain - volume / 3.0)
    stress = deviator + bulk_modulus(metal.material) * volume
    size = mises(deviator)
    strength, slope = hardening.stress_and_slope(history.worked)
    loads = np.sum(deviator * _strain_rate(F, axes, onward), axis=0) > 0.0
    flowing = (size > (1.0 - AT_YIELD) * strength) & loads
    along = np.where(flowing, shear * slope / (3.0 * shear + slope), shear)
    secant = shear / (1.0 + 3.0 * shear * history.worked / strength)
    across = np.where(flowing & (theory == "deformation"), secant, shear)
    return isotropic(metal.material, stress, across, along), axes


def _strain_rate(F: Array, axes: Axes, dF: Array) -> Array:
    """Stretching (3, points) along the principal axes: the diagonal of dF F^-1."""
    Rr, Rz, Zr, Zz, Tt = inverse(F)
    drR, drZ, dzR, dzZ, dtT = dF
    rr, rz = drR * Rr + drZ * Zr, drR * Rz + drZ * Zz
    zr, zz = dzR * Rr + dzZ * Zr, dzR * Rz + dzZ * Zz
    c, s = axes.cos, axes.sin
    cross = (rz + zr) * c * s
    return np.stack([rr * c * c + zz * s * s + cross, rr * s * s + zz * c * c - cross, dtT * Tt])
