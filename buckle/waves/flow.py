"""Plastic flow of the layers of a waved wall: J2 in plane stress with shear, second order in the step; compiled.

As in `shell.points`, with a third component: stress triples s = (p, 3^(1/2) d, 3^(1/2) tau_12), s = K (e - e_plastic)
with K = (bulk, 3 shear, 3 shear), equivalent stress |s|, flow along s, and in a step along the mean of the directions
at its ends where the point flows on. Strain is the logarithm of the stretch in axes that turn with the metal, of which
the plastic part is taken off: exact where the principal axes stay, as in an axisymmetric state, and objective where
they turn (additive logarithmic plasticity; Miehe, Apel and Lambrecht 2002, from memory).
"""

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from buckle.shell.compiled import njit
from buckle.shell.points import CLOSED, ONWARD, TURNS, YIELDING, Metal, flow_stress

Array = NDArray[np.float64]
Triple = tuple[float, float, float]


class Layering(NamedTuple):
    """History of the layers: as in `shell.points.History`, at each angle."""

    strain: Array  # (3, points, angles, layers) [-]
    equivalent: Array  # (points, angles, layers) [-]
    stress: Array  # (3, points, angles, layers) [MPa]
    position: Array  # (points, angles, layers) [-]
    fresh: Array  # (points, angles, layers) [-]


@njit(cache=True, error_model="numpy")
def flow(metal: Metal, old: Layering, strain: Array) -> tuple[Layering, Array, bool]:
    """Take all layers to strain triples (3, points, angles, layers); also their moduli, and whether each return closed.

    Moduli (points, angles, layers, 3, 3) [MPa] are those of stress triples by strain triples, consistent with the step.
    """
    count, angles, layers = old.equivalent.shape
    new = Layering(old.strain.copy(), old.equivalent.copy(), old.stress.copy(), old.position, 0.0 * old.fresh)
    moduli, closed = np.zeros((count, angles, layers, 3, 3)), True
    nu = metal.poissons_ratio
    k = (0.5 * metal.youngs_modulus / (1.0 - nu), 1.5 * metal.youngs_modulus / (1.0 + nu))
    for i in range(count):
        for j in range(angles):
            for n in range(layers):
                s = (
                    k[0] * (strain[0, i, j, n] - old.strain[0, i, j, n]),
                    k[1] * (strain[1, i, j, n] - old.strain[1, i, j, n]),
                    k[1] * (strain[2, i, j, n] - old.strain[2, i, j, n]),
                )
                own = moduli[i, j, n]
                own[0, 0], own[1, 1], own[2, 2] = k[0], k[1], k[1]
                if metal.flows:
                    strength, _ = flow_stress(metal.law, metal.numbers, old.equivalent[i, j, n])
                    if not _length(s) <= strength:
                        before = (old.stress[0, i, j, n], old.stress[1, i, j, n], old.stress[2, i, j, n])
                        start = _start(before, s, strength)
                        step, s, strength, slope, shut = _returned(k, s, start, old.equivalent[i, j, n], metal)
                        closed = closed and shut
                        for c in range(3):
                            new.strain[c, i, j, n] += step * (start[c] + start[3] * s[c] / strength)
                        new.equivalent[i, j, n] += step
                        new.fresh[i, j, n] = old.fresh[i, j, n] + step
                        _flowing(k, s, (step / strength, slope), start, own)
                new.stress[0, i, j, n], new.stress[1, i, j, n], new.stress[2, i, j, n] = s
    return new, moduli, closed


@njit(cache=True)
def _length(s: Triple) -> float:
    return math.sqrt(s[0] * s[0] + s[1] * s[1] + s[2] * s[2])


@njit(cache=True)
def _start(before: Triple, trial: Triple, strength: float) -> tuple[float, float, float, float]:
    """Half the flow direction at the start, where the point was flowing and goes on so, and the weight of its end."""
    length = _length(before)
    along = before[0] * trial[0] + before[1] * trial[1] + before[2] * trial[2]
    if length > YIELDING * strength and along > ONWARD * length * _length(trial):
        half = 0.5 / length
        return half * before[0], half * before[1], half * before[2], 0.5
    return 0.0, 0.0, 0.0, 1.0


