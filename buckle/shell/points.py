"""Forces and stiffness of all points at one displacement, compiled: kinematics, plastic layers, and back.

The kinematics are those of `kinematics`, written for one point (a test holds both together); `kinematics` itself serves
the waves. Everything compiled stands in this one file, because what is kept of a compilation does not notice when
another file changes.

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
layer's place is the integral of its thickness stretch from the middle. The places in a step are given with its start,
so that its tangent is that of a potential. Leaving this out makes the limit of a domed base 0.3 to 0.8 % too high.
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckle.material import LINEAR, SWIFT, VOCE
from buckle.shell.compiled import njit

Array = NDArray[np.float64]
Pair = tuple[float, float]
Start = tuple[float, float, float]
"""What a step takes from its start: the flow direction there, weighted, and the weight left for its end."""

SMALL, LOGARITHMIC, ENGINEERING = range(3)
"""Strain measures; the last one for elastic layers only."""
ROOT3 = math.sqrt(3.0)
ONWARD = 0.8  # cosine of the turn of stress in a step below which the direction at its end is taken
YIELDING = 1.0 - 1e-6  # of the strength: a stress that counts as at yield
CLOSED = 1e-9
"""Of the strength: what the return may leave undone; putting the stress on the yield surface then leaves round-off.

Ideal plasticity needs that: stress error / slope is strain error.
"""
TURNS = 100


class Line(NamedTuple):
    """Reference geometry of the points of the mid-surface, (points,), and their transverse shear stiffness."""

    r: Array
    heading: Array
    curvature: Array
    half: Array  # half thickness
    shear: Array


class Wall(NamedTuple):
    """Reference geometry of the layer points, (points, layers), and what places them."""

    along: Array  # metric C_11
    around: Array  # metric C_22
    weight: Array  # volume per radian
    inward: Array  # (2, layers / 2, layers / 2): integral through each half from the middle to each of its layers


class Metal(NamedTuple):
    """Elastic constants and flow stress; whether it flows; strain measure."""

    youngs_modulus: float
    poissons_ratio: float
    flows: bool
    law: int
    numbers: Array
    measure: int


class History(NamedTuple):
    """Plastic strain pair (2, points, layers), its equivalent, stress pair, places, strain since yield last began."""

    strain: Array
    equivalent: Array
    stress: Array
    place: Array
    fresh: Array


class Answer(NamedTuple):
    """What a step makes of all points."""

    history: History
    tau: Array  # (2, points, layers)
    metric: Array  # (2, points, layers): C_11 and C_22 that forces are referred to
    by_metric: Array  # (points, 7) derivative of the energy by (a11, b11, c11, a22, b22, c22, g1)
    force: Array  # (points, 5) by the fields
    hess: Array  # (points, 5, 5) its derivative, consistent with the step
    sound: bool  # False where the geometry or the plastic return is impossible


@njit(cache=True, error_model="numpy")
def respond(line: Line, wall: Wall, metal: Metal, old: History, q: Array) -> Answer:  # noqa: C901
    """Take all points from a history to the fields q (points, 5) = (u, u', w', beta, beta')."""
    count, layers = old.equivalent.shape
    strain, equivalent, stress = old.strain.copy(), old.equivalent.copy(), np.empty_like(old.stress)
    place, fresh = np.empty_like(old.place), np.zeros_like(old.fresh)
    tau, metric = np.empty_like(old.stress), np.empty_like(old.stress)
    by_metric, force, hess = np.zeros((count, 7)), np.zeros((count, 5)), np.zeros((count, 5, 5))
    first, m, stiffness = np.zeros((7, 5)), np.empty(7), np.zeros((7, 7))
    sums, thinning = np.empty((4, 5)), np.empty(layers)
    measure, finite, stiff, nu = metal.measure, metal.measure != SMALL, metal.youngs_modulus, metal.poissons_ratio
    k, swelling = (0.5 * stiff / (1.0 - nu), 1.5 * stiff / (1.0 + nu)), (1.0 - 2.0 * nu) / stiff
    hooke = (k[0] + k[1] / 3.0, k[0] - k[1] / 3.0, k[0] - k[1] / 3.0, k[0] + k[1] / 3.0)
    sound = True
    for i in range(count):
        sound = sound and _metrics(line, i, q, finite, m, first)
        sums[:] = 0.0
        for j in range(layers):
            xi = old.place[i, j]
            c1 = m[0] + xi * (2.0 * m[1] + xi * m[2])
            c2 = m[3] + xi * (2.0 * m[4] + xi * m[5])
            e1, e2 = _strain(measure, c1 / wall.along[i, j]), _strain(measure, c2 / wall.around[i, j])
            if not finite:
                c1, c2 = wall.along[i, j], wall.around[i, j]
            p = k[0] * (e1 + e2 - strain[0, i, j])
            d = k[1] * ((e1 - e2) / ROOT3 - strain[1, i, j])
            moduli = hooke
            if metal.flows:
                strength, _ = _flow_stress(metal.law, metal.numbers, equivalent[i, j])
                size = math.sqrt(p * p + d * d)
                if not size <= strength:
                    start = _start((old.stress[0, i, j], old.stress[1, i, j]), (p, d), size, strength)
                    step, p, d, strength, slope, closed = _returned(k, (p, d), start, equivalent[i, j], metal)
                    sound = sound and closed
                    strain[0, i, j] += step * (start[0] + start[2] * p / strength)
                    strain[1, i, j] += step * (start[1] + start[2] * d / strength)
                    equivalent[i, j] += step
                    fresh[i, j] = old.fresh[i, j] + step
                    moduli = _flowing(k, (p, d), (step / strength, slope), start)
            stress[0, i, j], stress[1, i, j] = p, d
            t1, t2 = p + d / ROOT3, p - d / ROOT3
            thinning[j] = math.exp(swelling * (t1 + t2) - e1 - e2)
            if measure == ENGINEERING:
                t1, t2, moduli = _referred(e1, e2, t1, t2, moduli)
            tau[0, i, j], tau[1, i, j], metric[0, i, j], metric[1, i, j] = t1, t2, c1, c2
            half = 0.5 * wall.weight[i, j]
            f1, f2 = half * t1 / c1, half * t2 / c2
            by_metric[i, 0] += f1
            by_metric[i, 1] += 2.0 * xi * f1
            by_metric[i, 2] += xi * xi * f1
            by_metric[i, 3] += f2
            by_metric[i, 4] += 2.0 * xi * f2
            by_metric[i, 5] += xi * xi * f2
            quarter, bent = 0.5 * half, 2.0 if finite else 0.0
            g11, g12 = quarter * (moduli[0] - bent * t1) / (c1 * c1), quarter * moduli[1] / (c1 * c2)
            g21, g22 = quarter * moduli[2] / (c1 * c2), quarter * (moduli[3] - bent * t2) / (c2 * c2)
            for power in range(5):
                sums[0, power] += g11
                sums[1, power] += g12
                sums[2, power] += g21
                sums[3, power] += g22
                g11, g12, g21, g22 = g11 * xi, g12 * xi, g21 * xi, g22 * xi
        if not sound:
            break
        by_metric[i, 6], stiffness[6, 6] = line.shear[i] * m[6], line.shear[i]
        for block in range(4):
            _fill(stiffness, 3 * (block // 2), 3 * (block % 2), sums, block)
        _refer(i, first, stiffness, by_metric, force, hess)
        if finite:
            _bend(line, i, q, by_metric, hess)
            _place(i, wall.inward, thinning, place)
        else:
            place[i] = old.place[i]
    return Answer(History(strain, equivalent, stress, place, fresh), tau, metric, by_metric, force, hess, sound)


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
def _metrics(line: Line, i: int, q: Array, finite: bool, m: Array, first: Array) -> bool:
    """The seven metrics of a point and their derivative by its fields; False where it lies across the axis.

    Where kinematics are linear both are those of the unstrained state, the metrics with their linear change.
    """
    u, us, ws, beta, betas = (q[i, 0], q[i, 1], q[i, 2], q[i, 3], q[i, 4]) if finite else (0.0, 0.0, 0.0, 0.0, 0.0)
    h, rho, kappa, heading = line.half[i], line.r[i] + u, line.curvature[i] + betas, line.heading[i]
    tr, tz = math.cos(heading + beta), math.sin(heading + beta)
    xr, xz = math.cos(heading) + us, math.sin(heading) + ws
    stretch, shear, dr = xr * tr + xz * tz, xz * tr - xr * tz, -tz
    m[0], m[1], m[2] = xr * xr + xz * xz, -h * kappa * stretch, h * h * kappa * kappa
    m[3], m[4], m[5], m[6] = rho * rho, h * rho * dr, h * h * dr * dr, shear
    first[0, 1], first[0, 2] = 2.0 * xr, 2.0 * xz
    first[1, 1], first[1, 2], first[1, 3] = -h * kappa * tr, -h * kappa * tz, -h * kappa * shear
    first[1, 4], first[2, 4] = -h * stretch, 2.0 * h * h * kappa
    first[3, 0], first[4, 0], first[4, 3] = 2.0 * rho, h * dr, -h * rho * tr
    first[5, 3] = -2.0 * h * h * dr * tr
    first[6, 1], first[6, 2], first[6, 3] = dr, tr, -stretch
    if not finite:
        for a in range(7):
            for b in range(5):
                m[a] += first[a, b] * q[i, b]
    return bool(rho > h * abs(dr))


@njit(cache=True)
def _strain(measure: int, s: float) -> float:
    """Strain of a stretch squared."""
    if measure == LOGARITHMIC:
        return 0.5 * math.log(s)
    return math.sqrt(s) - 1.0 if measure == ENGINEERING else 0.5 * (s - 1.0)


@njit(cache=True)
def _flow_stress(law: int, numbers: Array, strain: float) -> Pair:
    """Flow stress and slope: `material.flow_stress` for one strain."""
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
    strength, slope = _flow_stress(metal.law, metal.numbers, old)
    stiff = (k[0] * trial[0] * trial[0] + k[1] * trial[1] * trial[1]) / (size * size)
    step, low, high = (size - strength) / (stiff + slope), 0.0, np.inf
    p, d, closed = trial[0], trial[1], False
    for _ in range(TURNS):
        strength, slope = _flow_stress(metal.law, metal.numbers, old + step)
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
def _flowing(k: Pair, s: Pair, flow: Pair, start: Start) -> tuple[float, float, float, float]:
    """Moduli d11, d12, d21, d22 of a point that flows.

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
def _referred(
    e1: float, e2: float, t1: float, t2: float, d: tuple[float, float, float, float]
) -> tuple[float, float, tuple[float, float, float, float]]:
    """Refer nominal stress and its moduli to logarithmic strain: d e = stretch d ln(stretch)."""
    a, b = 1.0 + e1, 1.0 + e2
    t1, t2 = a * t1, b * t2
    return t1, t2, (a * a * d[0] + t1, a * b * d[1], a * b * d[2], b * b * d[3] + t2)


@njit(cache=True)
def _fill(stiffness: Array, i: int, j: int, sums: Array, block: int) -> None:
    """Put products of (1, 2 xi, xi^2), from the sums of xi^0 to xi^4, into a block of three by three."""
    for a in range(3):
        for b in range(3):
            twice = (2.0 if a == 1 else 1.0) * (2.0 if b == 1 else 1.0)
            stiffness[i + a, j + b] = twice * sums[block, a + b]


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
    h, rho, kappa, heading = line.half[i], line.r[i] + q[i, 0], line.curvature[i] + q[i, 4], line.heading[i]
    tr, tz = math.cos(heading + q[i, 3]), math.sin(heading + q[i, 3])
    xr, xz = math.cos(heading) + q[i, 1], math.sin(heading) + q[i, 2]
    stretch, shear, dr, dz = xr * tr + xz * tz, xz * tr - xr * tz, -tz, tr
    pa, pb, pc, g = by_metric[i, 0], h * by_metric[i, 1], h * h * by_metric[i, 2], by_metric[i, 6]
    ra, rb, rc = by_metric[i, 3], h * by_metric[i, 4], h * h * by_metric[i, 5]
    hess[i, 0, 0] += 2.0 * ra
    hess[i, 1, 1] += 2.0 * pa
    hess[i, 2, 2] += 2.0 * pa
    hess[i, 3, 3] += pb * kappa * stretch - rb * rho * dr + 2.0 * rc * (tr * tr - dr * dr) - g * shear
    hess[i, 4, 4] += 2.0 * pc
    pairs = (
        (0, 3, -rb * tr),
        (1, 3, -pb * kappa * dr - g * tr),
        (1, 4, -pb * tr),
        (2, 3, -pb * kappa * dz - g * tz),
        (2, 4, -pb * tz),
        (3, 4, -pb * shear),
    )
    for a, b, value in pairs:
        hess[i, a, b] += value
        hess[i, b, a] += value


@njit(cache=True)
def _place(i: int, inward: Array, thinning: Array, place: Array) -> None:
    """Integrate the thickness stretch of the layers of a point from the middle to each of them."""
    half = len(thinning) // 2
    for j in range(len(thinning)):
        side = min(j // max(half, 1), 1)
        place[i, j] = 0.0
        for m in range(half):
            place[i, j] += inward[side, j - side * half, m] * thinning[side * half + m]
