"""What must hold whatever the answer: rigid motions, derivatives, and the wave operators against the full energy."""

import numpy as np
import pytest

from buckle.bands.lapack import general, lower_half, multiply
from buckle.increasing import PUSH
from buckle.material import Material, voce_hardening
from buckle.meridian import Meridian, Piece
from buckle.mesh import Grading
from buckle.shell.model import Fineness, Load, Model, build_model
from buckle.shell.operators import continuum_tangent, evaluate, linear_wave_operators, residual, tangent, wave_operator
from buckle.shell.strain import ENGINEERING, LOGARITHMIC, SMALL, StrainMeasure
from buckle.shell.wall import SHEAR_FACTOR

ALUMINIUM = Material(69000.0, 0.33, 2720.0)
HARDENING = Material(69000.0, 0.33, 2720.0, voce_hardening(262.0, 38.0, 40.0))
PRESSURE = 0.4
STRAIN = {ENGINEERING: lambda s: np.sqrt(s) - 1.0, LOGARITHMIC: lambda s: 0.5 * np.log(s)}  # of a stretch squared
COARSE = Fineness(Grading(per_decay=3.0, per_turn=1.0, per_meridian=4), layers=5)


def wavy_meridian(*, kink: float = 0.3) -> Meridian:
    """A dome, an arc the other way round, a kink, a cone: every sign and every term of the kinematics."""
    thick = (0.27, 0.25)
    pieces = (
        Piece(12.0, -1 / 45.0, thick),
        Piece(2.0, 1 / 1.7, thick),
        Piece(4.0, 0.0, (0.25, 0.15), turn_here=kink),
    )
    return Meridian((0.0, 10.0), 0.0, "left", pieces, {})


def wavy_model(
    measure: StrainMeasure, material: Material = ALUMINIUM, *, load: Load | None = None, edge: str = "clamped"
) -> Model:
    return build_model(wavy_meridian(), material, (None, edge), load or Load(side=1), COARSE, measure)


def displaced(model: Model, size: float = 0.05, seed: int = 71) -> np.ndarray:
    """A displacement of moderate size that respects the supports."""
    x = size * np.random.default_rng(seed).standard_normal(model.shell.size)
    radial, axial = (model.shell.elements.axisymmetric.values(name) for name in "uw")
    x *= 0.2
    x[radial], x[axial] = size * np.sin(0.3 * np.arange(len(radial))), size
    x[model.supports.fixed] = 0.0
    return x


def relative(difference: np.ndarray, reference: np.ndarray) -> float:
    return float(np.max(np.abs(difference)) / np.max(np.abs(reference)))


@pytest.mark.parametrize("measure", [ENGINEERING, LOGARITHMIC, SMALL])
@pytest.mark.parametrize(
    "load",
    [
        Load(side=1),
        Load(side=-1, follower=False),
        Load(side=1, end_thrust=False),
        Load(side=1, end_thrust=False, increasing=PUSH, constant_pressure=PRESSURE),
    ],
)
def test_elastic_tangent_is_the_derivative_of_the_residual(measure: StrainMeasure, load: Load) -> None:
    """Central difference along a random direction; 1e-8 of the largest force (error of the difference 1e-9)."""
    model = wavy_model(measure, load=load, edge="free")
    x = displaced(model)
    direction = displaced(model, seed=977)
    step = 1e-4
    ends = [residual(evaluate(model, x + sign * step * direction), PRESSURE) for sign in (2, 1, -1, -2)]
    slope = (-ends[0] + 8 * ends[1] - 8 * ends[2] + ends[3]) / (12 * step)  # fourth order
    band = tangent(model, evaluate(model, x), PRESSURE)
    product = full(band) @ direction
    slope[model.supports.fixed] = 0.0
    assert relative(product - slope, slope) < 1e-8


