"""J2 plasticity in plane stress with fixed principal axes, by backward Euler.

Stress is split into mean p = (tau_1 + tau_2)/2 and half difference d = (tau_1 - tau_2)/2, strain into their conjugates
e_1 + e_2 and e_1 - e_2. Then elasticity and flow are diagonal and the equivalent stress is sqrt(p^2 + 3 d^2).
Stress is Kirchhoff stress and strain is logarithmic (or engineering strain in a linear analysis). Source of the
return: derived here; the same spectral split is in Simo and Taylor 1986 (from memory).
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.errors import SolveError
from buckle.material import Hardening, Material

Array = NDArray[np.float64]


@dataclass(frozen=True)
class PlasticState:
    """History of every layer point, arrays (points, layers)."""

    sum: Array  # plastic part of e_1 + e_2
    difference: Array  # plastic part of e_1 - e_2
    equivalent: Array  # equivalent plastic strain

    @classmethod
    def virgin(cls, shape: tuple[int, int]) -> "PlasticState":
        """Return a state without plastic strain."""
        zero = np.zeros(shape)
        return cls(zero, zero, zero)


@dataclass(frozen=True)
class Tangent:
    """Tangent moduli d tau / d e in principal axes [MPa]; `shear` multiplies the in-plane shear angle."""

    d11: Array
    d12: Array
    d22: Array
    shear: Array | float


@dataclass(frozen=True)
class Layer:
    """Answer of all layer points to a strain: stresses [MPa], tangent and new history."""

    tau1: Array
    tau2: Array
    tangent: Tangent
    state: PlasticState | None
    active: NDArray[np.bool_] | None  # where plastic flow took place in this step


def elastic_layer(material: Material, e1: Array, e2: Array) -> Layer:
    """Plane-stress Hooke's law in the strains (e1, e2)."""
    stiff = material.youngs_modulus / (1.0 - material.poissons_ratio**2)
    cross = material.poissons_ratio * stiff
    ones = np.ones_like(e1)
    tangent = Tangent(stiff * ones, cross * ones, stiff * ones, material.shear_modulus)
    return Layer(stiff * e1 + cross * e2, cross * e1 + stiff * e2, tangent, None, None)


def plastic_layer(material: Material, e1: Array, e2: Array, old: PlasticState) -> Layer:
    """Backward-Euler step from the history `old` to the total strains (e1, e2); raises SolveError if it cannot."""
    assert material.hardening is not None
    bulk, shear = _moduli(material)
    p = bulk * (e1 + e2 - old.sum)
    d = shear * (e1 - e2 - old.difference)
    trial = np.sqrt(p * p + 3.0 * d * d)
    strength, slope = material.hardening.stress_and_slope(old.equivalent)
    active = trial > strength
    flow = np.zeros_like(trial)  # y = increment of plastic strain / equivalent stress
    step, equivalent = np.zeros_like(trial), old.equivalent
    if active.any():
        flow[active], step[active], slope[active] = _return(
            material.hardening, bulk, shear, p[active], d[active], old.equivalent[active]
        )
        equivalent = old.equivalent + step
        p = p / (1.0 + bulk * flow)
        d = d / (1.0 + 3.0 * shear * flow)
    state = PlasticState(old.sum + flow * p, old.difference + 3.0 * flow * d, equivalent)
    tangent = _tangent(material, p, d, flow, slope, active)
    return Layer(p + d, p - d, tangent, state, active)


def continuum_tangent(material: Material, layer: Layer) -> Tangent:
    """Tangent of J2 flow theory at a state, for stability: plastic where the step flowed."""
    p, d, slope = _spot(material, layer)
    assert layer.active is not None
    return _tangent(material, p, d, np.zeros_like(p), slope, layer.active)


def deformation_tangent(material: Material, layer: Layer) -> Tangent:
    """Tangent of J2 deformation theory at a state: secant flow y = eps_p / sigma_eq, softer in shear as well."""
    p, d, slope = _spot(material, layer)
    assert layer.active is not None
    assert layer.state is not None
    flow = np.where(layer.active, layer.state.equivalent / np.sqrt(p * p + 3.0 * d * d), 0.0)
    return _tangent(material, p, d, flow, slope, layer.active)


def _moduli(material: Material) -> tuple[float, float]:
    """Moduli of p against e1 + e2 and of d against e1 - e2 [MPa]."""
    return 0.5 * material.youngs_modulus / (1.0 - material.poissons_ratio), material.shear_modulus


def _spot(material: Material, layer: Layer) -> tuple[Array, Array, Array]:
    assert layer.state is not None
    assert material.hardening is not None
    slope = material.hardening.stress_and_slope(layer.state.equivalent)[1]
    return 0.5 * (layer.tau1 + layer.tau2), 0.5 * (layer.tau1 - layer.tau2), slope


def _return(
    hardening: Hardening, bulk: float, shear: float, p: Array, d: Array, old: Array
) -> tuple[Array, Array, Array]:
    """Solve sigma_eq(y) = strength(old + y sigma_eq) for y; returns y, the strain increment and the slope."""
    y = np.zeros_like(p)
    for _ in range(40):
        a, b = 1.0 / (1.0 + bulk * y), 1.0 / (1.0 + 3.0 * shear * y)
        pa, db = (p * a) ** 2, 3.0 * (d * b) ** 2
        equivalent = np.sqrt(pa + db)
        falling = -(bulk * a * pa + 3.0 * shear * b * db) / equivalent
        strength, slope = hardening.stress_and_slope(old + y * equivalent)
        error = equivalent - strength
        # Newton on an increasing, nearly straight form: dividing by y's own scale keeps the start y = 0 safe.
        change = error / (slope * (equivalent + y * falling) - falling)
        y = np.maximum(y + change, 0.0)
        if np.all(np.abs(error) <= 1e-12 * strength):
            return y, y * equivalent, slope
    if np.all(np.abs(error) <= 1e-9 * strength):
        return y, y * equivalent, slope
    raise SolveError("the plastic return did not converge", "a smaller step")


def _tangent(
    material: Material, p: Array, d: Array, flow: Array, slope: Array, active: NDArray[np.bool_]
) -> Tangent:
    """Moduli for a return with secant flow y and hardening slope H; y = 0 gives the continuum tangent.

    Inverts d e = C d tau + y (d n) + n d eps_p with n = (p, 3 d)/sigma_eq and n . d tau = H d eps_p.
    """
    bulk, shear = _moduli(material)
    equivalent = np.maximum(np.sqrt(p * p + 3.0 * d * d), 1e-300)
    n_p, n_d = p / equivalent, 3.0 * d / equivalent
    q_p, q_d = bulk / (1.0 + bulk * flow), shear / (1.0 + 3.0 * shear * flow)
    r_p, r_d = q_p * n_p, q_d * n_d
    free = 1.0 - flow * slope
    factor = np.where(active, free / (slope + free * (n_p * r_p + n_d * r_d)), 0.0)
    pp, pd, dd = q_p - factor * r_p * r_p, -factor * r_p * r_d, q_d - factor * r_d * r_d
    return Tangent(pp + 2.0 * pd + dd, pp - dd, pp - 2.0 * pd + dd, q_d)
