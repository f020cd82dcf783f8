"""What must hold of a waved shell whatever the answer: rigid motions, derivatives, and the axisymmetric shell in it."""

from dataclasses import replace

import numpy as np
import pytest

from buckle.bands.lapack import general
from buckle.errors import SolveError
from buckle.material import Material
from buckle.shell.model import Load, Model
from buckle.shell.operators import evaluate as evaluate_shell
from buckle.shell.operators import residual as shell_residual
from buckle.shell.operators import tangent as shell_tangent
from buckle.shell.operators import wave_operator
from buckle.shell.strain import ENGINEERING, LOGARITHMIC, SMALL, StrainMeasure
from buckle.waves import strain
from buckle.waves.body import Waved, points_around, waved, waved_together
from buckle.waves.kinematics import metrics_of
from buckle.waves.numbering import PointRow as P
from buckle.waves.operators import evaluate, residual, tangent
from tests.verification.test_invariants import (
    ALUMINIUM,
    HARDENING,
    PRESSURE,
    STRAIN,
    displaced,
    full,
    relative,
    wavy_model,
)

WAVES = 5


def deviated(model: Model, *, size: float = 0.01, count: int = 3) -> Waved:
    """The body of every sign and term, with a random deviation in waves."""
    shape = size * np.random.default_rng(3).standard_normal(model.shell.elements.wave.size)
    shape[model.supports.wave_fixed(WAVES)] = 0.0
    return waved(model, WAVES, shape, count)


def moved(body: Waved, size: float = 0.02) -> np.ndarray:
    """A shape with an axisymmetric movement and waves of all harmonics that respects the supports."""
    x = size * np.random.default_rng(8).standard_normal(body.size)
    x[body.fixed] = 0.0
    x[body.harmonics.own(0)] += displaced(body.model)
    return x + body.deviation


def rigid(model: Model, theta: np.ndarray) -> np.ndarray:
    """Fields (points, angles, 14) of a large turn about a tilted axis and a shift, from positions and directors."""
    line, base = model.shell.line, np.zeros((len(theta), 3, 3))
    turn = _rotation(np.array([0.3, -0.5, 0.2]))
    cos, sin = np.cos(theta), np.sin(theta)
    base[:, 0, 0], base[:, 1, 0], base[:, 0, 1], base[:, 1, 1], base[:, 2, 2] = cos, sin, -sin, cos, 1.0
    r, heading, kappa = line.r[:, None], line.heading[:, None], line.curvature[:, None]
    z = model.shell.elements.station.z[:, None]
    one = np.ones_like(theta)[None, :]

    def turned(radial: np.ndarray, around: np.ndarray, axial: np.ndarray) -> np.ndarray:
        own = np.stack(np.broadcast_arrays(radial * one, around * one, axial * one), axis=-1)
        return np.einsum("jca,cd,jdb,ijb->ija", base, turn, base, own)

    nil = 0.0 * r
    shift = np.einsum("jca,c->ja", base, np.array([0.7, -0.4, 0.3]))
    x, x_s, x_t = turned(r, nil, z) + shift, turned(np.cos(heading), nil, np.sin(heading)), turned(nil, r, nil)
    d = turned(-np.sin(heading), nil, np.cos(heading))
    d_s = turned(-kappa * np.cos(heading), nil, -kappa * np.sin(heading))
    d_t = turned(nil, -np.sin(heading), nil)
    d_t = d_t + np.stack([d[..., 1], -d[..., 0], 0.0 * d[..., 2]], axis=-1)  # of the components, not of the vector
    f = np.zeros((*x.shape[:2], len(P)))
    f[..., P.U], f[..., P.V] = x[..., 0] - r, x[..., 1]
    f[..., P.U_S], f[..., P.V_S], f[..., P.W_S] = (
        x_s[..., 0] - np.cos(heading),
        x_s[..., 1],
        x_s[..., 2] - np.sin(heading),
    )
    f[..., P.U_T], f[..., P.V_T], f[..., P.W_T] = x_t[..., 0] + x[..., 1], x_t[..., 1] - x[..., 0], x_t[..., 2]
    f[..., P.BETA] = np.arctan2(-d[..., 0], d[..., 2]) - heading
    f[..., P.OMEGA] = np.arcsin(d[..., 1])
    flat = d[..., 0] ** 2 + d[..., 2] ** 2
    for rate, beta, omega, own in ((d_s, P.BETA_S, P.OMEGA_S, kappa), (d_t, P.BETA_T, P.OMEGA_T, 0.0)):
        f[..., beta] = (d[..., 0] * rate[..., 2] - d[..., 2] * rate[..., 0]) / flat - own
        f[..., omega] = rate[..., 1] / np.sqrt(flat)
    return f


