"""The solid model against its own energy, closed forms and the shell, with which it shares no mechanics."""

from dataclasses import replace
from math import asin, pi, radians, sqrt

import numpy as np
import pytest
from scipy.linalg import polar

from buckle.errors import PathEndError, SolveError
from buckle.material import Material
from buckle.meridian import Meridian, Piece
from buckle.shapes import circular_plate, domed_base, spherical_cap
from buckle.shell.model import Fineness, Load, build_shell
from buckle.shell.strain import ENGINEERING
from buckle.solid.forms import lame, stretched
from buckle.solid.model import GRADING, Solid, assemble, build_solid
from buckle.solid.path import Steps, follow_solid, solid_limit, start_solid
from buckle.solve.path import ArcLength
from buckle.solve.trace import trace_path

METAL = Material(69000.0, 0.3)


def cap(parameter: float, radius_over_thickness: float) -> Meridian:
    """Cap of unit thickness whose lambda is (12 (1 - nu^2))^(1/4) sqrt(R/t) 2 sin(half angle / 2), nu = 0.3."""
    half = 2.0 * asin(parameter / (2.0 * (12.0 * 0.91) ** 0.25 * sqrt(radius_over_thickness)))
    return spherical_cap(radius=radius_over_thickness, half_angle=half, thickness=1.0)


def shell_limit(meridian: Meridian, material: Material, edge: str, side: int = 1) -> float:
    shell = build_shell(meridian, material, (None, edge), Load(side=side), Fineness(), ENGINEERING)
    limit = trace_path(shell, ArcLength()).limit
    assert limit is not None
    return limit.pressure


def energy(gradient: np.ndarray, around: float) -> float:
    """Energy per volume with the stretch from a library's polar decomposition."""
    lam, mu = lame(METAL)
    strain = polar(np.eye(2) + gradient)[1] - np.eye(2)
    return 0.5 * lam * (np.trace(strain) + around) ** 2 + mu * (np.sum(strain**2) + around**2)


def stress(gradient: np.ndarray, around: float) -> tuple[np.ndarray, float]:
    at = stretched(METAL, gradient[:, :, None, None], np.array([[around]]))
    return at.P[:, :, 0, 0], float(at.p[0, 0])


GRADIENT, AROUND = np.array([[0.13, -0.42], [0.31, -0.08]]), -0.07  # strained and turned by a third of a radian


def test_stress_is_the_derivative_of_the_energy() -> None:
    """Central differences; 1e-8 of the stress is their error."""
    step, (P, p) = 1e-6, stress(GRADIENT, AROUND)
    for i, j in np.ndindex(2, 2):
        nudge = np.zeros((2, 2))
        nudge[i, j] = step
        slope = (energy(GRADIENT + nudge, AROUND) - energy(GRADIENT - nudge, AROUND)) / (2.0 * step)
        assert P[i, j] == pytest.approx(slope, rel=1e-7)
    assert p == pytest.approx(
        (energy(GRADIENT, AROUND + step) - energy(GRADIENT, AROUND - step)) / (2.0 * step), rel=1e-7
    )


def test_pulling_one_way_answers_with_youngs_modulus() -> None:
    """Stretch 1 + e along r, 1 - nu e across: P = E e exactly, at any rotation."""
    e, turn = 0.2, np.array([[0.6, -0.8], [0.8, 0.6]])
    F = turn @ np.diag([1.0 + e, 1.0 - 0.3 * e])
    P, p = stress(F - np.eye(2), -0.3 * e)
    assert np.max(np.abs(turn.T @ P - np.diag([METAL.youngs_modulus * e, 0.0]))) < 1e-9
    assert p == pytest.approx(0.0, abs=1e-9)


def moved(solid: Solid, seed: int, size: float = 0.02) -> np.ndarray:
    x = size * np.random.default_rng(seed).standard_normal(solid.size)
    x[solid.fixed] = 0.0
    return x


@pytest.mark.parametrize(("edge", "side"), [("clamped", 1), ("free", -1)])
def test_tangent_is_the_derivative_of_the_forces(edge: str, side: int) -> None:
    """Fourth-order difference along a random direction; 1e-8 of the largest force."""
    solid = build_solid(cap(4.0, 100.0), METAL, (None, edge), side=side)
    x, direction, step, pressure = moved(solid, 37), moved(solid, 613, 1.0), 1e-4, 3.0
    at = [assemble(solid, x + k * step * direction, pressure) for k in (2, 1, -1, -2)]
    a, b, c, d = (one.internal - pressure * one.enclosed for one in at)
    slope = (-a + 8.0 * b - 8.0 * c + d) / (12.0 * step)
    product = assemble(solid, x, pressure).tangent @ direction
    assert np.max(np.abs(product - slope)) < 1e-8 * np.max(np.abs(slope))


def test_tangent_is_symmetric_because_follower_pressure_sweeps_a_volume() -> None:
    solid = build_solid(cap(4.0, 100.0), METAL, (None, "free"))
    tangent = assemble(solid, moved(solid, 88), 5.0).tangent
    assert abs(tangent - tangent.T).max() < 1e-14 * abs(tangent).max()


