"""A plastic step of all layer points in one compiled loop: metrics in, history, resultants and stiffness out.

J2 plasticity in plane stress with fixed principal axes, second order in the step. Stress is kept as the pair
s = (p, sqrt(3) d) of mean p = (tau_1 + tau_2)/2 and half difference d = (tau_1 - tau_2)/2, strain as the conjugate pair
(e_1 + e_2, (e_1 - e_2)/sqrt(3)). Then elasticity is diagonal, s = K (e - e_plastic) with K = (bulk, 3 shear), the
equivalent stress is the length of s, and flow goes along s: d e_plastic = d eps_p s / |s|. Stress is Kirchhoff stress
and strain is logarithmic (small strain in a linear analysis).

The flow direction of a step is the mean of those at its ends (the trapezoidal rule; Ortiz and Popov 1985, from memory)
where the point flowed before and goes on in nearly the same direction; where it starts to flow or has turned, it is the
direction at the end (backward Euler). Backward Euler everywhere makes the limit pressure of a domed base first order in
the step, 0.4 % low at 30 steps. The return is derived here.

The wall becomes thinner where it is stretched and thicker where it is pressed, at constant volume of what flows: a
layer's place is the integral of its thickness stretch from the middle. The places are those of the last state, so that
the tangent stays that of a potential; this is first order in the step, 0.03 % of a limit at the usual steps. Leaving it
out makes the limit of a domed base 0.3 to 0.8 % too high.
"""

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from buckle.material import flow_stress

Array = NDArray[np.float64]
ROOT3 = math.sqrt(3.0)
ONWARD = 0.8  # cosine of the turn of stress in a step below which the direction at its end is taken
YIELDING = 1.0 - 1e-6  # of the strength: a stress that counts as at yield
CLOSED = 1e-9
"""Of the strength: what the return may leave undone; the stress is then put on the yield surface, which leaves round-off.

Ideal plasticity needs that: stress error / slope is strain error.
"""
TURNS = 100

_flow_stress = njit(cache=True)(flow_stress)


class Wall(NamedTuple):
    """Reference geometry of the layer points, all (points, layers) but `inward`."""

    along: Array  # metric C_11
    around: Array  # metric C_22
    weight: Array  # volume per radian
    inward: Array  # (layers / 2, layers / 2) twice: integral from the middle to each layer of a half, (2, ., .)


class Metal(NamedTuple):
    """Elastic constants and flow stress."""

    youngs_modulus: float
    poissons_ratio: float
    law: int
    numbers: Array


class History(NamedTuple):
    """Plastic strain pair (2, points, layers), equivalent plastic strain, stress pair, place of each layer."""

    strain: Array
    equivalent: Array
    stress: Array
    place: Array


class Answer(NamedTuple):
    """What a step makes of all layer points; `sound` is False where the geometry or the return is impossible."""

    history: History
    tau: Array  # (2, points, layers)
    metric: Array  # (2, points, layers): C_11, C_22 that forces are referred to
    force: Array  # (points, 6) derivative of energy by the metrics
    stiffness: Array  # (points, 6, 6) its derivative, consistent with the step
    sound: bool


@njit(cache=True)
def _returned(
    k: tuple[float, float], trial: tuple[float, float], start: tuple[float, float, float], old: float, metal: Metal
) -> tuple[float, float, float, float, float, bool]:
    """Solve sigma_eq(step) = strength(old + step) for the plastic strain of the step.

    Returns it with the stress pair, strength, slope and whether it closed. The stress solves
    s + K y share s = s_trial - K step flow with y = step / strength. Newton works on strength / sigma_eq, which is
    nearly straight, inside a bracket that both signs of the error close.
    """
    flow_p, flow_d, share = start
    size = math.sqrt(trial[0] * trial[0] + trial[1] * trial[1])
    strength, slope = _flow_stress(metal.law, metal.numbers, old)
    stiff = (k[0] * trial[0] * trial[0] + k[1] * trial[1] * trial[1]) / (size * size)
    step, low, high = (size - strength) / (stiff + slope), 0.0, np.inf
    for _ in range(TURNS):
        strength, slope = _flow_stress(metal.law, metal.numbers, old + step)
        y = step / strength
        soft_p, soft_d = 1.0 / (1.0 + k[0] * share * y), 1.0 / (1.0 + k[1] * share * y)
        p, d = (trial[0] - step * k[0] * flow_p) * soft_p, (trial[1] - step * k[1] * flow_d) * soft_d
        size = math.sqrt(p * p + d * d)
        error = size - strength
        if abs(error) <= CLOSED * strength:
            onto = strength / size
            return step, onto * p, onto * d, strength, slope, True
        if error > 0.0:
            low = step
        else:
            high = step
        turning = share * (1.0 - y * slope) / strength
        rate = k[0] * p * soft_p * (flow_p + turning * p) + k[1] * d * soft_d * (flow_d + turning * d)
        step += error / (rate * strength / (size * size) + slope)
        if not low < step < high:
            step = 0.5 * (low + high) if high < np.inf else 2.0 * low + 1e-9
    return step, p, d, strength, slope, high - low <= 1e-15 + 1e-13 * high


