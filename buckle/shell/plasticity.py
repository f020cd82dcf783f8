"""What has flowed, and the tangents that stability is judged by: J2 flow theory and J2 deformation theory.

Stress and plastic strain are the pairs of `points`.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.material import Material

Array = NDArray[np.float64]
ROOT3 = float(np.sqrt(3.0))
YIELDING = 1.0 - 1e-6  # of the strength: a stress that counts as at yield


@dataclass(frozen=True)
class PlasticState:
    """History of every layer point."""

    strain: Array  # (2, points, layers) [-] pair of plastic strain
    equivalent: Array  # (points, layers) [-] equivalent plastic strain
    stress: Array  # pair of stress [MPa], (2, points, layers)
    position: Array  # (points, layers) [-] in the wall as it is now, in half thicknesses of the unstrained one
    fresh: Array  # (points, layers) [-] equivalent plastic strain since yield last began

    def at(self, points: slice) -> "PlasticState":
        """The history of some points."""
        return PlasticState(
            self.strain[:, points],
            self.equivalent[points],
            self.stress[:, points],
            self.position[points],
            self.fresh[points],
        )

    @classmethod
    def virgin(cls, position: Array) -> "PlasticState":
        """Return a state without stress or plastic strain whose layers are at positions (points, layers) [-]."""
        pair = np.zeros((2, *position.shape))
        nil = np.zeros(position.shape)
        return cls(pair, nil, pair, position, nil)


@dataclass(frozen=True)
class Tangent:
    """Symmetric tangent moduli d tau / d e (points, layers) [MPa] in principal axes; `shear` by the shear angle."""

    d11: Array
    d12: Array
    d22: Array
    shear: Array | float


def loading(material: Material, state: PlasticState, rates: tuple[Array, Array] | None = None) -> tuple[Array, ...]:
    """Levels (points, layers) that are positive where a layer is at yield, and where its strain rates (e1, e2) load it.

    The first is the stress beyond the strength, counted on as if metal that yields stayed elastic; the second, where
    rates are given, the part of the elastic rate of stress along the flow. Whether a point flowed in the step that led
    to the state is no measure of it: in a long step it may have flowed first and then begun to unload.
    Rates (points, layers) [-]; the first level [MPa], the second [-].
    """
    assert material.hardening is not None
    strength, _ = material.hardening.stress_and_slope(state.equivalent)
    (p, d), (bulk, shear) = state.stress, moduli(material)
    size = np.hypot(p, d)
    beyond = np.where(size > YIELDING * strength, shear * np.maximum(state.fresh, 1e-12), size - strength)
    if rates is None:
        return (beyond,)
    rate_p, rate_d = bulk * (rates[0] + rates[1]), shear / ROOT3 * (rates[0] - rates[1])
    along = (p * rate_p + d * rate_d) / np.maximum(size * np.hypot(rate_p, rate_d), 1e-300)
    return beyond, along


def elastic_tangent(material: Material) -> Tangent:
    """Hooke's law in plane stress."""
    stiff = np.array(material.youngs_modulus / (1.0 - material.poissons_ratio**2))
    return Tangent(stiff, material.poissons_ratio * stiff, stiff, material.shear_modulus)


def moduli(material: Material) -> tuple[float, float]:
    """Moduli (bulk, 3 shear) of the stress pair against the strain pair [MPa]."""
    return 0.5 * material.youngs_modulus / (1.0 - material.poissons_ratio), 3.0 * material.shear_modulus


def plastic_tangent(material: Material, state: PlasticState, flows: Array, softened: float) -> Tangent:
    """Tangent at a state, for stability: plastic in the share of a layer that flows, elastic in the rest.

    With `softened` nil it is that of J2 flow theory, with one that of J2 deformation theory, whose secant flow
    y = eps_p / sigma_eq softens the moduli across the flow, shear among them. Inverts
    d e = C d s + y (d n) sigma_eq + n d eps_p with n = s / sigma_eq and n . d s = H d eps_p.
    Moduli [MPa]; `flows` is that share (points, layers) [-].
    """
    assert material.hardening is not None
    (bulk, shear), (p, d) = moduli(material), state.stress
    slope = material.hardening.stress_and_slope(state.equivalent)[1]
    size = np.maximum(np.hypot(p, d), 1e-30)
    y = softened * state.equivalent / size
    n_p, n_d = p / size, d / size
    q_p, q_d = bulk / (1.0 + bulk * y), shear / (1.0 + shear * y)
    left, part = (q_p * n_p, q_d * n_d), 1.0 - y * slope
    factor = part / np.maximum(slope + part * (n_p * left[0] + n_d * left[1]), 1e-30)
    pp = bulk + flows * (q_p - factor * left[0] ** 2 - bulk)
    pd, dd = -flows * factor * left[0] * left[1] / ROOT3, (shear + flows * (q_d - factor * left[1] ** 2 - shear)) / 3.0
    return Tangent(pp + dd + 2.0 * pd, pp - dd, pp + dd - 2.0 * pd, (shear + flows * (q_d - shear)) / 3.0)
