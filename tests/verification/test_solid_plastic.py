"""The elastic-plastic solid: closed forms of thick bodies, second order in the step, and bases known from elsewhere."""

from collections.abc import Callable
from functools import cache
from math import log, sqrt

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import minimize_scalar

from buckle.material import Hardening, Material, linear_hardening, ramberg_osgood, swift_hardening, voce_hardening
from buckle.meridian import Meridian
from buckle.mesh import Grading
from buckle.shell.model import Fineness as ShellFineness
from buckle.shell.model import Load as ShellLoad
from buckle.shell.model import build_model
from buckle.shell.strain import LOGARITHMIC
from buckle.solid.history import History, ended, preflow, take
from buckle.solid.metal import LogarithmicMetal
from buckle.solid.model import Fineness, Load, Solid, build_solid
from buckle.solid.newton import Steps
from buckle.solid.trace import SolidPath, Until, solid_path
from buckle.solve.path import ArcLength
from buckle.solve.trace import trace_path
from tests.helpers.solid_bodies import (
    BASES,
    HARDENING,
    TRAVELS,
    Base,
    hemisphere,
    ideal,
    plain_base,
    reformed_base,
    straight_base,
    tube,
)

WEAK = 0.25  # MPa: elastic strain at yield is then 4e-6, which closed forms of rigid-plastic bodies leave out
ONE_BASE_AND_MORE = [pytest.param(name, marks=pytest.mark.slow if name != "P0" else ()) for name in BASES]
BODIES = {"tube": 2.0 / sqrt(3.0), "sphere": 2.0}
"""k: slope of radial stress by ln r over flow stress, and equivalent strain over ln(r/R): one number (von Mises)."""


def thick(body: str, thickness: float, material: Material) -> Solid:
    """A tube in plane strain or a hemisphere on its plane of symmetry, of mean radius 10 mm, pressed from inside."""
    if body == "tube":
        meridian, edges, side = tube(10.0, thickness, 2.0), ("guided", "guided"), 1
    else:
        meridian, edges, side = hemisphere(10.0, thickness), (None, "guided"), -1
    return build_solid(meridian, LogarithmicMetal(material), edges, Load(side=side))


def limit_of(path: SolidPath) -> float:
    assert path.limit is not None
    return path.limit.pressure


@pytest.mark.parametrize("thickness", [0.5, 4.0])
@pytest.mark.parametrize("body", ["tube", "sphere"])
def test_collapse_of_a_thick_body_of_ideal_metal(body: str, thickness: float) -> None:
    """(2/sqrt 3) sigma_y ln(b/a) of a tube in plane strain, 2 sigma_y ln(b/a) of a sphere, with a pressed inner face.

    Source: any textbook of plasticity (Hill 1950, from memory). Full plasticity is only approached while the body grows
    by its elastic strain: 2e-4, what a step beyond it costs.
    """
    exact = BODIES[body] * WEAK * log((10.0 + 0.5 * thickness) / (10.0 - 0.5 * thickness))
    assert limit_of(solid_path(thick(body, thickness, ideal(WEAK)))) == pytest.approx(exact, rel=2e-4)


@pytest.mark.parametrize(
    "hardening", [swift_hardening(WEAK, 0.01, 0.2), voce_hardening(WEAK, 0.6 * WEAK, 12.0)], ids=repr
)
@pytest.mark.parametrize("thickness", [0.5, 4.0])
@pytest.mark.parametrize("body", ["tube", "sphere"])
def test_burst_of_a_thick_body_of_hardening_metal(body: str, thickness: float, hardening: Hardening) -> None:
    """Finite strain (9 to 19 % at the limit) and thinning, against radial equilibrium integrated through the wall.

    With r^m = R^m + c (m = 2 tube, 3 sphere) volume stays; p(c) = integral of k sigma(k ln(r/R)) dr / r, its highest.
    Derived here. 3e-5: the elastic strain that is left out, 1e-5, and the steps.
    """
    material = Material(69000.0, 0.3, hardening=hardening)
    found = limit_of(solid_path(thick(body, thickness, material)))
    assert found == pytest.approx(burst_pressure(body, thickness, hardening), rel=3e-5)


