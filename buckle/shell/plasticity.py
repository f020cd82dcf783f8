"""What has flowed, and the tangents that stability is judged by: J2 flow theory and J2 deformation theory.

Stress and plastic strain are the pairs of `points`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.material import Material

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
ROOT3 = float(np.sqrt(3.0))
YIELDING = 1.0 - 1e-6  # of the strength: a stress that counts as at yield


@dataclass(frozen=True)
class PlasticState:
    """History of every layer point."""

    strain: Array  # pair of plastic strain, (2, points, layers)
    equivalent: Array  # equivalent plastic strain, (points, layers)
    stress: Array  # pair of stress [MPa], (2, points, layers)
    place: Array  # of each layer in the wall as it is now, in half thicknesses of the unstrained one, (points, layers)

    @classmethod
    def virgin(cls, place: Array) -> "PlasticState":
        """Return a state without stress or plastic strain whose layers are at their places."""
        pair = np.zeros((2, *place.shape))
        return cls(pair, np.zeros(place.shape), pair, place)


@dataclass(frozen=True)
class Tangent:
    """Symmetric tangent moduli d tau / d e in principal axes [MPa]; `shear` multiplies the in-plane shear angle."""

    d11: Array
    d12: Array
    d22: Array
    shear: Array | float


def loading(material: Material, state: PlasticState, rates: tuple[Array, Array] | None = None) -> Mask:
    """Which points at yield are loaded by their strain rates (e1, e2), (points, layers); all where no rate is given.

    Whether a point flowed in the step that led to the state is no measure of it: in a long step it may have flowed
    first and then begun to unload.
    """
    assert material.hardening is not None
    strength, _ = material.hardening.stress_and_slope(state.equivalent)
    p, d = state.stress
    flows: Mask = np.hypot(p, d) > YIELDING * strength
    if rates is not None:
        bulk, shear = moduli(material)
        flows &= p * bulk * (rates[0] + rates[1]) + d * shear / ROOT3 * (rates[0] - rates[1]) > 0.0
    return flows


def elastic_tangent(material: Material) -> Tangent:
    """Hooke's law in plane stress."""
    stiff = np.array(material.youngs_modulus / (1.0 - material.poissons_ratio**2))
    return Tangent(stiff, material.poissons_ratio * stiff, stiff, material.shear_modulus)


def flow_tangent(material: Material, state: PlasticState, flows: Mask) -> Tangent:
    """Tangent of J2 flow theory at a state, for stability: plastic where it flows."""
    return _tangent(material, state, flows, np.zeros_like(state.equivalent))


def deformation_tangent(material: Material, state: PlasticState, flows: Mask) -> Tangent:
    """Tangent of J2 deformation theory at a state: secant flow y = eps_p / sigma_eq, softer in shear as well."""
    size = np.hypot(*state.stress)
    return _tangent(material, state, flows, state.equivalent / np.maximum(size, 1e-30))


def moduli(material: Material) -> tuple[float, float]:
    """Moduli (bulk, 3 shear) of the stress pair against the strain pair [MPa]."""
    return 0.5 * material.youngs_modulus / (1.0 - material.poissons_ratio), 3.0 * material.shear_modulus


def _tangent(material: Material, state: PlasticState, flows: Mask, secant: Array) -> Tangent:
    """Invert d e = C d s + y (d n) sigma_eq + n d eps_p with n = s / sigma_eq, y = `secant` and n . d s = H d eps_p."""
    assert material.hardening is not None
    (bulk, shear), (p, d) = moduli(material), state.stress
    slope = material.hardening.stress_and_slope(state.equivalent)[1]
    y = np.where(flows, secant, 0.0)
    size = np.maximum(np.hypot(p, d), 1e-30)
    n_p, n_d = p / size, d / size
    q_p, q_d = bulk / (1.0 + bulk * y), shear / (1.0 + shear * y)
    left, part = (q_p * n_p, q_d * n_d), 1.0 - y * slope
    stiff = np.where(flows, slope + part * (n_p * left[0] + n_d * left[1]), 1.0)
    factor = np.where(flows, part / stiff, 0.0)
    pp, pd, dd = q_p - factor * left[0] ** 2, -factor * left[0] * left[1] / ROOT3, (q_d - factor * left[1] ** 2) / 3.0
    return Tangent(pp + dd + 2.0 * pd, pp - dd, pp + dd - 2.0 * pd, q_d / 3.0)