@njit(cache=True)
def _flowing(
    k: tuple[float, float], s: tuple[float, float], flow: tuple[float, float], start: tuple[float, float, float]
) -> tuple[float, float, float, float]:
    """Moduli d11, d12, d21, d22 of a point that flows; y = 0 gives the continuum's.

    `flow` is (y, H): y = step / sigma_eq and the hardening slope. Inverts d e = C d s + y share (d n) sigma_eq
    + m d eps_p with n = s / sigma_eq, m = (start + share n) and n . d s = H d eps_p.
    """
    y, slope = flow
    flow_p, flow_d, share = start
    size = math.sqrt(s[0] * s[0] + s[1] * s[1])
    n_p, n_d = s[0] / size, s[1] / size
    q_p, q_d = k[0] / (1.0 + k[0] * share * y), k[1] / (1.0 + k[1] * share * y)
    own = share * (1.0 - y * slope)
    left_p, left_d = q_p * (flow_p + own * n_p), q_d * (flow_d + own * n_d)
    right_p, right_d = q_p * n_p, q_d * n_d
    factor = 1.0 / (slope + n_p * left_p + n_d * left_d)
    pp, pd = q_p - factor * left_p * right_p, -factor * left_p * right_d / ROOT3
    dp, dd = -factor * left_d * right_p / ROOT3, (q_d - factor * left_d * right_d) / 3.0
    return pp + dd + pd + dp, pp - dd - pd + dp, pp - dd + pd - dp, pp + dd - pd - dp


@njit(cache=True)
def moments(density: Array, place: Array) -> Array:
    """Sums over the layers of density times place^0 to place^4, (points, 5); both (points, layers)."""
    points, layers = density.shape
    out = np.zeros((points, 5))
    for i in range(points):
        for j in range(layers):
            value = density[i, j]
            for power in range(5):
                out[i, power] += value
                value *= place[i, j]
    return out


@njit(cache=True)
def _fill(block: Array, m: Array) -> None:
    """Products of (1, 2 xi, xi^2) from the moments m of xi^0 to xi^4."""
    block[0, 0], block[1, 1], block[2, 2] = m[0], 4.0 * m[2], m[4]
    block[0, 1] = block[1, 0] = 2.0 * m[1]
    block[0, 2] = block[2, 0] = m[2]
    block[1, 2] = block[2, 1] = 2.0 * m[3]


