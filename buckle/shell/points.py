"""Forces and stiffness of all points at one displacement, compiled: kinematics, plastic layers, and back.

The kinematics are those of `kinematics`, which serves the waves, for one point (a test holds both together). What is
compiled for it stands in this file: what is kept of a compilation does not notice when another file changes.

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
layer's position is the integral of its thickness stretch from the middle. The positions in a step are given with its
start, so that its tangent is that of a potential. Leaving this out makes the limit of a base 0.3 to 0.8 % too high.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckle.material import LINEAR, SWIFT, VOCE
from buckle.shell.compiled import njit
from buckle.shell.numbering import FieldRow, MetricRow

Array = NDArray[np.float64]
Arrays = tuple[Array, Array]
Pair = tuple[float, float]
Start = tuple[float, float, float]
"""What a step takes from its start: the flow direction there, weighted, and the weight left for its end."""

U, U_S, W_S, BETA, BETA_S = map(int, FieldRow)
A11, B11, C11, A22, B22, C22, G1 = map(int, MetricRow)
UNMOVED = (0.0, 0.0, 0.0, 0.0, 0.0)

SMALL, LOGARITHMIC, ENGINEERING = range(3)
"""Strain measures; the last one for elastic layers only."""
ROOT3 = math.sqrt(3.0)
ONWARD = 0.8  # cosine of the turn of stress in a step below which the direction at its end is taken
YIELDING = 1.0 - 1e-6  # of the strength: a stress that counts as at yield
CLOSED = 1e-9
"""Of the strength: what the return may leave undone; putting the stress on the yield surface then leaves round-off, as
ideal plasticity needs it: stress error / slope is strain error."""
TURNS = 100


class Line(NamedTuple):
    """Reference geometry of the points of the mid-surface, (points,), and their transverse shear stiffness."""

    r: Array  # [mm]
    heading: Array  # [rad]
    curvature: Array  # [rad/mm]
    half: Array  # [mm] half thickness
    shear: Array  # [N mm]


class Layers(NamedTuple):
    """Reference geometry of the layer points, (points, layers), and what integrates their thickness."""

    along: Array  # [-] metric C_11
    around: Array  # [mm2] metric C_22
    weight: Array  # [mm3] volume per radian
    inward: Array  # (2, layers / 2, layers / 2) [-] integral through each half from the middle to its layers


class Metal(NamedTuple):
    """Elastic constants and flow stress; whether it flows; strain measure."""

    youngs_modulus: float
    poissons_ratio: float
    flows: bool
    law: int
    numbers: Array  # (3, rows) [MPa, -] of the law
    measure: int


class History(NamedTuple):
    """Plastic strain pair, its equivalent, stress pair, positions, strain since yield last began."""

    strain: Array  # (2, points, layers) [-]
    equivalent: Array  # (points, layers) [-]
    stress: Array  # (2, points, layers) [MPa]
    position: Array  # (points, layers) [-]
    fresh: Array  # (points, layers) [-]


class Answer(NamedTuple):
    """What a step makes of all points."""

    history: History
    tau: Array  # (2, points, layers) [MPa]
    metric: Array  # (2, points, layers) [-, mm2] C_11 and C_22 that forces are referred to
    by_metric: Array  # (points, 7) [N mm, N/mm] derivative of energy by (a11, b11, c11, a22, b22, c22, g1)
    force: Array  # (points, 5) [N, N mm, N mm, N mm, N mm2] derivative of energy by the fields
    hess: Array  # (points, 5, 5) energy [N mm] by the fields, twice, consistent with the step
    sound: bool  # False where the geometry or the plastic return is impossible


@njit(cache=True, error_model="numpy")
def respond(line: Line, layers: Layers, metal: Metal, old: History, q: Array) -> Answer:
    """Take all points from a history to the fields q (points, 5) = (u, u', w', beta, beta') [mm, -, rad, rad/mm]."""
    count, layer_count = old.equivalent.shape
    new = History(old.strain.copy(), old.equivalent.copy(), old.stress.copy(), old.position.copy(), 0.0 * old.fresh)
    tau, metric = np.empty_like(old.stress), np.empty_like(old.stress)
    by_metric, force, hess = np.zeros((count, 7)), np.zeros((count, 5)), np.zeros((count, 5, 5))
    first, m, stiffness = np.zeros((7, 5)), np.empty(7), np.zeros((7, 7))
    e, moduli, sums = np.empty((2, layer_count)), np.empty((4, layer_count)), np.empty((4, 5))
    finite, sound = metal.measure != SMALL, True
    for i in range(count):  # all layers of a point at a time: calls for single ones cost half as much again
        sound = _metrics(line, i, q, finite, m, first)
        _strains(i, metal.measure, m, layers, old.position, (e, metric))
        sound = _flow(i, metal, old, new, e, moduli) and sound
        if not sound:
            break
        _refer_stress(i, metal.measure, e, new.stress, moduli, tau)
        _sum_layers(i, 2.0 if finite else 0.0, (layers.weight, old.position), (tau, metric), moduli, (by_metric, sums))
        by_metric[i, G1], stiffness[G1, G1] = line.shear[i] * m[G1], line.shear[i]
        _fill(stiffness, sums)
        _refer(i, first, stiffness, by_metric, force, hess)
        if finite:
            _bend(line, i, q, by_metric, hess)
        if finite and metal.flows:  # elastic layers keep no history, and only of plastic ones is the number even
            _settle(i, metal, layers.inward, e, new)
    return Answer(new, tau, metric, by_metric, force, hess, sound)


@njit(cache=True, error_model="numpy")
def _strains(i: int, measure: int, m: Array, layers: Layers, position: Array, out: Arrays) -> None:
    """Strains of the layers of a point from its metrics, and the metrics that forces are referred to."""
    (e, metric), along, around, finite = out, layers.along, layers.around, measure != SMALL
    for j in range(position.shape[1]):
        xi = position[i, j]
        c1 = m[A11] + xi * (2.0 * m[B11] + xi * m[C11])
        c2 = m[A22] + xi * (2.0 * m[B22] + xi * m[C22])
        e[0, j], e[1, j] = _strain(measure, c1 / along[i, j]), _strain(measure, c2 / around[i, j])
        metric[0, i, j], metric[1, i, j] = (c1, c2) if finite else (along[i, j], around[i, j])


@njit(cache=True, error_model="numpy")
def _flow(i: int, metal: Metal, old: History, new: History, e: Array, moduli: Array) -> bool:
    """Stress and history of the layers of a point at their strains, and their moduli; False if a return is open."""
    nu, closed = metal.poissons_ratio, True
    k = (0.5 * metal.youngs_modulus / (1.0 - nu), 1.5 * metal.youngs_modulus / (1.0 + nu))
    strain, equivalent, stress, fresh = new.strain, new.equivalent, new.stress, new.fresh
    before, flowed = old.stress, old.fresh
    stiff, cross = k[0] + k[1] / 3.0, k[0] - k[1] / 3.0
    for j in range(e.shape[1]):
        p = k[0] * (e[0, j] + e[1, j] - strain[0, i, j])
        d = k[1] * ((e[0, j] - e[1, j]) / ROOT3 - strain[1, i, j])
        moduli[0, j], moduli[1, j], moduli[2, j], moduli[3, j] = stiff, cross, cross, stiff
        if metal.flows:
            strength, _ = flow_stress(metal.law, metal.numbers, equivalent[i, j])
            size = math.sqrt(p * p + d * d)
            if not size <= strength:
                start = _start((before[0, i, j], before[1, i, j]), (p, d), size, strength)
                step, p, d, strength, slope, shut = _returned(k, (p, d), start, equivalent[i, j], metal)
                closed = closed and shut
                strain[0, i, j] += step * (start[0] + start[2] * p / strength)
                strain[1, i, j] += step * (start[1] + start[2] * d / strength)
                equivalent[i, j] += step
                fresh[i, j] = flowed[i, j] + step
                flowing = _flowing(k, (p, d), (step / strength, slope), start)
                moduli[0, j], moduli[1, j], moduli[2, j], moduli[3, j] = flowing
        stress[0, i, j], stress[1, i, j] = p, d
    return closed


@njit(cache=True, error_model="numpy")
def _refer_stress(i: int, measure: int, e: Array, stress: Array, moduli: Array, tau: Array) -> None:
    """Principal stresses of the layers of a point; those of nominal stress and their moduli by logarithmic strain."""
    for j in range(e.shape[1]):
        t1, t2 = stress[0, i, j] + stress[1, i, j] / ROOT3, stress[0, i, j] - stress[1, i, j] / ROOT3
        if measure == ENGINEERING:  # d e = stretch d ln(stretch)
            a, b = 1.0 + e[0, j], 1.0 + e[1, j]
            t1, t2 = a * t1, b * t2
            moduli[0, j], moduli[3, j] = a * a * moduli[0, j] + t1, b * b * moduli[3, j] + t2
            moduli[1, j], moduli[2, j] = a * b * moduli[1, j], a * b * moduli[2, j]
        tau[0, i, j], tau[1, i, j] = t1, t2


@njit(cache=True, error_model="numpy")
def _sum_layers(i: int, bent: float, at: Arrays, state: Arrays, moduli: Array, out: Arrays) -> None:
    """Forces of a point by its metrics, and derivatives of the layers' forces by C_11 and C_22 times xi^0 to xi^4.

    `at` holds volume and position of the layers, `state` stress and metrics; `bent` counts the stress.
    """
    (weight, position), (tau, metric), (by_metric, sums) = at, state, out
    sums[:] = 0.0
    for j in range(moduli.shape[1]):
        xi, half = position[i, j], 0.5 * weight[i, j]
        t1, t2, c1, c2 = tau[0, i, j], tau[1, i, j], metric[0, i, j], metric[1, i, j]
        f1, f2, quarter = half * t1 / c1, half * t2 / c2, 0.5 * half
        by_metric[i, A11] += f1
        by_metric[i, B11] += 2.0 * xi * f1
        by_metric[i, C11] += xi * xi * f1
        by_metric[i, A22] += f2
        by_metric[i, B22] += 2.0 * xi * f2
        by_metric[i, C22] += xi * xi * f2
        g11, g12 = quarter * (moduli[0, j] - bent * t1) / (c1 * c1), quarter * moduli[1, j] / (c1 * c2)
        g21, g22 = quarter * moduli[2, j] / (c1 * c2), quarter * (moduli[3, j] - bent * t2) / (c2 * c2)
        for power in range(5):
            sums[0, power] += g11
            sums[1, power] += g12
            sums[2, power] += g21
            sums[3, power] += g22
            g11, g12, g21, g22 = g11 * xi, g12 * xi, g21 * xi, g22 * xi


@njit(cache=True)
def _metrics(line: Line, i: int, q: Array, finite: bool, m: Array, first: Array) -> bool:
    """The seven metrics of a point and their derivative by its fields; False where it lies across the axis.

    Where kinematics are linear both are those of the unstrained state, the metrics with their linear change.
    """
    u, us, ws, beta, betas = (q[i, U], q[i, U_S], q[i, W_S], q[i, BETA], q[i, BETA_S]) if finite else UNMOVED
    h, rho, kappa, heading = line.half[i], line.r[i] + u, line.curvature[i] + betas, line.heading[i]
    tr, tz = math.cos(heading + beta), math.sin(heading + beta)
    xr, xz = math.cos(heading) + us, math.sin(heading) + ws
    stretch, shear, dr = xr * tr + xz * tz, xz * tr - xr * tz, -tz
    m[A11], m[B11], m[C11] = xr * xr + xz * xz, -h * kappa * stretch, h * h * kappa * kappa
    m[A22], m[B22], m[C22], m[G1] = rho * rho, h * rho * dr, h * h * dr * dr, shear
    first[A11, U_S], first[A11, W_S] = 2.0 * xr, 2.0 * xz
    first[B11, U_S], first[B11, W_S], first[B11, BETA] = -h * kappa * tr, -h * kappa * tz, -h * kappa * shear
    first[B11, BETA_S], first[C11, BETA_S] = -h * stretch, 2.0 * h * h * kappa
    first[A22, U], first[B22, U], first[B22, BETA] = 2.0 * rho, h * dr, -h * rho * tr
    first[C22, BETA] = -2.0 * h * h * dr * tr
    first[G1, U_S], first[G1, W_S], first[G1, BETA] = dr, tr, -stretch
    if not finite:
        for a in range(7):
            for b in range(5):
                m[a] += first[a, b] * q[i, b]
    return bool(rho > h * abs(dr))


@njit(cache=True)
def _strain(measure: int, squared: float) -> float:
    """Strain of a stretch squared."""
    if measure == LOGARITHMIC:
        return 0.5 * math.log(squared)
    return math.sqrt(squared) - 1.0 if measure == ENGINEERING else 0.5 * (squared - 1.0)


@njit(cache=True)
def flow_stress(law: int, numbers: Array, strain: float) -> Pair:
    """Flow stress and slope [MPa] by the numbers (3, rows) of a law: `material.flow_stress` for one strain."""
    a, b, c = numbers[0, 0], numbers[1, 0], numbers[2, 0]
    if law == VOCE:
        remaining = b * math.exp(-c * strain)
        return a + b - remaining, c * remaining
    if law == LINEAR:
        return a + b * strain, b
    if law == SWIFT:
        base = 1.0 + strain / b
        stress = a * base**c
        return stress, c * stress / (b * base)
    at = np.searchsorted(numbers[0], strain, side="right") - 1
    return numbers[1, at] + numbers[2, at] * (strain - numbers[0, at]), numbers[2, at]


@njit(cache=True)
def _start(before: Pair, trial: Pair, size: float, strength: float) -> Start:
    """Half the flow direction at the start where the point was flowing and the trial stress lies the same way."""
    length = math.sqrt(before[0] * before[0] + before[1] * before[1])
    onward = before[0] * trial[0] + before[1] * trial[1] > ONWARD * length * size
    if length > YIELDING * strength and onward:
        return 0.5 * before[0] / length, 0.5 * before[1] / length, 0.5
    return 0.0, 0.0, 1.0


@njit(cache=True)
def _returned(
    k: Pair, trial: Pair, start: Start, old: float, metal: Metal
) -> tuple[float, float, float, float, float, bool]:
    """Solve sigma_eq(step) = strength(old + step) for the plastic strain of the step.

    Returns it with the stress pair, strength, slope and whether it closed. The stress solves
    s + K y share s = s_trial - K step flow with y = step / strength. Newton works on strength / sigma_eq, which is
    nearly straight, inside a bracket that both signs of the error close.
    """
    flow_p, flow_d, share = start
    size = math.sqrt(trial[0] * trial[0] + trial[1] * trial[1])
    strength, slope = flow_stress(metal.law, metal.numbers, old)
    stiff = (k[0] * trial[0] * trial[0] + k[1] * trial[1] * trial[1]) / (size * size)
    step, low, high = (size - strength) / (stiff + slope), 0.0, np.inf
    p, d, closed = trial[0], trial[1], False
    for _ in range(TURNS):
        strength, slope = flow_stress(metal.law, metal.numbers, old + step)
        y = step / strength
        soft_p, soft_d = 1.0 / (1.0 + k[0] * share * y), 1.0 / (1.0 + k[1] * share * y)
        p, d = (trial[0] - step * k[0] * flow_p) * soft_p, (trial[1] - step * k[1] * flow_d) * soft_d
        size = math.sqrt(p * p + d * d)
        error = size - strength
        if abs(error) <= CLOSED * strength:
            p, d, closed = p * strength / size, d * strength / size, True
            break
        if error > 0.0:
            low = step
        else:
            high = step
        turning = share * (1.0 - y * slope) / strength
        rate = k[0] * p * soft_p * (flow_p + turning * p) + k[1] * d * soft_d * (flow_d + turning * d)
        step += error / (rate * strength / (size * size) + slope)
        if not low < step < high:
            step = 0.5 * (low + high) if high < np.inf else 2.0 * low + 1e-9
    return step, p, d, strength, slope, closed


@njit(cache=True)
def _flowing(k: Pair, stress: Pair, flow: Pair, start: Start) -> tuple[float, float, float, float]:
    """Moduli d11, d12, d21, d22 of a point that flows.

    `flow` is (y, H): y = step / sigma_eq and the hardening slope. Inverts d e = C d s + y share (d n) sigma_eq
    + m d eps_p with n = s / sigma_eq, m = (start + share n) and n . d s = H d eps_p.
    """
    y, slope = flow
    flow_p, flow_d, share = start
    size = math.sqrt(stress[0] * stress[0] + stress[1] * stress[1])
    n_p, n_d = stress[0] / size, stress[1] / size
    q_p, q_d = k[0] / (1.0 + k[0] * share * y), k[1] / (1.0 + k[1] * share * y)
    own = share * (1.0 - y * slope)
    left_p, left_d = q_p * (flow_p + own * n_p), q_d * (flow_d + own * n_d)
    right_p, right_d = q_p * n_p, q_d * n_d
    factor = 1.0 / (slope + n_p * left_p + n_d * left_d)
    pp, pd = q_p - factor * left_p * right_p, -factor * left_p * right_d / ROOT3
    dp, dd = -factor * left_d * right_p / ROOT3, (q_d - factor * left_d * right_d) / 3.0
    return pp + dd + pd + dp, pp - dd - pd + dp, pp - dd + pd - dp, pp + dd - pd - dp


@njit(cache=True)
def _fill(stiffness: Array, sums: Array) -> None:
    """Put products of (1, 2 xi, xi^2), from the sums of xi^0 to xi^4, into each block of three by three."""
    for block in range(4):
        row, column = A22 * (block // 2), A22 * (block % 2)
        for a in range(3):
            for b in range(3):
                twice = (2.0 if a == 1 else 1.0) * (2.0 if b == 1 else 1.0)
                stiffness[row + a, column + b] = twice * sums[block, a + b]


@njit(cache=True)
def _refer(i: int, first: Array, stiffness: Array, by_metric: Array, force: Array, hess: Array) -> None:
    """Refer forces and stiffness of a point to its fields: first^T by_metric and first^T stiffness first."""
    for a in range(7):
        for b in range(5):
            if first[a, b] == 0.0:
                continue
            force[i, b] += first[a, b] * by_metric[i, a]
            for c in range(7):
                value = first[a, b] * stiffness[a, c]
                if value != 0.0:
                    for d in range(5):
                        hess[i, b, d] += value * first[c, d]


@njit(cache=True)
def _bend(line: Line, i: int, q: Array, by_metric: Array, hess: Array) -> None:
    """Add the forces by metric times the second derivative of the metrics by the fields."""
    h, rho, kappa, heading = line.half[i], line.r[i] + q[i, U], line.curvature[i] + q[i, BETA_S], line.heading[i]
    tr, tz = math.cos(heading + q[i, BETA]), math.sin(heading + q[i, BETA])
    xr, xz = math.cos(heading) + q[i, U_S], math.sin(heading) + q[i, W_S]
    stretch, shear, dr, dz = xr * tr + xz * tz, xz * tr - xr * tz, -tz, tr
    pa, pb, pc, g = by_metric[i, A11], h * by_metric[i, B11], h * h * by_metric[i, C11], by_metric[i, G1]
    ra, rb, rc = by_metric[i, A22], h * by_metric[i, B22], h * h * by_metric[i, C22]
    hess[i, U, U] += 2.0 * ra
    hess[i, U_S, U_S] += 2.0 * pa
    hess[i, W_S, W_S] += 2.0 * pa
    hess[i, BETA, BETA] += pb * kappa * stretch - rb * rho * dr + 2.0 * rc * (tr * tr - dr * dr) - g * shear
    hess[i, BETA_S, BETA_S] += 2.0 * pc
    pairs = (
        (U, BETA, -rb * tr),
        (U_S, BETA, -pb * kappa * dr - g * tr),
        (U_S, BETA_S, -pb * tr),
        (W_S, BETA, -pb * kappa * dz - g * tz),
        (W_S, BETA_S, -pb * tz),
        (BETA, BETA_S, -pb * shear),
    )
    for a, b, value in pairs:
        hess[i, a, b] += value
        hess[i, b, a] += value


@njit(cache=True)
def _settle(i: int, metal: Metal, inward: Array, e: Array, new: History) -> None:
    """Integrate the thickness stretch of the layers of a point from the middle to each of them."""
    swelling, count = (1.0 - 2.0 * metal.poissons_ratio) / metal.youngs_modulus, e.shape[1]
    thinning, stress, position, half = np.empty(count), new.stress, new.position, count // 2
    for j in range(count):
        p, d = stress[0, i, j], stress[1, i, j] / ROOT3
        thinning[j] = math.exp(swelling * ((p + d) + (p - d)) - e[0, j] - e[1, j])
    for j in range(count):
        side = j // half
        position[i, j] = 0.0
        for m in range(half):
            position[i, j] += inward[side, j - side * half, m] * thinning[side * half + m]
