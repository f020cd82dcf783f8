"""Modes of LBA as deviations: of the elements that are followed, as large as was asked for, along the meridian too."""

import math
from typing import Any

import numpy as np
import pytest

from buckle.analysis import run
from buckle.analysis.modes import along_amplitude, amplitude_of, axisymmetric, linear_model, off_shape
from buckle.analysis.setup import model_of, run_of
from buckle.analysis.waves import linear_seed
from buckle.case import Case, case_from_dict
from buckle.errors import SolveError
from buckle.results import Status
from buckle.shell.elements import sampled_elements
from buckle.solve.linear import linear_mode
from tests.helpers import bodies

CLASSICAL = 2.0 * math.pi * bodies.E / math.sqrt(3.0)  # axial force on a cylinder of 1 mm, nu = 0
HALVES = 8


def half_wave(radius: float) -> float:
    """Half wave [mm] of the axisymmetric mode of a pressed cylinder of 1 mm, nu = 0 (Timoshenko, from memory)."""
    return math.pi * math.sqrt(radius) / 12.0**0.25


def pressed(deviation: dict[str, Any], radius: float = 100.0) -> Case:
    """A cylinder of eight half waves whose ends hold it round: without Poisson's ratio its modes are sines."""
    return bodies.case(
        {"family": "cylinder", "radius_mm": radius, "length_mm": HALVES * half_wave(radius), "thickness_mm": 1.0},
        run="GNIA",
        nu=0.0,
        edges={"start_edge": "pinned", "outer_edge": "diaphragm"},
        waves=(8, 10),
        metal={"yields": False},
        loads={"increases": "axial_force", "axial_force_N": -1.0},
        deviation=deviation,
    )


def along(amplitude: float) -> dict[str, Any]:
    return {"shape": "mode", "analysis": "LBA", "wave_number": 0, "amplitude_mm": amplitude}


@pytest.fixture(scope="module")
def end() -> Case:
    metal = {"yield_stress_MPa": 300.0, "hardening": bodies.IDEAL}
    return bodies.case(bodies.END, run="GMNA", side="inside", edges={"outer_edge": "clamped"}, metal=metal)


def test_the_mode_of_an_elastic_plastic_path_is_that_of_lba(end: Case) -> None:
    """On the path's own elements, whose turning is smooth and which are shorter: load to 1e-5, shape to the mesh."""
    path, lba = linear_model(model_of(run_of(end, "GMNA"))), model_of(run_of(end, "LBA"))
    assert path.shell.elements.smooth
    assert not lba.shell.elements.smooth
    own, other = linear_mode(path, 12), linear_mode(lba, 12)
    assert own.load_factor == pytest.approx(other.load_factor, rel=1e-5)
    shapes = []
    for model, mode in ((path, own.mode), (lba, other.mode)):
        w = off_shape(model.shell.elements, mode)
        shapes.append(w / w[np.argmax(np.abs(w))])
    there = np.interp(lba.shell.elements.s, path.shell.elements.s, shapes[0])
    assert there == pytest.approx(shapes[1], abs=5e-3)  # straight lines between the points of the finer mesh


def test_a_seed_is_as_large_as_one(end: Case) -> None:
    seed = linear_seed(run_of(end, "GMNA"), 12)
    assert seed.onset is None
    size = np.max(np.abs(off_shape(seed.model.shell.elements, seed.mode)))
    assert 0.8 < size <= 1.0  # the largest movement, most of which is square to a flat panel


def test_the_axisymmetric_mode_of_a_pressed_cylinder_is_its_sine() -> None:
    """A known mode: values to 2e-5; a spline loses an order with each derivative, bending is met to 1 %."""
    case = pressed(along(0.12))
    s = np.linspace(0.0, case.meridian.length, 201)
    w, slope, bend = axisymmetric(run_of(case, "GNA"), 0.12).profile.values(s)
    q = math.pi / half_wave(100.0)
    sense = math.copysign(1.0, w[5])
    assert sense * w == pytest.approx(0.12 * np.sin(q * s), abs=0.12 * 1e-4)
    assert sense * slope == pytest.approx(0.12 * q * np.cos(q * s), abs=0.12 * q * 1e-3)
    assert sense * bend == pytest.approx(-0.12 * q**2 * np.sin(q * s), abs=0.12 * q**2 * 1e-2)


def test_it_takes_as_much_off_as_the_same_wave() -> None:
    """A deviation by the mode and a wave of the same size and length, of which that is off by 2e-5, see above."""
    mode, half = pressed(along(0.12)), half_wave(100.0)
    sense = axisymmetric(run_of(mode, "GNA"), 0.12).profile.values(np.array([0.5 * half]))[0][0]
    shape = {"shape": "wave", "at_mm": 0.5 * half, "wavelength_mm": 2.0 * half}
    wave = pressed({**shape, "depth_mm": math.copysign(0.12, sense)})
    found, reference = (run(case, "GNIA", estimate_error=False, pictures=False).bifurcation for case in (mode, wave))
    assert found.wave_number == reference.wave_number
    assert found.load == pytest.approx(reference.load, rel=2e-5)
    assert found.load < 0.6 * CLASSICAL  # it is taken off, and not little