def test_the_residual_falls_by_the_load_that_increases() -> None:
    """One newton more pushes against the heading of the wall; exact, since the residual is linear in it."""
    load = Load(increasing=PUSH, constant_pressure=PRESSURE)
    model = wavy_model(ENGINEERING, load=load, edge="free")
    at = evaluate(model, displaced(model))
    change = residual(at, 101.0) - residual(at, 100.0)
    assert relative(change + at.increasing, at.increasing) < 1e-12
    up = np.sign(np.sin(model.shell.elements.end_heading(-1)))
    assert at.increasing.sum() * 2.0 * np.pi == pytest.approx(-up, rel=1e-12)


def full(band: np.ndarray) -> np.ndarray:
    """Dense matrix of a general band."""
    size, half = len(band), (band.shape[1] - 1) // 3
    dense = np.zeros((size, size))
    for j in range(size):
        for i in range(max(0, j - half), min(size, j + half + 1)):
            dense[i, j] = band[j, 2 * half + i - j]
    return dense


@pytest.mark.parametrize("measure", [LOGARITHMIC, SMALL])
def test_plastic_tangent_is_the_derivative_of_the_residual(measure: StrainMeasure) -> None:
    """The consistent tangent at a state where most layers flow, from a history that is not virgin; 1e-6."""
    model = wavy_model(measure, HARDENING)
    x = displaced(model, 0.1)
    old = evaluate(model, 0.6 * x, model.shell.wall.virgin).history
    state = evaluate(model, x, old).history
    assert np.mean(state.equivalent > old.equivalent) > 0.5
    direction = displaced(model, seed=311)
    step = 1e-5
    ends = [residual(evaluate(model, x + sign * step * direction, old), PRESSURE) for sign in (1, -1)]
    slope = (ends[0] - ends[1]) / (2 * step)
    slope[model.supports.fixed] = 0.0
    product = full(tangent(model, evaluate(model, x, old), PRESSURE)) @ direction
    assert relative(product - slope, slope) < 1e-6


@pytest.mark.parametrize("load", [Load(), Load(increasing=PUSH, constant_pressure=PRESSURE)])
@pytest.mark.parametrize("measure", [ENGINEERING, LOGARITHMIC])
def test_wave_operator_at_zero_is_the_axisymmetric_tangent(measure: StrainMeasure, load: Load) -> None:
    """Rows of (u, w, alpha) of K_0 against the axisymmetric tangent: the same numbers to round-off."""
    model = wavy_model(measure, load=load)
    assert_same_at_zero(model, evaluate(model, displaced(model)))


def test_plastic_wave_operator_at_zero_is_the_axisymmetric_continuum_tangent() -> None:
    model = wavy_model(LOGARITHMIC, HARDENING)
    assert_same_at_zero(model, evaluate(model, displaced(model), model.shell.wall.virgin))


def assert_same_at_zero(model: Model, at: object) -> None:
    axisymmetric = full(continuum_tangent(model, at, PRESSURE))
    k0 = full(general(wave_operator(model, at, PRESSURE).bands[0]))
    rows = model.shell.elements.as_wave
    apex = [model.shell.elements.axisymmetric.values(name)[0] for name in "uwa"]
    free = np.setdiff1d(np.arange(model.shell.size), [*model.supports.fixed, *apex])
    wave = k0[np.ix_(rows, rows)][np.ix_(free, free)]
    assert relative(wave - axisymmetric[np.ix_(free, free)], axisymmetric) < 1e-12


def wave_fields(model: Model, n: int, seed: int = 5) -> tuple[np.ndarray, np.ndarray]:
    """A random perturbation: wave unknowns and the ten fields at the points."""
    y = np.random.default_rng(seed).standard_normal(model.shell.elements.wave.size)
    y[model.supports.wave_fixed(n)] = 0.0
    fields = np.matmul(model.shell.elements.wave_table, y[model.shell.elements.wave.dofs][:, :, None])
    return y, fields.reshape(-1, 10)


