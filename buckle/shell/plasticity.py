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
from buckle.material import Material

Array = NDArray[np.float64]
Index = NDArray[np.int64]
ROOT3 = float(np.sqrt(3.0))


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
    p, d = bulk * (e1 + e2 - old.sum), shear * (e1 - e2 - old.difference)
    strength, _ = material.hardening.stress_and_slope(old.equivalent)
    active = p * p + 3.0 * d * d > strength * strength
    at = np.flatnonzero(active)
    if not len(at):
        state = PlasticState(old.sum, old.difference, old.equivalent, p, d)
        return Layer(p + d, p - d, _elastic_tangent(material, p.shape), state, active)
    trial, start = _paired(p, d, at), _start(old, at, (p, d), strength)
    step, stress, slope = _return(material, trial, start, old.equivalent.ravel()[at])
    size = _equivalent(stress)
    onward = step * (start.flow + start.share * stress / size)
    state = PlasticState(
        _put(old.sum, at, old.sum.ravel()[at] + onward[0]),
        _put(old.difference, at, old.difference.ravel()[at] + ROOT3 * onward[1]),
        _put(old.equivalent, at, old.equivalent.ravel()[at] + step),
        _put(p, at, stress[0]),
        _put(d, at, stress[1] / ROOT3),
    )
    tangent = _tangent(material, at, p.shape, stress, (step / size, slope), start)
    return Layer(state.p + state.d, state.p - state.d, tangent, state, active)


def continuum_tangent(material: Material, layer: Layer) -> Tangent:
    """Tangent of J2 flow theory at a state, for stability: plastic where the step flowed."""
    return _secant_tangent(material, layer, deformation=False)


def deformation_tangent(material: Material, layer: Layer) -> Tangent:
    """Tangent of J2 deformation theory at a state: secant flow y = eps_p / sigma_eq, softer in shear as well."""
    return _secant_tangent(material, layer, deformation=True)


def _secant_tangent(material: Material, layer: Layer, *, deformation: bool) -> Tangent:
    assert layer.state is not None
    assert layer.active is not None
    assert material.hardening is not None
    at = np.flatnonzero(layer.active)
    stress, strain = _paired(layer.state.p, layer.state.d, at), layer.state.equivalent.ravel()[at]
    flow = strain / _equivalent(stress) if deformation else np.zeros_like(strain)
    slope = material.hardening.stress_and_slope(strain)[1]
    return _tangent(
        material, at, layer.active.shape, stress, (flow, slope), Start(np.zeros_like(stress), np.ones_like(strain))
    )


def _moduli(material: Material) -> tuple[float, float]:
    """Moduli of p against e1 + e2 and of d against e1 - e2 [MPa]."""
    return 0.5 * material.youngs_modulus / (1.0 - material.poissons_ratio), material.shear_modulus


def _paired(p: Array, d: Array, at: Index) -> Array:
    """Stress pairs (p, sqrt(3) d) at the points `at`, (2, points): their length is the equivalent stress."""
    return np.stack([p.ravel()[at], ROOT3 * d.ravel()[at]])


def _equivalent(stress: Array) -> Array:
    """Von Mises stress of pairs (2, points), never nil."""
    return np.sqrt(stress[0] * stress[0] + stress[1] * stress[1] + 1e-60)


def _put(whole: Array, at: Index, values: Array) -> Array:
    """Copy of an array with some of its entries replaced."""
    out = whole.copy()
    out.ravel()[at] = values
    return out


@dataclass(frozen=True)
class Start:
    """What a step takes from its start: the flow direction there, weighted, and the weight left for its end."""

    flow: Array  # (2, points), as pairs
    share: Array


def _start(old: PlasticState, at: Index, trial: tuple[Array, Array], strength: Array) -> Start:
    """Half the flow direction at the start where the point was flowing and the trial stress lies the same way."""
    before, after = _paired(old.p, old.d, at), _paired(*trial, at)
    size = _equivalent(before)
    along = (before[0] * after[0] + before[1] * after[1]) > 0.8 * size * _equivalent(after)
    weight = np.where(along & (size > (1.0 - 1e-6) * strength.ravel()[at]), 0.5, 0.0)
    return Start(weight / size * before, 1.0 - weight)


def _return(material: Material, trial: Array, start: Start, old: Array) -> tuple[Array, Array, Array]:
    """Solve sigma_eq(step) = strength(old + step) for the plastic strain of the step; returns it, stress and slope.

    The stress solves s + K y share s = s_trial - K step flow with y = step / strength and K = (bulk, 3 shear).
    Newton works on strength / sigma_eq, which is nearly straight; it is quadratic, so that one turn after an error of
    1e-7 only round-off is left (what ideal plasticity needs: stress error / slope is strain error).
    """
    assert material.hardening is not None
    bulk, shear = _moduli(material)
    k = np.array([[bulk], [3.0 * shear]])
    k_share, k_flow = k * start.share, k * start.flow
    step, close = np.zeros_like(old), False
    for _ in range(50):
        strength, slope = material.hardening.stress_and_slope(old + step)
        y = step / strength
        soft = 1.0 / (1.0 + k_share * y)
        stress = (trial - step * k_flow) * soft
        size = _equivalent(stress)
        error = size - strength
        if close:
            return step, stress, slope
        close = bool(np.all(np.abs(error) <= 1e-7 * strength))
        rate = stress * soft * (k_flow + k_share * ((1.0 - y * slope) / strength) * stress)
        step = np.maximum(step + error / ((rate[0] + rate[1]) * strength / (size * size) + slope), 0.0)
    raise SolveError("the plastic return did not converge", "a smaller step")


def _elastic_tangent(material: Material, shape: tuple[int, ...]) -> Tangent:
    bulk, shear = _moduli(material)
    straight, cross = np.full(shape, bulk + shear), np.full(shape, bulk - shear)
    return Tangent(straight, cross, cross, straight, np.full(shape, shear))


def _tangent(
    material: Material, at: Index, shape: tuple[int, ...], stress: Array, flow: tuple[Array, Array], start: Start
) -> Tangent:
    """Moduli, elastic but at the points `at`, where y = step / sigma_eq and hardening slope H; y = 0: the continuum's.

    Inverts d e = C d tau + y share (d n) sigma_eq + m d eps_p with n = s / sigma_eq, m = (start + share n) and
    n . d tau = H d eps_p.
    """
    bulk, shear = _moduli(material)
    (y, slope), k = flow, np.array([[bulk], [3.0 * shear]])
    n = stress / _equivalent(stress)
    q = k / (1.0 + k * (start.share * y))
    left, right = q * (start.flow + (start.share - start.share * y * slope) * n), q * n
    factor = 1.0 / (slope + n[0] * left[0] + n[1] * left[1])
    (pp, pd), (dp, dd) = -factor * left[0] * right, -factor * left[1] * right
    pp, pd, dp, dd, twist = q[0] + pp, pd / ROOT3, dp / ROOT3, (q[1] + dd) / 3.0, q[1] / 3.0
    elastic = _elastic_tangent(material, shape)
    return Tangent(
        _put(elastic.d11, at, pp + pd + dp + dd),
        _put(elastic.d12, at, pp - pd + dp - dd),
        _put(elastic.d21, at, pp + pd - dp - dd),
        _put(elastic.d22, at, pp - pd - dp + dd),
        _put(np.full(shape, shear), at, twist),
    )