@njit(cache=True, error_model="numpy")
def plastic_step(metal: Metal, wall: Wall, old: History, along: Array, around: Array, finite: bool) -> Answer:
    """Take all layer points from a history to metrics (a, b, c)_11 and (a, b, c)_22, (points, 3) each."""
    points, layers = wall.weight.shape
    k = (0.5 * metal.youngs_modulus / (1.0 - metal.poissons_ratio), 1.5 * metal.youngs_modulus / (1.0 + metal.poissons_ratio))
    swelling = (1.0 - 2.0 * metal.poissons_ratio) / metal.youngs_modulus
    strain, equivalent = old.strain.copy(), old.equivalent.copy()
    stress, tau, metric = np.empty((2, points, layers)), np.empty((2, points, layers)), np.empty((2, points, layers))
    place, thinning = old.place.copy(), np.empty(layers)
    force, stiffness = np.zeros((points, 6)), np.zeros((points, 6, 6))
    sums = np.empty((4, 5))
    sound = True
    elastic = (k[0] + k[1] / 3.0, k[0] - k[1] / 3.0)
    for i in range(points):
        sums[:] = 0.0
        for j in range(layers):
            xi = old.place[i, j]
            c1 = along[i, 0] + xi * (2.0 * along[i, 1] + xi * along[i, 2])
            c2 = around[i, 0] + xi * (2.0 * around[i, 1] + xi * around[i, 2])
            s1, s2 = c1 / wall.along[i, j], c2 / wall.around[i, j]
            if finite:
                if not (s1 > 0.0 and s2 > 0.0):
                    sound = False
                    break
                e1, e2 = 0.5 * math.log(s1), 0.5 * math.log(s2)
            else:
                e1, e2 = 0.5 * (s1 - 1.0), 0.5 * (s2 - 1.0)
                c1, c2 = wall.along[i, j], wall.around[i, j]
            p = k[0] * (e1 + e2 - strain[0, i, j])
            d = k[1] * ((e1 - e2) / ROOT3 - strain[1, i, j])
            d11, d12, d21, d22 = elastic[0], elastic[1], elastic[1], elastic[0]
            strength, _ = _flow_stress(metal.law, metal.numbers, equivalent[i, j])
            size = math.sqrt(p * p + d * d)
            if size > strength:
                before_p, before_d = old.stress[0, i, j], old.stress[1, i, j]
                before = math.sqrt(before_p * before_p + before_d * before_d)
                onward = before > YIELDING * strength and before_p * p + before_d * d > ONWARD * before * size
                start = (0.5 * before_p / before, 0.5 * before_d / before, 0.5) if onward else (0.0, 0.0, 1.0)
                step, p, d, strength, slope, closed = _returned(k, (p, d), start, equivalent[i, j], metal)
                sound = sound and closed
                strain[0, i, j] += step * (start[0] + start[2] * p / strength)
                strain[1, i, j] += step * (start[1] + start[2] * d / strength)
                equivalent[i, j] += step
                d11, d12, d21, d22 = _flowing(k, (p, d), (step / strength, slope), start)
            stress[0, i, j], stress[1, i, j] = p, d
            t1, t2 = p + d / ROOT3, p - d / ROOT3
            tau[0, i, j], tau[1, i, j] = t1, t2
            metric[0, i, j], metric[1, i, j] = c1, c2
            thinning[j] = math.exp(swelling * (t1 + t2) - e1 - e2)
            half = 0.5 * wall.weight[i, j]
            f1, f2 = half * t1 / c1, half * t2 / c2
            force[i, 0] += f1
            force[i, 1] += 2.0 * xi * f1
            force[i, 2] += xi * xi * f1
            force[i, 3] += f2
            force[i, 4] += 2.0 * xi * f2
            force[i, 5] += xi * xi * f2
            quarter, bent = 0.5 * half, 2.0 if finite else 0.0
            g11, g12 = quarter * (d11 - bent * t1) / (c1 * c1), quarter * d12 / (c1 * c2)
            g21, g22 = quarter * d21 / (c1 * c2), quarter * (d22 - bent * t2) / (c2 * c2)
            for power in range(5):
                sums[0, power] += g11
                sums[1, power] += g12
                sums[2, power] += g21
                sums[3, power] += g22
                g11, g12, g21, g22 = g11 * xi, g12 * xi, g21 * xi, g22 * xi
        _fill(stiffness[i, :3, :3], sums[0])
        _fill(stiffness[i, :3, 3:], sums[1])
        _fill(stiffness[i, 3:, :3], sums[2])
        _fill(stiffness[i, 3:, 3:], sums[3])
        if finite:
            middle = layers // 2
            for j in range(layers):
                side = 1 if j >= middle else 0
                place[i, j] = 0.0
                for m in range(middle):
                    place[i, j] += wall.inward[side, j - side * middle, m] * thinning[side * middle + m]
    history = History(strain, equivalent, stress, place)
    return Answer(history, tau, metric, force, stiffness, sound)