def test_rigid_shift_along_the_axis_gives_no_force() -> None:
    solid = build_solid(cap(4.0, 100.0), METAL, (None, "free"))
    x = np.tile([0.0, 7.0], solid.size // 2)
    at = assemble(solid, x, 0.0)
    assert np.max(np.abs(at.internal)) < 1e-13 * abs(at.tangent).max() * 7.0


def test_thick_sphere_pressed_on_its_middle_surface_grows_as_lame_says() -> None:
    """Two concentric spheres u = A r + B / r^2 with faces free and a jump of radial stress between them; t/R = 0.2.

    Source: Lame's solution for a sphere; the four constants are solved for here. 1e-5 is the error of the mesh.
    """
    radius, t = 10.0, 2.0
    hemisphere = spherical_cap(radius=radius, half_angle=0.5 * pi, thickness=t)
    solid = build_solid(hemisphere, METAL, (None, "free"), side=-1, grading=GRADING.refined(8.0))
    r, z = solid.basis.doflocs
    even = np.arange(solid.size) % 2 == 0
    solid = replace(solid, fixed=np.flatnonzero((even & (r < 1e-9)) | (~even & (np.abs(z) < 1e-9))))
    start = start_solid(solid)
    grown = start.onward[:-1] / start.onward[-1]
    assert grown[(np.abs(r - radius) < 1e-9) & even] == pytest.approx(lame_growth(radius, t), rel=1e-5)


def lame_growth(radius: float, t: float) -> float:
    """Radial displacement of the middle surface [mm] under a unit of pressure that acts on it outward."""
    lam, mu = lame(METAL)

    def stress(at: float) -> list[float]:  # of A and of B
        return [3.0 * lam + 2.0 * mu, -4.0 * mu / at**3]

    inner, outer, none = stress(radius - 0.5 * t), stress(radius + 0.5 * t), [0.0, 0.0]
    moved, middle = [radius, 1.0 / radius**2], stress(radius)
    rows = [inner + none, none + outer, moved + [-one for one in moved], middle + [-one for one in middle]]
    a, b, _, _ = np.linalg.solve(np.array(rows), [0.0, 0.0, 0.0, 1.0])
    return float(a * radius + b / radius**2)


@pytest.mark.parametrize(
    ("parameter", "ratio", "edge"),
    [(6.0, 200.0, "clamped"), (4.0, 100.0, "clamped"), (5.0, 400.0, "clamped"), (6.0, 200.0, "roller")],
)
def test_cap_limit_agrees_with_the_shell(parameter: float, ratio: float, edge: str) -> None:
    """Within 0.8 t/R, what a shell leaves out (0.3 to 0.4 t/R was seen for clamped caps)."""
    meridian = cap(parameter, ratio)
    found = solid_limit(build_solid(meridian, METAL, (None, edge))).pressure
    assert found == pytest.approx(shell_limit(meridian, METAL, edge), rel=0.8 / ratio)


def test_cap_limit_does_not_move_with_the_mesh() -> None:
    """A mesh twice as fine moves the limit by less than 0.05 %."""
    coarse, fine = (
        solid_limit(build_solid(cap(4.0, 100.0), METAL, (None, "clamped"), grading=GRADING.refined(factor))).pressure
        for factor in (1.0, 2.0)
    )
    assert coarse == pytest.approx(fine, rel=5e-4)


def test_elastic_limit_of_a_domed_base_agrees_with_the_shell() -> None:
    """An unreformed base of a 66 mm body, elastic: 0.5 %.

    The dome's t/R is 0.6 % and the stand's 16 %, but the stand carries the limit only through its bending.
    """
    meridian = domed_base(
        stand_diameter=48.26,
        nose_radius=1.66,
        inner_leg_angle=radians(6),
        dome_corner_radius=2.3,
        dome_radius=45.7,
        dome_depth=10.4,
        outer_leg_angle=radians(28),
        outer_leg_length=1.2,
        chime_radius=3.0,
        chime_angle=radians(58),
        heel_radius=5.0,
        wall_radius=33.0,
        wall_height=25.0,
        gauge=0.27,
        wall_gauge=0.105,
    )
    aluminium = Material(69000.0, 0.33)
    side = 1 if meridian.inside == "left" else -1
    found = solid_limit(build_solid(meridian, aluminium, (None, "clamped"), side=side)).pressure
    assert found == pytest.approx(shell_limit(meridian, aluminium, "clamped", side), rel=5e-3)


def test_a_plate_has_no_limit_and_says_so() -> None:
    solid = build_solid(circular_plate(radius=50.0, thickness=1.0), METAL, (None, "clamped"))
    with pytest.raises(PathEndError, match="3 steps met no limit"):
        solid_limit(solid, Steps(count=3))


def test_a_path_that_cannot_be_followed_is_an_error() -> None:
    solid = build_solid(cap(4.0, 100.0), METAL, (None, "clamped"))
    with pytest.raises(SolveError, match="broke off"):
        list(follow_solid(solid, start_solid(solid), Steps(iterations=1, shortest=0.1)))


def test_what_the_solid_cannot_model_is_refused() -> None:
    kinked = Meridian(
        (0.0, 0.0), 0.0, "left", (Piece(20.0, 0.0, (1.0, 1.0)), Piece(9.0, 0.0, (1.0, 1.0), turn_here=0.5)), {}
    )
    with pytest.raises(SolveError, match="sharp corners"):
        build_solid(kinked, METAL, (None, "clamped"))
    with pytest.raises(SolveError, match="no support 'pinned'"):
        build_solid(cap(4.0, 100.0), METAL, (None, "pinned"))