def test_half_a_wall_in_the_mean_of_a_sine() -> None:
    """Root mean square over the surface: the size over 2^(1/2); mode as above."""
    assert along_amplitude(run_of(pressed(along(0.12)), "GNA"), 0.5) == pytest.approx(0.5 * 2.0**0.5, rel=1e-4)


def test_half_a_wall_in_the_mean_of_waves_on_a_cap() -> None:
    """The mean by hand over a grid of the surface, whose rings become smaller towards the apex: 1e-3 of trapezoids."""
    model = model_of(run_of(cap(along(0.3)), "GNA"))
    mode = linear_mode(linear_model(model), 3).mode
    factor = amplitude_of(model, mode, 3, 0.5)
    stations = sampled_elements(model.shell.elements, 30)
    theta = np.linspace(0.0, 2.0 * math.pi, 60, endpoint=False)
    w = factor * off_shape(stations, mode)[:, None] * np.cos(3.0 * theta)
    mean = np.trapezoid(stations.station.r * np.mean(w**2, axis=1), stations.s)
    assert math.sqrt(mean / np.trapezoid(stations.station.r, stations.s)) == pytest.approx(0.5, rel=1e-3)


CAP = {"family": "spherical_cap", "radius_mm": 400.0, "half_angle_deg": 12.0, "thickness_mm": 1.0}


def cap(deviation: dict[str, Any], edge: str = "clamped", waves: tuple[int, int] = (0, 2)) -> Case:
    return bodies.case(
        CAP,
        run="GNIA",
        edges={"outer_edge": edge},
        waves=waves,
        metal={"yields": False},
        deviation=deviation,
        numerics={"mesh_density": 0.5},
    )


def test_a_cap_deviates_in_both_senses() -> None:
    """With the pressure a dent, which costs much more than a bulge; the apex stays level."""
    dent, bulge = cap(along(0.3)), cap(along(-0.3))
    profiles = [
        axisymmetric(run_of(case, "GNA"), amplitude).profile for case, amplitude in ((dent, 0.3), (bulge, -0.3))
    ]
    s = np.linspace(0.0, dent.meridian.length, 400)
    (w, slope, _), (other, _, _) = (profile.values(s) for profile in profiles)
    assert np.max(np.abs(w)) == pytest.approx(0.3, rel=1e-3)
    assert np.max(w) == np.max(np.abs(w))
    assert other == pytest.approx(-w, abs=1e-12)
    assert abs(slope[0]) < 1e-12
    found = [run(case, "GNIA", estimate_error=False, pictures=False) for case in (dent, bulge)]
    assert [each.status for each in found] == [Status.SOLVED] * 2
    assert not any(each.in_waves for each in found)
    assert found[0].capacity.load < 0.8 * found[1].capacity.load
    assert "without waves" in found[0].notes[0]


def test_a_mode_that_no_load_makes_is_not_followed() -> None:
    """A cylinder that is pulled has no bifurcation at all."""
    pulled = pressed(along(0.1)).tables
    pulled = case_from_dict({**pulled, "loads": {**pulled["loads"], "axial_force_N": 1.0}})
    found = run(pulled, "GNIA", estimate_error=False, pictures=False)
    assert found.status is Status.FAILED
    assert "no such mode of wave number 0" in found.reason
    with pytest.raises(SolveError, match="no such mode"):
        linear_mode(linear_model(model_of(run_of(pulled, "GNA"))), 0)


def test_both_apexes_of_a_sphere_stay_level() -> None:
    case = bodies.case(bodies.SPHERE, run="GNIA", waves=(0, 0), metal={"yields": False}, deviation=along(0.2))
    profile = axisymmetric(run_of(case, "GNA"), 0.2).profile
    w, slope, _ = profile.values(np.linspace(0.0, case.meridian.length, 999))
    assert np.max(np.abs(w)) == pytest.approx(0.2, rel=1e-3)
    assert slope[[0, -1]] == pytest.approx(0.0, abs=1e-9 * np.max(np.abs(slope)))


def test_a_mode_that_tears_a_kink_open_is_no_deviation() -> None:
    """A plate with a cone at its edge: its mode moves the kink."""
    pieces = [{"line_mm": 20.0}, {"line_mm": 20.0, "turn_here_deg": -40.0}]
    shape = {"family": "meridian", "start_mm": [0.0, 0.0], "heading_deg": 0.0, "inside": "left", "thickness_mm": 0.5}
    case = bodies.case(
        {**shape, "pieces": pieces},
        run="GNIA",
        edges={"outer_edge": "clamped"},
        waves=(2, 3),
        metal={"yields": False},
        deviation=along(0.2),
    )
    found = run(case, "GNIA", estimate_error=False, pictures=False)
    assert found.status is Status.FAILED
    assert "leaves no body: moves the kink" in found.reason