def burst_pressure(body: str, thickness: float, hardening: Hardening) -> float:
    k, m = BODIES[body], 2 if body == "tube" else 3

    def pressure(c: float) -> float:
        def through(R: float) -> float:
            r = (R**m + c) ** (1.0 / m)
            stress = hardening.stress_and_slope(np.array([k * log(r / R)]))[0][0]
            return k * stress / r * (R / r) ** (m - 1)

        return quad(through, 10.0 - 0.5 * thickness, 10.0 + 0.5 * thickness, epsabs=1e-13)[0]

    return -minimize_scalar(
        lambda c: -pressure(c), bounds=(0.0, 10.0**m), method="bounded", options={"xatol": 1e-6}
    ).fun


def test_wall_thins_as_volume_constancy_says() -> None:
    """Plastic volume stays, so that all points of a tube move by r^2 = R^2 + c with one c: 2e-5 for elastic volume."""
    path = solid_path(thick("tube", 4.0, Material(69000.0, 0.3, hardening=swift_hardening(WEAK, 0.01, 0.2))))
    assert path.limit is not None
    R = path.solid.elements.position[:, 0]
    r = R + path.solid.moved(path.limit.at.x)[:, 0]
    c = r**2 - R**2
    assert np.min(c) > 15.0
    assert np.ptp(c) < 2e-5 * np.max(c)


def test_a_step_is_second_order_in_its_length() -> None:
    """A point that flows while the direction of its strain turns: observed order of the stress, by halving the steps.

    Close to 2 in two halves, to 1 by backward Euler; with ten steps the halves are already ten times closer.
    """
    for share, order in ((0.5, 2.0), (0.0, 1.0)):
        coarse, middle, fine = (turning(count, share) for count in (320, 640, 1280))
        observed = np.log2(np.max(np.abs(middle - coarse)) / np.max(np.abs(fine - middle)))
        assert observed == pytest.approx(order, abs=0.2)
    halves, plain = (np.max(np.abs(turning(10, share) - fine)) for share in (0.5, 0.0))
    assert halves < 0.1 * plain


def turning(count: int, share: float) -> np.ndarray:
    """Principal stress after strains of 10 % whose direction turns by a right angle, of a point that flows already."""
    metal = LogarithmicMetal(HARDENING)

    def F(time: float) -> np.ndarray:
        a, b = 0.02 + 0.1 * np.sin(0.5 * np.pi * time), 0.1 * (1.0 - np.cos(0.5 * np.pi * time))
        return np.array([[1.0 + a], [0.6 * b], [-0.2 * b], [1.0 - 0.7 * a], [1.0 - 0.3 * a + 0.4 * b]])

    history = ended(metal, F(0.0), take(metal, F(0.0), History.virgin(1)))
    grown = np.zeros(1)
    for step in range(count):
        start, end = F(step / count), F((step + 1) / count)
        before = preflow(start, history, share * grown) if step else None
        taken = take(metal, end, history, before)
        new = ended(metal, end, taken)
        history, grown = new, new.worked - history.worked
    return taken.answer.principal.stress


def base_path(base: Base, fineness: Fineness | None = None, steps: Steps | None = None, **until: float) -> SolidPath:
    meridian = base.meridian()
    side = 1 if meridian.inside == "left" else -1
    metal = LogarithmicMetal(base.material())
    return solid_path(build_solid(meridian, metal, (None, "clamped"), Load(side=side), fineness), Until(**until), steps)


@cache
def whole_path(name: str) -> SolidPath:
    """Of a base by all defaults, far beyond its highest pressure."""
    return base_path(BASES[name])


def at_travels(path: SolidPath, travels: tuple[float, ...]) -> np.ndarray:
    """Pressures [bar]."""
    return np.array([10.0 * path.at_travel(travel).pressure for travel in travels])


@pytest.mark.parametrize("name", ONE_BASE_AND_MORE)
def test_bases_agree_with_an_independent_solid(name: str) -> None:
    """Pressures at seven travels up to 5 mm, and the highest one far out, where plastic strain is 0.24 to 0.38.

    That solid steps by backward Euler in few steps: up to 0.6 % low from 1.5 to 4 mm (measured with this one by doing
    the same), and its mesh adds 0.2 %: between 0.2 % below and 0.9 % above it. Its highest pressures are given to 1 %.
    """
    base = BASES[name]
    path = whole_path(name)
    ratio = at_travels(path, TRAVELS) / np.array(base.pressures)
    assert np.all((ratio > 0.998) & (ratio < 1.009))
    assert path.limit is not None
    assert 10.0 * path.limit.pressure == pytest.approx(base.highest, rel=1.5e-2)