def _rotation(axis: np.ndarray) -> np.ndarray:
    angle = np.linalg.norm(axis)
    a, b, c = axis / angle
    cross = np.array([[0, -c, b], [c, 0, -a], [-b, a, 0]])
    return np.eye(3) + np.sin(angle) * cross + (1.0 - np.cos(angle)) * cross @ cross


def test_a_rigid_turn_and_shift_changes_no_metric() -> None:
    """A turn of 35 degrees about a tilted axis: metrics to round-off of their own size."""
    model, theta = wavy_model(LOGARITHMIC), np.linspace(0.1, 6.1, 7)
    fields = rigid(model, theta)
    still, turned = metrics_of(model.shell.line, np.zeros_like(fields)), metrics_of(model.shell.line, fields)
    assert np.max(np.abs(fields[..., P.OMEGA])) > 0.4
    assert np.max(np.abs(turned - still)) < 1e-13 * np.max(np.abs(still))


@pytest.mark.parametrize("material", [ALUMINIUM, HARDENING])
def test_a_deviation_is_free_of_stress(material: Material) -> None:
    """Forces at the deviated shape below round-off of the stiffness times the deviation."""
    body = deviated(wavy_model(LOGARITHMIC, material))
    at = evaluate(body, body.deviation, body.virgin)
    stiffness = np.max(np.abs(tangent(body, at, 0.0)))
    assert np.max(np.abs(at.internal)) < 1e-13 * stiffness * np.max(np.abs(body.deviation))


@pytest.mark.parametrize(("measure", "material"), [(ENGINEERING, ALUMINIUM), (LOGARITHMIC, HARDENING)])
def test_without_waves_it_is_the_axisymmetric_shell(measure: StrainMeasure, material: Material) -> None:
    """Residual and tangent of harmonic 0 after two steps, forces of all others nil: round-off."""
    model = wavy_model(measure, material)
    body, x = waved(model, WAVES), displaced(model, 0.1)
    own = body.harmonics.own(0)
    shape = np.zeros(body.size)
    shape[own] = x
    old = evaluate_shell(model, 0.6 * x, model.shell.wall.virgin).history
    at, shell = evaluate(body, shape, evaluate(body, 0.6 * shape, body.virgin).layers), evaluate_shell(model, x, old)
    assert relative(residual(at, PRESSURE)[own] - shell_residual(shell, PRESSURE), shell.internal) < 1e-12
    assert np.max(np.abs(np.delete(residual(at, PRESSURE), own))) < 1e-12 * np.max(np.abs(shell.internal))
    stiff, reference = full(tangent(body, at, PRESSURE)), full(shell_tangent(model, shell, PRESSURE))
    assert relative(stiff[np.ix_(own, own)] - reference, reference) < 1e-12
    if material is HARDENING:
        assert np.mean(at.layers.equivalent > 0.0) > 0.5


