"""J2 plasticity in plane stress with fixed principal axes, second order in the step.

Stress is split into mean p = (tau_1 + tau_2)/2 and half difference d = (tau_1 - tau_2)/2, strain into their conjugates
e_1 + e_2 and e_1 - e_2. Then elasticity and flow are diagonal and the equivalent stress is sqrt(p^2 + 3 d^2).
Stress is Kirchhoff stress and strain is logarithmic (or small strain in a linear analysis).

The flow direction of a step is the mean of those at its ends (the trapezoidal rule; Ortiz and Popov 1985, from memory)
where the point flowed before and goes on in nearly the same direction; where it starts to flow or has turned, it is the
direction at the end (backward Euler). Backward Euler everywhere makes the limit pressure of a domed base first order in
the step, 0.4 % low at 30 steps. The return is derived here.
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
    p: Array  # stress (tau_1 + tau_2)/2 [MPa]
    d: Array  # stress (tau_1 - tau_2)/2 [MPa]

    @classmethod
    def virgin(cls, shape: tuple[int, int]) -> "PlasticState":
        """Return a state without stress or plastic strain."""
        zero = np.zeros(shape)
        return cls(zero, zero, zero, zero, zero)


@dataclass(frozen=True)
class Tangent:
    """Tangent moduli d tau / d e in principal axes [MPa]; `shear` multiplies the in-plane shear angle."""

    d11: Array
    d12: Array
    d21: Array  # differs from d12 only in a step that follows the trapezoidal rule
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
    tangent = Tangent(stiff * ones, cross * ones, cross * ones, stiff * ones, material.shear_modulus)
    return Layer(stiff * e1 + cross * e2, cross * e1 + stiff * e2, tangent, None, None)


def plastic_layer(material: Material, e1: Array, e2: Array, old: PlasticState) -> Layer:
    """Step from the history `old` to the total strains (e1, e2); raises SolveError if the return fails."""
    assert material.hardening is not None
    bulk, shear = _moduli(material)
    p = bulk * (e1 + e2 - old.sum)
    d = shear * (e1 - e2 - old.difference)
    strength, slope = material.hardening.stress_and_slope(old.equivalent)
    active = _equivalent(p, d) > strength
    start, step = _start(old, (p, d), strength), np.zeros_like(p)
    if active.any():
        step[active], p[active], d[active], slope[active] = _return(
            material.hardening, (bulk, shear), (p[active], d[active]), start.at(active), old.equivalent[active]
        )
    stress = np.maximum(_equivalent(p, d), 1e-30)
    state = PlasticState(
        old.sum + step * (start.n_p + start.share * p / stress),
        old.difference + step * (start.n_d + start.share * 3.0 * d / stress),
        old.equivalent + step,
        p,
        d,
    )
    tangent = _tangent(material, (p, d), step / stress, slope, active, start)
    return Layer(p + d, p - d, tangent, state, active)


def continuum_tangent(material: Material, layer: Layer) -> Tangent:
    """Tangent of J2 flow theory at a state, for stability: plastic where the step flowed."""
    assert layer.state is not None
    return _secant_tangent(material, layer, np.zeros_like(layer.state.p))


def deformation_tangent(material: Material, layer: Layer) -> Tangent:
    """Tangent of J2 deformation theory at a state: secant flow y = eps_p / sigma_eq, softer in shear as well."""
    state = layer.state
    assert state is not None
    assert layer.active is not None
    secant = state.equivalent / np.maximum(_equivalent(state.p, state.d), 1e-30)
    return _secant_tangent(material, layer, np.where(layer.active, secant, 0.0))


def _secant_tangent(material: Material, layer: Layer, flow: Array) -> Tangent:
    assert layer.state is not None
    assert layer.active is not None
    assert material.hardening is not None
    slope = material.hardening.stress_and_slope(layer.state.equivalent)[1]
    return _tangent(material, (layer.state.p, layer.state.d), flow, slope, layer.active)


def _moduli(material: Material) -> tuple[float, float]:
    """Moduli of p against e1 + e2 and of d against e1 - e2 [MPa]."""
    return 0.5 * material.youngs_modulus / (1.0 - material.poissons_ratio), material.shear_modulus


def _equivalent(p: Array, d: Array) -> Array:
    """Von Mises stress."""
    return np.sqrt(p * p + 3.0 * d * d)


@dataclass(frozen=True)
class Start:
    """What a step takes from its start: the flow direction there, weighted, and the weight left for its end."""

    n_p: Array
    n_d: Array
    share: Array

    def at(self, where: NDArray[np.bool_]) -> "Start":
        """Return the part at some points."""
        return Start(self.n_p[where], self.n_d[where], self.share[where])


def _start(old: PlasticState, trial: tuple[Array, Array], strength: Array) -> Start:
    """Half the flow direction at the start where the point was flowing and the trial stress lies the same way."""
    before, after = np.maximum(_equivalent(old.p, old.d), 1e-30), np.maximum(_equivalent(*trial), 1e-30)
    cosine = (old.p * trial[0] + 3.0 * old.d * trial[1]) / (before * after)
    weight = np.where((before > (1.0 - 1e-6) * strength) & (cosine > 0.8), 0.5, 0.0)
    return Start(weight * old.p / before, weight * 3.0 * old.d / before, 1.0 - weight)


def _return(
    hardening: Hardening, moduli: tuple[float, float], trial: tuple[Array, Array], start: Start, old: Array
) -> tuple[Array, Array, Array, Array]:
    """Solve sigma_eq(step) = strength(old + step) for the plastic strain of the step; returns it, p, d and the slope.

    The stress solves p + bulk y share p = p_trial - bulk step n_p with y = step / strength, and d likewise.
    """
    bulk, shear = moduli
    step = np.zeros_like(old)
    for _ in range(50):
        strength, slope = hardening.stress_and_slope(old + step)
        y, y_rate = step / strength, (1.0 - step * slope / strength) / strength
        a, b = 1.0 / (1.0 + bulk * start.share * y), 1.0 / (1.0 + 3.0 * shear * start.share * y)
        p, d = (trial[0] - bulk * step * start.n_p) * a, (trial[1] - shear * step * start.n_d) * b
        p_rate = -bulk * a * (start.n_p + start.share * y_rate * p)
        d_rate = -shear * b * (start.n_d + 3.0 * start.share * y_rate * d)
        stress = _equivalent(p, d)
        error = stress - strength
        if np.all(np.abs(error) <= 1e-11 * strength):
            return step, p, d, slope
        step = np.maximum(step - error / ((p * p_rate + 3.0 * d * d_rate) / stress - slope), 0.0)
    raise SolveError("the plastic return did not converge", "a smaller step")


def _tangent(
    material: Material,
    stress: tuple[Array, Array],
    flow: Array,
    slope: Array,
    active: NDArray[np.bool_],
    start: Start | None = None,
) -> Tangent:
    """Moduli for a return with y = step / sigma_eq and hardening slope H; y = 0 gives the continuum tangent.

    Inverts d e = C d tau + y share (d n) sigma_eq + m d eps_p with n = (p, 3 d)/sigma_eq, m = (start + share n) and
    n . d tau = H d eps_p.
    """
    (p, d), (bulk, shear) = stress, _moduli(material)
    share = 1.0 if start is None else start.share
    equivalent = np.maximum(_equivalent(p, d), 1e-30)
    n_p, n_d = p / equivalent, 3.0 * d / equivalent
    q_p, q_d = bulk / (1.0 + bulk * share * flow), shear / (1.0 + 3.0 * shear * share * flow)
    bend = share * flow * slope
    m_p, m_d = ((1.0 if start is None else share) - bend) * n_p, ((1.0 if start is None else share) - bend) * n_d
    if start is not None:
        m_p, m_d = m_p + start.n_p, m_d + start.n_d
    left_p, left_d, right_p, right_d = q_p * m_p, q_d * m_d, q_p * n_p, q_d * n_d
    factor = np.where(active, 1.0 / np.where(active, slope + n_p * left_p + n_d * left_d, 1.0), 0.0)
    pp, dd = q_p - factor * left_p * right_p, q_d - factor * left_d * right_d
    pd, dp = -factor * left_p * right_d, -factor * left_d * right_p
    return Tangent(pp + pd + dp + dd, pp - pd + dp - dd, pp + pd - dp - dd, pp - pd - dp + dd, q_d)
