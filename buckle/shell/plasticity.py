"""J2 plasticity in plane stress with fixed principal axes, second order in the step.

Stress is kept as the pair s = (p, sqrt(3) d) of mean p = (tau_1 + tau_2)/2 and half difference d = (tau_1 - tau_2)/2,
strain as the conjugate pair (e_1 + e_2, (e_1 - e_2)/sqrt(3)). Then elasticity is diagonal, s = K (e - e_plastic) with
K = (bulk, 3 shear), the equivalent stress is the length of s, and flow goes along s: d e_plastic = d eps_p s / |s|.
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
    """History of every layer point."""

    strain: Array  # pair of plastic strain, (2, points, layers)
    equivalent: Array  # equivalent plastic strain, (points, layers)
    stress: Array  # pair of stress [MPa], (2, points, layers)

    @classmethod
    def virgin(cls, shape: tuple[int, int]) -> "PlasticState":
        """Return a state without stress or plastic strain."""
        pair = np.zeros((2, *shape))
        return cls(pair, np.zeros(shape), pair)


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


def elastic_layer(material: Material, e1: Array, e2: Array) -> Layer:
    """Plane-stress Hooke's law in the strains (e1, e2)."""
    stiff = material.youngs_modulus / (1.0 - material.poissons_ratio**2)
    cross = material.poissons_ratio * stiff
    ones = np.ones_like(e1)
    tangent = Tangent(stiff * ones, cross * ones, cross * ones, stiff * ones, material.shear_modulus)
    return Layer(stiff * e1 + cross * e2, cross * e1 + stiff * e2, tangent, None)


def plastic_layer(material: Material, e1: Array, e2: Array, old: PlasticState) -> Layer:
    """Step from the history `old` to the total strains (e1, e2); raises SolveError if the return fails."""
    assert material.hardening is not None
    stress = np.stack([e1 + e2, (e1 - e2) / ROOT3])
    stress -= old.strain
    stress *= _moduli(material)[:, :, None]
    strength, _ = material.hardening.stress_and_slope(old.equivalent)
    active = np.flatnonzero(stress[0] * stress[0] + stress[1] * stress[1] > strength * strength)
    strain, equivalent = old.strain, old.equivalent
    ends = None
    if len(active):
        trial, worked = _at(stress, active), _at(equivalent, active)
        start = _start(_at(old.stress, active), trial, _at(strength, active))
        step, end, slope = _return(material, trial, start, worked)
        size = _length(end)
        onward = step * (start.flow + start.share * end / size)
        strain = _put(strain.copy(), active, _at(strain, active) + onward)
        equivalent = _put(equivalent.copy(), active, worked + step)
        _put(stress, active, end)
        ends = _flowing(material, end, (step / size, slope), start)
    half = stress[1] / ROOT3
    state = PlasticState(strain, equivalent, stress)
    return Layer(stress[0] + half, stress[0] - half, _tangent(material, e1.shape, active, ends), state)


def loading(material: Material, state: PlasticState, rates: tuple[Array, Array] | None = None) -> Index:
    """Flat numbers of the points at yield whose strain rates (e1, e2) load them; all at yield where no rate is given.

    Whether a point flowed in the step that led to the state is no measure of it: in a long step it may have flowed
    first and then begun to unload.
    """
    assert material.hardening is not None
    strength, _ = material.hardening.stress_and_slope(state.equivalent)
    at_yield = _length(state.stress) > (1.0 - 1e-6) * strength
    if rates is not None:
        (p, d), (bulk, shear) = state.stress, _moduli(material)[:, 0]
        at_yield &= p * bulk * (rates[0] + rates[1]) + d * shear / ROOT3 * (rates[0] - rates[1]) > 0.0
    return np.flatnonzero(at_yield)


def continuum_tangent(material: Material, state: PlasticState, at: Index) -> Tangent:
    """Tangent of J2 flow theory at a state, for stability: plastic at the points `at`."""
    return _secant_tangent(material, state, at, deformation=False)


def deformation_tangent(material: Material, state: PlasticState, at: Index) -> Tangent:
    """Tangent of J2 deformation theory at a state: secant flow y = eps_p / sigma_eq, softer in shear as well."""
    return _secant_tangent(material, state, at, deformation=True)


def _secant_tangent(material: Material, state: PlasticState, at: Index, *, deformation: bool) -> Tangent:
    assert material.hardening is not None
    stress, strain = _at(state.stress, at), _at(state.equivalent, at)
    flow = strain / _length(stress) if deformation else np.zeros_like(strain)
    slope = material.hardening.stress_and_slope(strain)[1]
    ends = _flowing(material, stress, (flow, slope), Start(np.zeros_like(stress), np.ones_like(strain)))
    return _tangent(material, state.equivalent.shape, at, ends)


