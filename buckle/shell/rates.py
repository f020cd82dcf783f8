"""How all points answer when a body is changed a little: derivatives of a step by numbers of the body, compiled.

Direct differentiation of what `points` works out, at a state that was found: kinematics, strains, the return to the
yield surface, forces, and the history that the step leaves, by each of many numbers at once ("columns"). Which layers
flow in a step, and by which rule, stays as it was. Derived here.

With trial stress T = K (E - E_plastic), step D of plastic strain, flow m = b + share n (b what the rule takes from the
start of the step, n = s/sigma), y = D/sigma and hardening slope H, the return is s = T - K D m, sigma = Y(a + D). So

    d s = Q (g + share y n (H da + dY) - (m - share y H n) dD),   Q = K / (1 + K share y)
    g = (dT - dK D m) / K - D db
    dD = (n . Q (g + share y n (H da + dY)) - H da - dY) / (H + n . Q (m - share y H n))

`dY` is the derivative of the flow stress by the column at a given plastic strain. The sign of forces and the order of
all arrays are those of `points`. What is compiled for it stands in this file (see `points`).
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckle.shell.compiled import njit
from buckle.shell.numbering import FieldRow, MetricRow
from buckle.shell.points import ENGINEERING, ONWARD, ROOT3, SMALL, YIELDING, History, Layers, Line, Metal

Array = NDArray[np.float64]
U, U_S, W_S, BETA, BETA_S = map(int, FieldRow)
A11, B11, C11, A22, B22, C22, G1 = map(int, MetricRow)


class GeometryRates(NamedTuple):
    """Derivatives of the reference geometry by each column, the last index, in the units of rows by numbers [1].

    The rows are those of `Line`, and of `Layers` along, around and weight.
    """

    line: Array  # (5, points, columns)
    layers: Array  # (3, points, layers, columns)


class MetalRates(NamedTuple):
    """Derivatives of the metal by each column."""

    stiffness: Array  # (2, columns) [MPa] of (bulk, 3 shear)
    swelling: Array  # (columns,) [1/MPa] of (1 - 2 nu) / E


class HistoryRates(NamedTuple):
    """Derivatives of the history of the layers by each column, the last index, as in `History` by numbers [1]."""

    strain: Array  # (2, points, layers, columns)
    equivalent: Array  # (points, layers, columns)
    stress: Array  # (2, points, layers, columns)
    position: Array  # (points, layers, columns)
    fresh: Array  # (points, layers, columns)


class Flow(NamedTuple):
    """Flow stress [MPa] at the start of a step, its slope at the end, and its derivative there by each column."""

    before: Array  # (points, layers)
    slope: Array  # (points, layers)
    rate: Array  # (points, layers, columns)


def no_history_rates(layer_points: tuple[int, ...], columns: int) -> HistoryRates:
    """Rates of a history (points, layers) that no column changes."""
    shape = (*layer_points, columns)
    return HistoryRates(np.zeros((2, *shape)), np.zeros(shape), np.zeros((2, *shape)), np.zeros(shape), np.zeros(shape))


@njit(cache=True, error_model="numpy")
def rates(
    body: tuple[Line, Layers, Metal],
    changes: tuple[GeometryRates, MetalRates],
    step: tuple[History, History, Flow],
    old_rates: HistoryRates,
    fields: tuple[Array, Array],
    forces: bool,
) -> tuple[Array, HistoryRates]:
    """Derivatives of the forces by the fields (points, 5, columns), or else of the whole history that a step leaves.

    `step` holds the history that the step starts from and the one that it leaves; `fields` those at its end, (points,
    5) [mm, -, rad, rad/mm], and how the columns change them, (points, 5, columns).
    """
    (line, layers, metal), (geometry, matter), (old, new, _), (q, dq) = body, changes, step, fields
    count, layer_count, columns = old.equivalent.shape[0], old.equivalent.shape[1], dq.shape[2]
    shape = (count, layer_count, columns)
    out = HistoryRates(
        np.empty((2, *shape)), np.empty(shape), np.empty((2, *shape)), old_rates.position.copy(), np.zeros(shape)
    )
    force, m, dm, first = np.zeros((count, 5, columns)), np.empty(7), np.empty((7, columns)), np.zeros((7, 5))
    dfirst, by, dby = np.zeros((7, 5, columns)), np.empty(7), np.empty((7, columns))
    e, de, thin = np.empty((2, layer_count)), np.empty((2, layer_count, columns)), np.empty((layer_count, columns))
    finite, layered = metal.measure != SMALL, (layers, geometry.layers)
    for i in range(count):
        at = _metrics(line, i, q, finite, m, first)
        _metric_rates(at, (geometry.line, dq, i), finite, dm, dfirst)
        if not finite:
            _linear(i, (q, dq), (first, dfirst), m, dm)
        _strain_rates(i, metal.measure, (m, dm), layered, (old.position, old_rates.position), (e, de))
        _flow_rates(i, (metal, matter), step, old_rates, (e, de), out)
        if forces:
            _layer_forces(i, metal.measure, (m, dm, e, de), layered, (old, new, old_rates, out), (by, dby))
            _shear(line.shear[i], geometry.line[4, i], (m, dm), (by, dby))
            _refer(i, (first, dfirst), (by, dby), force)
        elif finite and metal.flows:
            _settle_rates(i, (metal, matter), layers.inward, (e, de), (new, out), thin)
    return force, out


@njit(cache=True, error_model="numpy")
def _metrics(line: Line, i: int, q: Array, finite: bool, m: Array, first: Array) -> tuple[float, ...]:
    """Metrics of a point and their first variation; returns what their derivatives are made of."""
    u, us, ws, beta, betas = 0.0, 0.0, 0.0, 0.0, 0.0
    if finite:
        u, us, ws, beta, betas = q[i, U], q[i, U_S], q[i, W_S], q[i, BETA], q[i, BETA_S]
    h, rho, kappa, heading = line.half[i], line.r[i] + u, line.curvature[i] + betas, line.heading[i]
    tr, tz = math.cos(heading + beta), math.sin(heading + beta)
    sine, cosine = math.sin(heading), math.cos(heading)
    xr, xz = cosine + us, sine + ws
    stretch, shear = xr * tr + xz * tz, xz * tr - xr * tz
    m[A11], m[B11], m[C11] = xr * xr + xz * xz, -h * kappa * stretch, h * h * kappa * kappa
    m[A22], m[B22], m[C22], m[G1] = rho * rho, -h * rho * tz, h * h * tz * tz, shear
    first[A11, U_S], first[A11, W_S] = 2.0 * xr, 2.0 * xz
    first[B11, U_S], first[B11, W_S], first[B11, BETA] = -h * kappa * tr, -h * kappa * tz, -h * kappa * shear
    first[B11, BETA_S], first[C11, BETA_S] = -h * stretch, 2.0 * h * h * kappa
    first[A22, U], first[B22, U], first[B22, BETA] = 2.0 * rho, -h * tz, -h * rho * tr
    first[C22, BETA] = 2.0 * h * h * tz * tr
    first[G1, U_S], first[G1, W_S], first[G1, BETA] = -tz, tr, -stretch
    return h, rho, kappa, tr, tz, sine, cosine, xr, xz


@njit(cache=True, error_model="numpy")
def _metric_rates(
    at: tuple[float, ...], changes: tuple[Array, Array, int], finite: bool, dm: Array, dfirst: Array
) -> None:
    """Derivatives of the metrics of a point and of their first variation by the columns."""
    (h, rho, kappa, tr, tz, sine, cosine, xr, xz), (dline, dq, i) = at, changes
    stretch, shear, moves = xr * tr + xz * tz, xz * tr - xr * tz, 1.0 if finite else 0.0
    for c in range(dq.shape[2]):
        drho, dheading, dh = dline[0, i, c] + moves * dq[i, U, c], dline[1, i, c], dline[3, i, c]
        dkappa, dangle = dline[2, i, c] + moves * dq[i, BETA_S, c], dheading + moves * dq[i, BETA, c]
        dxr, dxz = moves * dq[i, U_S, c] - sine * dheading, moves * dq[i, W_S, c] + cosine * dheading
        dtr, dtz = -tz * dangle, tr * dangle
        dstretch = dxr * tr + xr * dtr + dxz * tz + xz * dtz
        dshear = dxz * tr + xz * dtr - dxr * tz - xr * dtz
        dhk = dh * kappa + h * dkappa
        dm[A11, c], dm[B11, c] = 2.0 * (xr * dxr + xz * dxz), -dhk * stretch - h * kappa * dstretch
        dm[C11, c], dm[A22, c] = 2.0 * h * kappa * dhk, 2.0 * rho * drho
        dm[B22, c] = -dh * rho * tz - h * drho * tz - h * rho * dtz
        dm[C22, c], dm[G1, c] = 2.0 * h * tz * (dh * tz + h * dtz), dshear
        dfirst[A11, U_S, c], dfirst[A11, W_S, c] = 2.0 * dxr, 2.0 * dxz
        dfirst[B11, U_S, c], dfirst[B11, W_S, c] = -dhk * tr - h * kappa * dtr, -dhk * tz - h * kappa * dtz
        dfirst[B11, BETA, c] = -dhk * shear - h * kappa * dshear
        dfirst[B11, BETA_S, c] = -dh * stretch - h * dstretch
        dfirst[C11, BETA_S, c] = 2.0 * (dh * h * kappa + h * dhk)
        dfirst[A22, U, c], dfirst[B22, U, c] = 2.0 * drho, -dh * tz - h * dtz
        dfirst[B22, BETA, c] = -dh * rho * tr - h * drho * tr - h * rho * dtr
        dfirst[C22, BETA, c] = 2.0 * h * (2.0 * dh * tz * tr + h * (dtz * tr + tz * dtr))
        dfirst[G1, U_S, c], dfirst[G1, W_S, c], dfirst[G1, BETA, c] = -dtz, dtr, -dstretch


@njit(cache=True, error_model="numpy")
def _linear(i: int, fields: tuple[Array, Array], variation: tuple[Array, Array], m: Array, dm: Array) -> None:
    """Put the linear change of the metrics on those of the unstrained state, with its derivatives."""
    (q, dq), (first, dfirst) = fields, variation
    for a in range(7):
        for b in range(5):
            m[a] += first[a, b] * q[i, b]
            for c in range(dq.shape[2]):
                dm[a, c] += dfirst[a, b, c] * q[i, b] + first[a, b] * dq[i, b, c]


@njit(cache=True, error_model="numpy")
def _strain_rates(
    i: int,
    measure: int,
    metrics: tuple[Array, Array],
    reference: tuple[Layers, Array],
    at: tuple[Array, Array],
    out: tuple[Array, Array],
) -> None:
    """Strains of the layers of a point and their derivatives."""
    (m, dm), (layers, dlayers), (position, dposition), (e, de) = metrics, reference, at, out
    for j in range(position.shape[1]):
        xi = position[i, j]
        for side in range(2):
            a, b, c2 = (A11, B11, C11) if side == 0 else (A22, B22, C22)
            rest = layers.along[i, j] if side == 0 else layers.around[i, j]
            now, turn = m[a] + xi * (2.0 * m[b] + xi * m[c2]), 2.0 * (m[b] + xi * m[c2])
            squared = now / rest
            if measure == SMALL:
                e[side, j], factor = 0.5 * (squared - 1.0), 0.5 * squared
            elif measure == ENGINEERING:
                root = math.sqrt(squared)
                e[side, j], factor = root - 1.0, 0.5 * root
            else:
                e[side, j], factor = 0.5 * math.log(squared), 0.5
            for c in range(dm.shape[1]):
                change = dm[a, c] + xi * (2.0 * dm[b, c] + xi * dm[c2, c]) + turn * dposition[i, j, c]
                de[side, j, c] = factor * (change / now - dlayers[side, i, j, c] / rest)


@njit(cache=True, error_model="numpy")
def _rule(
    at: tuple[int, int], k: tuple[float, float], step: tuple[History, History, Flow], e: Array
) -> tuple[float, ...]:
    """What a layer that flows takes from the start of its step: (b, share, length of the stress there)."""
    (i, j), (kp, kd), (old, _, flow) = at, k, step
    hp, hd = old.stress[0, i, j], old.stress[1, i, j]
    length = math.sqrt(hp * hp + hd * hd)
    tp = kp * (e[0, j] + e[1, j] - old.strain[0, i, j])
    td = kd * ((e[0, j] - e[1, j]) / ROOT3 - old.strain[1, i, j])
    onward = hp * tp + hd * td > ONWARD * length * math.sqrt(tp * tp + td * td)
    if length > YIELDING * flow.before[i, j] and onward:
        return 0.5 * hp / length, 0.5 * hd / length, 0.5, length
    return 0.0, 0.0, 1.0, 1.0


@njit(cache=True, error_model="numpy")
def _flow_rates(
    i: int,
    metals: tuple[Metal, MetalRates],
    step: tuple[History, History, Flow],
    old_rates: HistoryRates,
    strains: tuple[Array, Array],
    out: HistoryRates,
) -> None:
    """Derivatives of stress and history of the layers of a point by those of their strains."""
    (metal, matter), (old, new, flow), (e, de) = metals, step, strains
    kp = 0.5 * metal.youngs_modulus / (1.0 - metal.poissons_ratio)
    kd = 1.5 * metal.youngs_modulus / (1.0 + metal.poissons_ratio)
    for j in range(e.shape[1]):
        more = new.equivalent[i, j] - old.equivalent[i, j]
        sp, sd = new.stress[0, i, j], new.stress[1, i, j]
        for c in range(de.shape[2]):
            # (dT - K D db - dK D m) / K = d(E - E_plastic at the start) + dK s / K^2 - D db, since T - K D m is s
            dep, ded = de[0, j, c] + de[1, j, c], (de[0, j, c] - de[1, j, c]) / ROOT3
            dkp, dkd = matter.stiffness[0, c] * sp / kp, matter.stiffness[1, c] * sd / kd
            out.stress[0, i, j, c] = kp * (dep - old_rates.strain[0, i, j, c]) + dkp
            out.stress[1, i, j, c] = kd * (ded - old_rates.strain[1, i, j, c]) + dkd
            out.equivalent[i, j, c] = old_rates.equivalent[i, j, c]
            out.strain[0, i, j, c], out.strain[1, i, j, c] = old_rates.strain[0, i, j, c], old_rates.strain[1, i, j, c]
        if metal.flows and more > 0.0:
            bp, bd, share, length = _rule((i, j), (kp, kd), step, e)
            size, slope = math.sqrt(sp * sp + sd * sd), flow.slope[i, j]
            normal = (sp / size, sd / size, share * more / size)
            own = share * (1.0 - more / size * slope)
            left = (bp + own * normal[0], bd + own * normal[1])
            turned = (2.0 * bp, 2.0 * bd, 0.5 * more / length if share < 1.0 else 0.0)
            _returned((i, j), (kp, kd), (normal, left, turned, slope), (flow.rate, old_rates), matter, (de, out))


@njit(cache=True, error_model="numpy")
def _returned(
    at: tuple[int, int],
    k: tuple[float, float],
    rule: tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...], float],
    known: tuple[Array, HistoryRates],
    matter: MetalRates,
    out: tuple[Array, HistoryRates],
) -> None:
    """Take the derivatives of a layer that flows from those of its trial stress to those on the yield surface."""
    (i, j), (kp, kd), (flow_rate, old), (de, new) = at, k, known, out
    (np_, nd, y), (lp, ld), (op, od, turn), slope = rule
    qp, qd = kp / (1.0 + kp * y), kd / (1.0 + kd * y)
    under = slope + np_ * qp * lp + nd * qd * ld
    for c in range(de.shape[2]):
        known_rate = slope * old.equivalent[i, j, c] + flow_rate[i, j, c]
        across = od * old.stress[0, i, j, c] - op * old.stress[1, i, j, c]
        gp = new.stress[0, i, j, c] / kp + y * np_ * known_rate - turn * od * across
        gd = new.stress[1, i, j, c] / kd + y * nd * known_rate + turn * op * across
        grown = (np_ * qp * gp + nd * qd * gd - known_rate) / under
        dsp, dsd = qp * (gp - lp * grown), qd * (gd - ld * grown)
        # E_plastic = E - s / K on both sides: its change is what the trial stress changes more than the stress
        new.strain[0, i, j, c] += (new.stress[0, i, j, c] - dsp) / kp
        new.strain[1, i, j, c] += (new.stress[1, i, j, c] - dsd) / kd
        new.stress[0, i, j, c], new.stress[1, i, j, c] = dsp, dsd
        new.equivalent[i, j, c] += grown
        new.fresh[i, j, c] = old.fresh[i, j, c] + grown


@njit(cache=True, error_model="numpy")
def _layer_forces(
    i: int,
    measure: int,
    metrics: tuple[Array, Array, Array, Array],
    reference: tuple[Layers, Array],
    states: tuple[History, History, HistoryRates, HistoryRates],
    out: tuple[Array, Array],
) -> None:
    """Sum the forces of the layers of a point by the metrics, and their derivatives."""
    (m, dm, e, de), (layers, dlayers), (old, new, old_rates, new_rates), (by, dby) = metrics, reference, states, out
    by[:], dby[:] = 0.0, 0.0
    for layer in range(2 * e.shape[1]):
        j, side = layer // 2, layer % 2
        xi, half = old.position[i, j], 0.5 * layers.weight[i, j]
        a, b, c2 = (A11, B11, C11) if side == 0 else (A22, B22, C22)
        sign = (1.0 if side == 0 else -1.0) / ROOT3
        now, turn = m[a] + xi * (2.0 * m[b] + xi * m[c2]), 2.0 * (m[b] + xi * m[c2])
        metric = now
        if measure == SMALL:
            metric = layers.along[i, j] if side == 0 else layers.around[i, j]
        t = new.stress[0, i, j] + sign * new.stress[1, i, j]
        stretch = 1.0 + e[side, j] if measure == ENGINEERING else 1.0
        f = half * stretch * t / metric
        by[a], by[b], by[c2] = by[a] + f, by[b] + 2.0 * xi * f, by[c2] + xi * xi * f
        for c in range(dm.shape[1]):
            dxi = old_rates.position[i, j, c]
            dt = stretch * (new_rates.stress[0, i, j, c] + sign * new_rates.stress[1, i, j, c])
            dt += de[side, j, c] * t if measure == ENGINEERING else 0.0
            dmetric = dm[a, c] + xi * (2.0 * dm[b, c] + xi * dm[c2, c]) + turn * dxi
            dmetric = dlayers[side, i, j, c] if measure == SMALL else dmetric
            df = (half * dt + 0.5 * dlayers[2, i, j, c] * stretch * t - f * dmetric) / metric
            dby[a, c] += df
            dby[b, c] += 2.0 * (xi * df + dxi * f)
            dby[c2, c] += xi * (xi * df + 2.0 * dxi * f)


@njit(cache=True, error_model="numpy")
def _shear(stiffness: float, change: Array, metrics: tuple[Array, Array], out: tuple[Array, Array]) -> None:
    """Put in the force of transverse shear."""
    (m, dm), (by, dby) = metrics, out
    by[G1] = stiffness * m[G1]
    for c in range(dm.shape[1]):
        dby[G1, c] = stiffness * dm[G1, c] + change[c] * m[G1]


@njit(cache=True, error_model="numpy")
def _refer(i: int, variation: tuple[Array, Array], by_metric: tuple[Array, Array], force: Array) -> None:
    """Refer the derivatives of the forces by the metrics of a point to its fields."""
    (first, dfirst), (by, dby) = variation, by_metric
    for a in range(7):
        for b in range(5):
            for c in range(force.shape[2]):
                force[i, b, c] += first[a, b] * dby[a, c] + dfirst[a, b, c] * by[a]


@njit(cache=True, error_model="numpy")
def _settle_rates(
    i: int,
    metals: tuple[Metal, MetalRates],
    inward: Array,
    strains: tuple[Array, Array],
    state: tuple[History, HistoryRates],
    thin: Array,
) -> None:
    """Derivatives of the positions of the layers of a point: of the integrals of their thickness stretch."""
    (metal, matter), (e, de), (new, out) = metals, strains, state
    swelling, count, columns = (1.0 - 2.0 * metal.poissons_ratio) / metal.youngs_modulus, e.shape[1], de.shape[2]
    half = count // 2
    for j in range(count):
        p = new.stress[0, i, j]
        stretch = math.exp(2.0 * swelling * p - e[0, j] - e[1, j])
        for c in range(columns):
            swell = 2.0 * (swelling * out.stress[0, i, j, c] + matter.swelling[c] * p)
            thin[j, c] = stretch * (swell - de[0, j, c] - de[1, j, c])
    for j in range(count):
        side = j // half
        out.position[i, j, :] = 0.0
        for k in range(half):
            factor = inward[side, j - side * half, k]
            for c in range(columns):
                out.position[i, j, c] += factor * thin[side * half + k, c]