def cross(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    return np.cross(a, b, axis=0)


def potential(model: Model, at: object, n: int, fields: np.ndarray, size: float, pressure: float) -> float:
    """Full three-dimensional potential [N mm] of the state with a wave of a given size on it, by brute force.

    Written without any of the variations: positions, directors normalised, their derivatives, the metric of every
    layer, its principal stretches by eigenvalues, energy, and the volume by the triple product.
    """
    x, wall = at.state, model.shell.wall
    angles = np.arange(8 * max(n, 1)) * 2 * np.pi / (8 * max(n, 1))
    cn, sn = np.cos(n * angles)[:, None], np.sin(n * angles)[:, None]
    u, us, w, ws, al, als, v, vs, om, oms = (size * fields[:, i] for i in range(10))
    one = np.ones_like(cn)
    # components along (e_r, e_theta, e_z), arrays (3, angles, points)
    x_s = np.stack([x.xr + us * cn, vs * sn, x.xz + ws * cn])
    x_t = np.stack([-n * u * sn - v * sn, x.rho + u * cn + n * v * cn, -n * w * sn])
    t, d0 = np.stack([x.tr * one, 0 * x.tr * one, x.tz * one]), np.stack([x.dr * one, 0 * x.dr * one, x.dz * one])
    e_t = np.stack([0 * x.tr * one, one * np.ones_like(x.tr), 0 * x.tr * one])
    big = d0 - al * cn * t + om * sn * e_t
    big_s = -x.kappa * t - als * cn * t - al * cn * x.kappa * d0 + oms * sn * e_t
    by_theta = np.stack([-om * sn, x.dr - al * cn * x.tr, 0 * om * sn])  # turning of e_r, e_theta with theta
    big_t = by_theta + n * al * sn * t + n * om * cn * e_t
    norm = np.sqrt(np.sum(big * big, axis=0))
    d = big / norm
    d_s, d_t = (part / norm - big * np.sum(big * part, axis=0) / norm**3 for part in (big_s, big_t))
    energy = np.zeros(len(angles))
    material = wall.material
    lame = material.youngs_modulus / (1 - material.poissons_ratio**2)
    for k, xi in enumerate(wall.xi):
        y_s, y_t = x_s + xi * x.h * d_s, x_t + xi * x.h * d_t
        a, b = np.sqrt(wall.along[:, k]), np.sqrt(wall.around[:, k])
        c = np.empty((*norm.shape, 2, 2))
        c[..., 0, 0], c[..., 1, 1] = np.sum(y_s**2, axis=0) / a**2, np.sum(y_t**2, axis=0) / b**2
        c[..., 0, 1] = c[..., 1, 0] = np.sum(y_s * y_t, axis=0) / (a * b)
        e = STRAIN[wall.measure](np.linalg.eigvalsh(c))
        density = 0.5 * lame * (e[..., 0] ** 2 + e[..., 1] ** 2 + 2 * material.poissons_ratio * e[..., 0] * e[..., 1])
        energy += density @ wall.weight[:, k]
        shear = 0.5 * SHEAR_FACTOR * material.shear_modulus
        energy += shear * (np.sum(x_s * d, axis=0) ** 2 @ (wall.weight[:, k] / a**2))
        energy += shear * (np.sum(x_t * d, axis=0) ** 2 @ (wall.weight[:, k] / b**2))
    flat_r, flat_t = x.rho + u * cn, v * sn  # horizontal position
    area_t = flat_r * x_t[1] - flat_t * x_t[0]
    area_s = flat_r * x_s[1] - flat_t * x_s[0]
    volume = 0.5 * (area_t * x_s[2] - area_s * x_t[2]) @ model.shell.elements.length
    return float(np.mean(energy - pressure * model.load.side * volume) * 2 * np.pi)


@pytest.mark.parametrize("measure", [ENGINEERING, LOGARITHMIC])
@pytest.mark.parametrize("n", [1, 2, 5, 13])
def test_wave_operator_is_the_second_difference_of_the_full_energy(measure: StrainMeasure, n: int) -> None:
    """y K_n y pi against a fourth-order second difference of the potential, about a strongly deformed state; 1e-6."""
    model = wavy_model(measure)
    at = evaluate(model, displaced(model))
    y, fields = wave_fields(model, n)
    step = 2e-3 / max(n, 3)
    p = {k: potential(model, at, n, fields, k * step, PRESSURE) for k in (-2, -1, 0, 1, 2)}
    second = (-p[2] + 16 * p[1] - 30 * p[0] + 16 * p[-1] - p[-2]) / (12 * step**2)
    form = np.pi * float(y @ multiply(wave_operator(model, at, PRESSURE).at(n), y))
    assert form == pytest.approx(second, rel=1e-6)


def test_axisymmetric_residual_is_the_first_difference_of_the_full_energy() -> None:
    """Internal and pressure forces against the energy itself, along a random direction; 1e-8."""
    model = wavy_model(LOGARITHMIC)
    x, direction, step = displaced(model), displaced(model, seed=19), 1e-4
    flat = np.zeros((model.shell.elements.point_count, 10))
    ends = [
        potential(model, evaluate(model, x + sign * step * direction), 0, flat, 0.0, PRESSURE)
        for sign in (2, 1, -1, -2)
    ]
    slope = (-ends[0] + 8 * ends[1] - 8 * ends[2] + ends[3]) / (12 * step)
    force = 2 * np.pi * float(residual(evaluate(model, x), PRESSURE) @ direction)
    assert force == pytest.approx(slope, rel=1e-8)


def straight_model(fineness: Fineness = COARSE) -> Model:
    """A plate, a kink of a right angle, a cylinder: on straight pieces rigid fields are polynomials."""
    pieces = (Piece(20.0, 0.0, (0.3, 0.3)), Piece(15.0, 0.0, (0.3, 0.2), turn_here=np.pi / 2))
    return build_model(
        Meridian((0.0, 0.0), 0.0, "left", pieces, {}), ALUMINIUM, (None, "free"), Load(), fineness, ENGINEERING
    )


def rigid_turn(model: Model) -> np.ndarray:
    """Unknowns of the rigid motions of n = 1, (size, 2), kinked tilts included; exact on straight pieces."""
    out = model.supports.rigid_waves.copy()
    for vertex in np.nonzero(model.shell.elements.mesh.kinked)[0]:
        before = model.shell.elements.mesh.meridian.at_s(model.shell.elements.mesh.vertices[vertex] - 1e-9)
        out[model.shell.elements.wave.ends("t")[vertex - 1], 1] = -np.cos(before.heading)
    return out


def test_rigid_motion_of_wave_number_one_does_no_work() -> None:
    """Shift and turn of plate + corner + cylinder: energy below round-off of the stiffness times the motion."""
    model = straight_model()
    elastic, _ = linear_wave_operators(model, evaluate(model, np.zeros(model.shell.size)), 0.0)
    k1 = elastic.bands.sum(axis=0)
    for motion in rigid_turn(model).T:
        assert np.max(np.abs(multiply(k1, motion))) < 1e-12 * np.max(np.abs(k1)) * np.max(np.abs(motion))


def test_rigid_shift_along_the_axis_gives_no_force() -> None:
    model = wavy_model(LOGARITHMIC, edge="free")
    x = np.zeros(model.shell.size)
    x[model.shell.elements.axisymmetric.values("w")] = 7.0
    at = evaluate(model, x)
    stiffness = np.max(np.abs(tangent(model, at, 0.0)))
    assert np.max(np.abs(at.internal)) < 1e-13 * stiffness * 7.0


def test_the_tangent_is_symmetric_under_a_conservative_load() -> None:
    model = wavy_model(LOGARITHMIC)
    band = tangent(model, evaluate(model, displaced(model)), PRESSURE)
    assert relative(full(band) - full(band).T, full(band)) < 1e-13
    assert np.array_equal(lower_half(band)[:, 0], np.diag(full(band)))