@pytest.mark.parametrize("name", ONE_BASE_AND_MORE)
def test_default_mesh_of_bases_is_good_to_two_thousandths(name: str) -> None:
    """Against 2800 elements, six through the thickness, at 1, 2, 3 and 4 mm; those are themselves good to 0.05 %."""
    base = BASES[name]
    assert at_travels(whole_path(name), (1.0, 2.0, 3.0, 4.0)) == pytest.approx(np.array(base.fine), rel=2e-3)


def test_default_steps_of_a_base_are_good_to_half_a_thousandth() -> None:
    """Against steps a quarter as long (0.03 % measured); backward Euler is 0.6 % low at 3 mm with the default steps."""
    base, travels, coarse = BASES["P0"], (1.0, 2.0, 3.0), Fineness(layers=2).refined(0.8)
    short = at_travels(base_path(base, coarse, Steps().scaled(0.25), travel=3.1), travels)
    assert at_travels(base_path(base, coarse, travel=3.1), travels) == pytest.approx(short, rel=5e-4)


def test_pressure_rises_along_the_path_where_its_tangent_says_so() -> None:
    """Rates of pressure are those of the states: between two of them the mean of the rates, to a tenth of the scale.

    Without the rate of the explicit half the tangent of this base fell from 4.4 mm on, where pressure rises to 6.4 mm.
    """
    path = whole_path("P0")
    rates = np.array([state.rising for state in path.states])
    slopes = np.diff(path.pressures) / np.array([state.step for state in path.states[1:]])
    late = path.travels[1:] > 2.0
    mean = 0.5 * (rates[1:] + rates[:-1])
    assert np.max(np.abs(mean - slopes)[late]) < 0.1 * np.max(np.abs(slopes[late]))
    assert len(path.limits) == 1
    assert 6.2 < path.at_travel(6.3).pressure * 10.0 < 6.35


@pytest.mark.parametrize("body", [reformed_base, straight_base])
def test_limits_of_bases_agree_with_the_shell(body: Callable[[], tuple[Meridian, Material]]) -> None:
    """Two bases on which a step may fail at the limit, against the shell: 1 %.

    Over 70 bases and ends of wide ranges the shell's first limit is 0.4 % above the solid's in the median and within
    0.9 % on nine of ten (measured with both at their default mesh): t/R is 0.16 at the stand.
    """
    meridian, material = body()
    side = 1 if meridian.inside == "left" else -1
    shell_mesh = ShellFineness(Grading().refined(1.6), layers=12)
    model = build_model(meridian, material, (None, "clamped"), ShellLoad(side=side), shell_mesh, LOGARITHMIC)
    expected = trace_path(model, ArcLength()).limit
    assert expected is not None
    solid = build_solid(meridian, LogarithmicMetal(material), (None, "clamped"), Load(side=side))
    assert limit_of(solid_path(solid)) == pytest.approx(expected.load_factor, rel=1e-2)


def test_a_metal_without_elastic_range_can_be_followed() -> None:
    """Ramberg-Osgood with slopes of 1e7 MPa at its foot, on a base: to its limit, within a tenth of ideal metal's own.

    The proof stress is the yield stress of the other, and the exponent is high: what the comparison is worth.
    """
    meridian = plain_base()
    side, limits = (1 if meridian.inside == "left" else -1), []
    for hardening in (ramberg_osgood(262.0, 30.0), linear_hardening(262.0, 500.0)):
        metal = LogarithmicMetal(Material(69000.0, 0.33, hardening=hardening))
        solid = build_solid(meridian, metal, (None, "clamped"), Load(side=side), Fineness(layers=2).refined(0.7))
        limits.append(limit_of(solid_path(solid)))
    assert limits[0] == pytest.approx(limits[1], rel=0.1)


def test_a_metal_that_does_not_yield_is_elastic() -> None:
    """The limit of a base of a metal too strong to yield is that of the elastic one, to what Newton leaves."""
    meridian = plain_base()
    side = 1 if meridian.inside == "left" else -1

    def limit(material: Material) -> float:
        solid = build_solid(
            meridian, LogarithmicMetal(material), (None, "clamped"), Load(side=side), Fineness(layers=2).refined(0.7)
        )
        return limit_of(solid_path(solid))

    strong = Material(69000.0, 0.33, hardening=linear_hardening(1e5))
    assert limit(strong) == pytest.approx(limit(Material(69000.0, 0.33)), rel=1e-9)