@njit(cache=True)
def _returned(
    k: tuple[float, float], trial: Triple, start: tuple[float, float, float, float], old: float, metal: Metal
) -> tuple[float, Triple, float, float, bool]:
    """Solve |s(step)| = strength(old + step) for the plastic strain of the step, as `shell.points` does.

    Returns it with the stress triple, strength, slope and whether it closed.
    """
    share, size = start[3], _length(trial)
    strength, slope = flow_stress(metal.law, metal.numbers, old)
    turned = trial[1] * trial[1] + trial[2] * trial[2]
    stiff = (k[0] * trial[0] * trial[0] + k[1] * turned) / (size * size)
    step, low, high = (size - strength) / (stiff + slope), 0.0, np.inf
    s, closed = trial, False
    for _ in range(TURNS):
        strength, slope = flow_stress(metal.law, metal.numbers, old + step)
        y = step / strength
        soft_p, soft_d = 1.0 / (1.0 + k[0] * share * y), 1.0 / (1.0 + k[1] * share * y)
        p = (trial[0] - step * k[0] * start[0]) * soft_p
        d, t = (trial[1] - step * k[1] * start[1]) * soft_d, (trial[2] - step * k[1] * start[2]) * soft_d
        size = _length((p, d, t))
        error = size - strength
        if abs(error) <= CLOSED * strength:
            scale = strength / size
            s, closed = (p * scale, d * scale, t * scale), True
            break
        if error > 0.0:
            low = step
        else:
            high = step
        turning = share * (1.0 - y * slope) / strength
        across = d * (start[1] + turning * d) + t * (start[2] + turning * t)
        rate = k[0] * p * soft_p * (start[0] + turning * p) + k[1] * soft_d * across
        step += error / (rate * strength / (size * size) + slope)
        if not low < step < high:
            step = 0.5 * (low + high) if high < np.inf else 2.0 * low + 1e-9
    return step, s, strength, slope, closed


@njit(cache=True)
def _flowing(
    k: tuple[float, float],
    s: Triple,
    flowing: tuple[float, float],
    start: tuple[float, float, float, float],
    out: Array,
) -> None:
    """Moduli (3, 3) of a point that flows; `flowing` is (y, H): y = step / sigma_eq and the hardening slope."""
    (y, slope), share, size = flowing, start[3], _length(s)
    n = (s[0] / size, s[1] / size, s[2] / size)
    soft = k[1] / (1.0 + k[1] * share * y)
    q = (k[0] / (1.0 + k[0] * share * y), soft, soft)
    own = share * (1.0 - y * slope)
    left = (q[0] * (start[0] + own * n[0]), q[1] * (start[1] + own * n[1]), q[2] * (start[2] + own * n[2]))
    factor = 1.0 / (slope + n[0] * left[0] + n[1] * left[1] + n[2] * left[2])
    for a in range(3):
        for b in range(3):
            out[a, b] = -factor * left[a] * q[b] * n[b]
        out[a, a] += q[a]


@njit(cache=True, error_model="numpy")
def settled(metal: Metal, inward: Array, strain: Array, stress: Array) -> Array:
    """Positions of the layers, (points, angles, layers) [-], from their thickness stretch at constant plastic volume.

    Strain and stress triples (3, points, angles, layers) [-] and [MPa]; `inward` integrates as in `shell.points`.
    """
    swelling = 2.0 * (1.0 - 2.0 * metal.poissons_ratio) / metal.youngs_modulus
    _, count, angles, layers = strain.shape
    position, thinning, half = np.zeros((count, angles, layers)), np.empty(layers), layers // 2
    for i in range(count):
        for j in range(angles):
            for n in range(layers):
                thinning[n] = math.exp(swelling * stress[0, i, j, n] - strain[0, i, j, n])
            for n in range(layers):
                side = n // half
                for m in range(half):
                    position[i, j, n] += inward[side, n - side * half, m] * thinning[side * half + m]
    return position