def test_a_family_of_chosen_multiples_is_the_one_of_the_number_they_share() -> None:
    """Harmonics 2, 4, 6 of 5 are 1, 2, 3 of 10, at the same points around: forces and tangent to round-off."""
    model = wavy_model(LOGARITHMIC, HARDENING)
    wide = waved_together(model, WAVES, (2, 4, 6), {}, points_around(6))
    own = waved(model, 2 * WAVES, count=3)
    assert wide.angles == 2 * own.angles
    x, shape = moved(own), np.zeros(wide.size)
    for k in own.harmonics.orders:
        shape[wide.harmonics.own(2 * k)] = x[own.harmonics.own(k)]
    at, reference = evaluate(wide, shape, wide.virgin), evaluate(own, x, own.virgin)
    order = np.empty(own.size, dtype=int)
    for k in own.harmonics.orders:
        order[own.harmonics.own(k)] = wide.harmonics.own(2 * k)
    assert relative(residual(at, PRESSURE)[order] - residual(reference, PRESSURE), reference.internal) < 1e-12
    stiff, other = (full(tangent(body, each, PRESSURE)) for body, each in ((wide, at), (own, reference)))
    assert relative(stiff[np.ix_(order, order)] - other, other) < 1e-12


def test_waves_of_one_beside_others_are_refused() -> None:
    with pytest.raises(SolveError, match="n = 1"):
        waved_together(wavy_model(LOGARITHMIC), 1, (1, 4, 5), {}, points_around(5))


@pytest.mark.parametrize("measure", [ENGINEERING, LOGARITHMIC])
def test_about_an_axisymmetric_state_its_tangent_is_that_of_the_waves(measure: StrainMeasure) -> None:
    """Twice the rows of harmonics n and 2 n (cos^2 is a half in the mean) are K_n and K_2n of the shell: round-off."""
    model = wavy_model(measure)
    body, x = waved(model, WAVES), displaced(model)
    shape = np.zeros(body.size)
    shape[body.harmonics.own(0)] = x
    stiff = full(tangent(body, evaluate(body, shape, body.virgin), PRESSURE))
    operator = wave_operator(model, evaluate_shell(model, x), PRESSURE)
    for harmonic in (1, 2):
        n, own = harmonic * WAVES, body.harmonics.own(harmonic)
        free = np.setdiff1d(np.arange(len(own)), model.supports.wave_fixed(n))
        reference = full(general(operator.at(n)))[np.ix_(free, free)]
        assert relative(2.0 * stiff[np.ix_(own[free], own[free])] - reference, reference) < 1e-12
        others = np.setdiff1d(np.arange(body.size), own)
        assert np.max(np.abs(stiff[np.ix_(own[free], others)])) < 1e-12 * np.max(np.abs(stiff))


@pytest.mark.parametrize(
    ("measure", "material", "tolerance"), [(ENGINEERING, ALUMINIUM, 1e-10), (LOGARITHMIC, HARDENING, 1e-6)]
)
def test_its_tangent_is_the_derivative_of_its_residual(
    measure: StrainMeasure, material: Material, tolerance: float
) -> None:
    """Fourth-order difference about a waved and deviated state, from a history where most layers flow.

    The plastic return is closed to 1e-9 of the strength, and the difference divides by the step of 1e-5.
    """
    body = deviated(wavy_model(measure, material))
    x, direction, step = moved(body), np.random.default_rng(4).standard_normal(body.size), 1e-5
    direction[body.fixed] = 0.0
    old = evaluate(body, body.deviation + 0.5 * (x - body.deviation), body.virgin).layers
    ends = [residual(evaluate(body, x + k * step * direction, old), PRESSURE) for k in (2, 1, -1, -2)]
    slope = (-ends[0] + 8 * ends[1] - 8 * ends[2] + ends[3]) / (12 * step)
    slope[body.fixed] = 0.0
    at = evaluate(body, x, old)
    assert relative(full(tangent(body, at, PRESSURE)) @ direction - slope, slope) < tolerance
    if material is HARDENING:
        assert np.mean(at.layers.equivalent > old.equivalent) > 0.5