def _moduli(material: Material) -> Array:
    """Moduli (bulk, 3 shear) of the stress pair against the strain pair [MPa], (2, 1)."""
    return np.array([[0.5 * material.youngs_modulus / (1.0 - material.poissons_ratio)], [3.0 * material.shear_modulus]])


def _at(values: Array, at: Index) -> Array:
    """Values (points, layers), or pairs of them, at some of the layer points: (len(at),) or (2, len(at))."""
    return values.ravel().take(at) if values.ndim == 2 else values.reshape(2, -1).take(at, axis=1)


def _put(values: Array, at: Index, new: Array) -> Array:
    """Put new values, or rows of them, in at some of the layer points of fresh ones; return these."""
    rows = values.reshape(-1, values.shape[-2] * values.shape[-1])
    for row, put in zip(rows, np.atleast_2d(new), strict=True):
        row[at] = put
    return values


def _length(stress: Array) -> Array:
    """Von Mises stress of pairs (2, points), never nil."""
    length: Array = np.sqrt(stress[0] * stress[0] + stress[1] * stress[1] + 1e-60)
    return length


@dataclass(frozen=True)
class Start:
    """What a step takes from its start: the flow direction there, weighted, and the weight left for its end."""

    flow: Array  # (2, points)
    share: Array


def _start(before: Array, trial: Array, strength: Array) -> Start:
    """Half the flow direction at the start where the point was flowing and the trial stress lies the same way."""
    size = _length(before)
    along = before[0] * trial[0] + before[1] * trial[1] > 0.8 * size * _length(trial)
    weight = np.where(along & (size > (1.0 - 1e-6) * strength), 0.5, 0.0)
    return Start(weight / size * before, 1.0 - weight)


def _return(material: Material, trial: Array, start: Start, old: Array) -> tuple[Array, Array, Array]:
    """Solve sigma_eq(step) = strength(old + step) for the plastic strain of the step; returns it, stress and slope.

    The stress solves s + K y share s = s_trial - K step flow with y = step / strength. Newton starts from the step of a
    flow that keeps the direction of the trial stress and works on strength / sigma_eq, which is nearly straight. It is
    quadratic: one turn after an error of 3e-6 a hundred-thousandth of a millionth is left (what ideal plasticity needs:
    stress error / slope is strain error).
    """
    assert material.hardening is not None
    k = _moduli(material)
    k_share, k_flow = k * start.share, k * start.flow
    strength, slope = material.hardening.stress_and_slope(old)
    size = _length(trial)
    stiff = np.sum(k * trial * trial, axis=0) / (size * size)
    step, close = (size - strength) / (stiff + slope), False
    for _ in range(50):
        strength, slope = material.hardening.stress_and_slope(old + step)
        y = step / strength
        soft = 1.0 / (1.0 + k_share * y)
        stress = (trial - step * k_flow) * soft
        size = _length(stress)
        if close:
            return step, stress, slope
        error = size - strength
        close = bool(np.max(np.abs(error) / strength) <= 3e-6)
        rate = stress * soft * (k_flow + k_share * ((1.0 - y * slope) / strength) * stress)
        step = np.maximum(step + error / ((rate[0] + rate[1]) * strength / (size * size) + slope), 0.0)
    raise SolveError("the plastic return did not converge", "a smaller step")


def _flowing(material: Material, stress: Array, flow: tuple[Array, Array], start: Start) -> Array:
    """Moduli (d11, d12, d21, d22, shear) of points that flow, (5, points); y = 0 gives the continuum's.

    `flow` is (y, H): y = step / sigma_eq and the hardening slope. Inverts d e = C d s + y share (d n) sigma_eq
    + m d eps_p with n = s / sigma_eq, m = (start + share n) and n . d s = H d eps_p.
    """
    (y, slope), k = flow, _moduli(material)
    n = stress / _length(stress)
    q = k / (1.0 + k * (start.share * y))
    left, right = q * (start.flow + (start.share - start.share * y * slope) * n), q * n
    factor = 1.0 / (slope + n[0] * left[0] + n[1] * left[1])
    (pp, pd), (dp, dd) = -factor * left[0] * right, -factor * left[1] * right
    pp, pd, dp, dd, twist = q[0] + pp, pd / ROOT3, dp / ROOT3, (q[1] + dd) / 3.0, q[1] / 3.0
    straight, lean, cross, turn = pp + dd, pd + dp, pp - dd, pd - dp
    return np.stack([straight + lean, cross - turn, cross + turn, straight - lean, twist])


def _tangent(material: Material, shape: tuple[int, ...], at: Index, flowing: Array | None) -> Tangent:
    """Elastic moduli but at the points `at`, where they are those that flow."""
    bulk, shear = _moduli(material)[0, 0], material.shear_modulus
    moduli = np.empty((5, *shape))
    moduli[:] = np.array([bulk + shear, bulk - shear, bulk - shear, bulk + shear, shear])[:, None, None]
    if flowing is not None:
        _put(moduli, at, flowing)
    return Tangent(*moduli)
