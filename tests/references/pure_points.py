"""What `buckle.shell.points` compiles, once more in plain array operations: kinematics, plastic layers, and back.

The plastic return is found for all points at once by halving an interval; laws come from `buckle.material`.
"""

from dataclasses import dataclass

import numpy as np

from buckle.material import Material
from buckle.shell import kinematics
from buckle.shell.model import Model
from buckle.shell.plasticity import PlasticState, moduli

ROOT3 = np.sqrt(3.0)


@dataclass
class Pure:
    """Forces by the fields, their derivative, stresses and the history that a step leaves."""

    force: np.ndarray
    hess: np.ndarray
    tau: np.ndarray
    strain: np.ndarray
    equivalent: np.ndarray
    position: np.ndarray


def respond(model: Model, old: PlasticState, q: np.ndarray) -> Pure:
    """Take all points of a shell of finite strain from a history to the fields q (points, 5)."""
    wall, xi = model.shell.wall, old.position
    at = kinematics.deformed(model.shell.elements.station, q)
    along, around, shear = at.metric
    first = kinematics.first_variation(at)
    c1, c2 = (m[:, :1] + xi * (2.0 * m[:, 1:2] + xi * m[:, 2:]) for m in (along, around))
    s1, s2 = c1 / wall.along, c2 / wall.around
    plastic = wall.material.hardening is not None
    if type(wall.measure).__name__ == "Engineering":
        e1, e2 = np.sqrt(s1) - 1.0, np.sqrt(s2) - 1.0
    else:
        e1, e2 = 0.5 * np.log(s1), 0.5 * np.log(s2)
    stress, strain, equivalent, d = layers(wall.material, e1, e2, old, plastic=plastic)
    t1, t2 = stress[0] + stress[1] / ROOT3, stress[0] - stress[1] / ROOT3
    swelling = (1.0 - 2.0 * wall.material.poissons_ratio) / wall.material.youngs_modulus
    position = radius_through_wall(wall.xi, np.exp(swelling * (t1 + t2) - e1 - e2))
    if type(wall.measure).__name__ == "Engineering":
        a, b = 1.0 + e1, 1.0 + e2
        t1, t2 = a * t1, b * t2
        d = (a * a * d[0] + t1, a * b * d[1], a * b * d[2], b * b * d[3] + t2)
    poly = np.stack([np.ones_like(xi), 2.0 * xi, xi * xi])
    w = wall.weight
    by_metric = np.concatenate(
        [
            np.einsum("pl,ipl->pi", 0.5 * w * t1 / c1, poly),
            np.einsum("pl,ipl->pi", 0.5 * w * t2 / c2, poly),
            (wall.shear_along * shear)[:, None],
        ],
        axis=1,
    )
    stiff = np.zeros((len(q), 7, 7))
    for i, j, density in (
        (0, 0, (d[0] - 2.0 * t1) / c1**2),
        (0, 3, d[1] / (c1 * c2)),
        (3, 0, d[2] / (c1 * c2)),
        (3, 3, (d[3] - 2.0 * t2) / c2**2),
    ):
        stiff[:, i : i + 3, j : j + 3] = np.einsum("pl,apl,bpl->pab", 0.25 * w * density, poly, poly)
    stiff[:, 6, 6] = wall.shear_along
    force = np.einsum("pa,pab->pb", by_metric, first)
    hess = np.einsum("pab,pac,pcd->pbd", first, stiff, first) + kinematics.second_variation(at, by_metric)
    return Pure(force, hess, np.stack([t1, t2]), strain, equivalent, position)


def layers(material: Material, e1: np.ndarray, e2: np.ndarray, old: PlasticState, *, plastic: bool) -> tuple:
    """Stress pair, plastic strain pair, equivalent plastic strain and moduli (d11, d12, d21, d22) of all layers."""
    k = np.array(moduli(material))[:, None, None]
    trial = k * (np.stack([e1 + e2, (e1 - e2) / ROOT3]) - old.strain)
    hooke, cross = k[0] + k[1] / 3.0, k[0] - k[1] / 3.0
    d = np.stack([np.broadcast_to(part, e1.shape) for part in (hooke, cross, cross, hooke)]).copy()
    strain, equivalent = old.strain.copy(), old.equivalent.copy()
    if not plastic:
        return trial, strain, equivalent, d
    law = material.hardening.stress_and_slope
    strength = law(old.equivalent)[0]
    flows = np.hypot(*trial) > strength
    before, size = np.hypot(*old.stress), np.hypot(*trial)
    onward = (before > (1.0 - 1e-6) * strength) & (np.sum(old.stress * trial, axis=0) > 0.8 * before * size)
    start = np.where(onward, 0.5, 0.0) * old.stress / np.maximum(before, 1e-30)
    share = np.where(onward, 0.5, 1.0)
    low, high = np.zeros_like(size), np.where(flows, (size - strength) / np.min(k), 0.0)  # all elastic, softest way
    for _ in range(200):
        step = 0.5 * (low + high)
        strength, slope = law(old.equivalent + step)
        y = step / strength
        stress = (trial - step * k * start) / (1.0 + k * share * y)
        short = np.hypot(*stress) > strength
        low, high = np.where(short, step, low), np.where(short, high, step)
    stress = np.where(flows, stress, trial)
    n = stress / np.maximum(np.hypot(*stress), 1e-30)
    strain += np.where(flows, step * (start + share * n), 0.0)
    equivalent += step
    q = k / (1.0 + k * share * y)
    left, right = q * (start + share * (1.0 - y * slope) * n), q * n
    factor = 1.0 / (slope + np.sum(n * left, axis=0))
    pp, pd = q[0] - factor * left[0] * right[0], -factor * left[0] * right[1] / ROOT3
    dp, dd = -factor * left[1] * right[0] / ROOT3, (q[1] - factor * left[1] * right[1]) / 3.0
    flowing = np.stack([pp + dd + pd + dp, pp - dd - pd + dp, pp - dd + pd - dp, pp + dd - pd - dp])
    return stress, strain, equivalent, np.where(flows, flowing, d)


def radius_through_wall(xi: np.ndarray, thinning: np.ndarray) -> np.ndarray:
    """Integrals of the polynomials through the layers of each half, from the middle to each layer."""
    half, out = len(xi) // 2, np.empty_like(thinning)
    for part in (slice(0, half), slice(half, None)):
        for i, row in enumerate(thinning):
            integral = np.polynomial.Polynomial(np.polynomial.polynomial.polyfit(xi[part], row[part], half - 1)).integ()
            out[i, part] = integral(xi[part]) - integral(0.0)
    return out