def potential(body: Waved, x: np.ndarray) -> float:
    """Potential per radian [N mm] from the metrics: principal stretches by eigenvalues, volume by a triple product."""
    model, fields, reference = body.model, body.fields(x), body.reference
    wall, metrics = model.shell.wall, metrics_of(model.shell.line, fields)
    c11, c22, c12 = (
        metrics[:, :, k, None] + wall.xi * (2.0 * metrics[:, :, k + 1, None] + wall.xi * metrics[:, :, k + 2, None])
        for k in (0, 3, 6)
    )
    c = np.empty((*c11.shape, 2, 2))
    c[..., 0, 0], c[..., 1, 1] = c11 * reference.along**2, (c22 - c12**2 / c11) * reference.across**2
    skew = (c12 - reference.lean * c11) * reference.along * reference.across
    c[..., 0, 1] = c[..., 1, 0] = skew
    c[..., 1, 1] = (c22 - 2.0 * reference.lean * c12 + reference.lean**2 * c11) * reference.across**2
    e, nu = STRAIN[wall.measure](np.linalg.eigvalsh(c)), wall.material.poissons_ratio
    density = (
        0.5 * wall.material.youngs_modulus / (1.0 - nu**2) * (np.sum(e * e, axis=-1) + 2.0 * nu * e[..., 0] * e[..., 1])
    )
    sheared = (metrics - body.unstrained)[:, :, 9:]
    energy = np.sum(density * reference.weight) + 0.5 * np.sum(sheared**2 * body.shear[:, None, :])
    line = model.shell.line
    at = np.stack([line.r[:, None] + fields[..., P.U], fields[..., P.V]], axis=-1)
    out, up = np.cos(line.heading)[:, None] + fields[..., P.U_S], np.sin(line.heading)[:, None] + fields[..., P.W_S]
    round_r, round_t = fields[..., P.U_T] - fields[..., P.V], at[..., 0] + fields[..., P.V_T]
    area_t = at[..., 0] * round_t - at[..., 1] * round_r
    area_s = at[..., 0] * fields[..., P.V_S] - at[..., 1] * out
    volume = np.sum(0.5 * (area_t * up - area_s * fields[..., P.W_T]) * model.shell.elements.length[:, None])
    return float(energy - PRESSURE * model.load.side * volume / body.angles)


@pytest.mark.parametrize("measure", [ENGINEERING, LOGARITHMIC])
def test_its_residual_is_the_derivative_of_its_potential(measure: StrainMeasure) -> None:
    """Fourth-order difference of the energy along a random direction of all harmonics about a waved state; 1e-8."""
    body = deviated(wavy_model(measure))
    x, direction, step = moved(body), np.random.default_rng(9).standard_normal(body.size), 1e-4
    direction[body.fixed] = 0.0
    ends = [potential(body, x + k * step * direction) for k in (2, 1, -1, -2)]
    slope = (-ends[0] + 8 * ends[1] - 8 * ends[2] + ends[3]) / (12 * step)
    assert residual(evaluate(body, x, body.virgin), PRESSURE) @ direction == pytest.approx(slope, rel=1e-8)


def test_the_series_of_the_logarithm_meets_its_closed_form() -> None:
    """Value and derivatives on both sides of where one takes over from the other; 1e-11 of second derivatives there."""
    below, above = (np.array(strain._artanh(strain.SERIES * (1.0 + side * 1e-14))) for side in (-1, 1))
    assert below == pytest.approx(above, rel=1e-11)


def test_what_cannot_be_followed_is_refused() -> None:
    with pytest.raises(SolveError, match="wave number 2"):
        waved(wavy_model(LOGARITHMIC), 1)
    with pytest.raises(SolveError, match="large displacements"):
        waved(wavy_model(SMALL), 4)
    model = wavy_model(LOGARITHMIC)
    two = replace(model, shell=replace(model.shell, wall=replace(model.shell.wall, zones=(object(),))))
    with pytest.raises(SolveError, match="one metal"):
        waved(two, 4)
    with pytest.raises(SolveError, match="open end"):
        waved(wavy_model(LOGARITHMIC, edge="free", load=Load(end_thrust=False)), 4)
