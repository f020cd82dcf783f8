"""The revolved meridian: what is written comes back exactly, and vectors mean what the mode says."""

from pathlib import Path

import meshio
import numpy as np
from numpy.testing import assert_allclose, assert_array_equal

from buckle.analysis import run
from buckle.record.states import LIMIT, UNLOADED, deformed_states
from buckle.record.surfaces import PER_WAVE, limit_surface, mode_surface, surfaces, write_vtu
from tests.helpers.made_run import made_case, made_mode, made_outcomes

CASE = made_case()
OUTCOMES = made_outcomes(CASE)


def test_round_trip_is_exact(tmp_path: Path) -> None:
    for name, surface in surfaces(CASE.meridian, OUTCOMES):
        write_vtu(tmp_path / f"{name}.vtu", surface)
        read = meshio.read(tmp_path / f"{name}.vtu")
        assert_array_equal(read.points, surface.points)
        assert_array_equal(read.cells_dict["quad"], surface.cells)
        assert set(read.point_data) == set(surface.point_data)
        for key, values in surface.point_data.items():
            assert_array_equal(read.point_data[key], values)


def test_there_is_a_surface_for_each_mode_and_each_limit_state() -> None:
    names = [name for name, _ in surfaces(CASE.meridian, OUTCOMES)]
    expected = ["mode-LBA-n2", "mode-LBA-n1", "mode-GNA-n3", "limit-GNA", "mode-GMNA-n3", "limit-GMNA"]
    assert names == expected


def test_mode_has_its_components_around_the_circumference() -> None:
    """u cos(n theta) outward, v sin(n theta) around, w cos(n theta) along the axis."""
    mode = made_mode(CASE, 3, 1.0)
    surface = mode_surface(CASE.meridian, mode)
    r = np.hypot(surface.points[:, 0], surface.points[:, 1])
    theta = np.tile(surface.angles, len(r) // len(surface.angles))
    x, y, z = surface.point_data["mode"].T
    radial = x * np.cos(theta) + y * np.sin(theta)
    around = -x * np.sin(theta) + y * np.cos(theta)
    assert_allclose(r, np.interp(surface.points[:, 2], mode.z[::-1], mode.r[::-1]), atol=1e-9)
    at = np.repeat(np.arange(0, len(mode.r), 2), len(surface.angles))
    assert_allclose(radial, mode.u[at] * np.cos(3 * theta), atol=1e-14)
    assert_allclose(around, mode.v[at] * np.sin(3 * theta), atol=1e-14)
    assert_allclose(z, mode.w[at] * np.cos(3 * theta), atol=1e-14)


def test_cells_close_around_and_cover_the_surface() -> None:
    """The area of the facets is that of the cap, 2 pi R h, less the chords' error of 72 sides and 20 steps (0.2 %)."""
    surface = mode_surface(CASE.meridian, made_mode(CASE, 1, 1.0))
    corners = surface.points[surface.cells]
    diagonals = np.cross(corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1])
    assert_allclose(np.sum(0.5 * np.linalg.norm(diagonals, axis=1)), 2.0 * np.pi * 50.0 * 8.0, rtol=2e-3)
    assert np.unique(surface.cells).size == len(surface.points)


def test_many_waves_get_enough_points() -> None:
    assert len(mode_surface(CASE.meridian, made_mode(CASE, 20, 1.0)).angles) == 20 * PER_WAVE


def test_thickness_is_that_of_the_meridian() -> None:
    """Linear from 0.3 mm at the apex to 0.2 mm at 20 mm of arc, constant beyond (the case)."""
    surface = mode_surface(CASE.meridian, made_mode(CASE, 0, 1.0))
    along = 50.0 * np.arcsin(np.hypot(surface.points[:, 0], surface.points[:, 1]) / 50.0)
    expected = np.interp(along, [0.0, 20.0], [0.3, 0.2])
    assert_allclose(surface.point_data["thickness_mm"], expected, atol=1e-6)


def test_limit_state_leads_from_the_unloaded_to_the_deformed_section() -> None:
    states = deformed_states(OUTCOMES[3])
    surface = limit_surface(CASE.meridian, states[UNLOADED], states[LIMIT])
    moved = surface.points + surface.point_data["displacement_mm"]
    kept = slice(None, None, 2)
    assert_allclose(np.hypot(moved[:, 0], moved[:, 1]), np.repeat(states[LIMIT].r[kept], 72), atol=1e-12)
    assert_allclose(moved[:, 2], np.repeat(states[LIMIT].z[kept], 72), atol=1e-12)


def test_sense_of_the_circumferential_displacement_on_a_solved_mode() -> None:
    """A long tube buckles without stretching its circumference: u + dv/dtheta = 0 to the order of the mode's v.

    With u cos(n theta) and v sin(n theta) that is u = -n v (Rayleigh's inextensional bending, from memory). A wrong
    sense of v would be 200 % off; the ends of a real tube stretch a little, 1 %.
    """
    tube = made_case(
        shape={"family": "cylinder", "radius_mm": 30.0, "length_mm": 600.0, "thickness_mm": 0.3},
        supports={"start_edge": "diaphragm", "outer_edge": "diaphragm"},
        loads={"pressure_side": "outside", "end_thrust": False},
        analyses={"run": ["LBA"], "wave_numbers": [2, 2]},
    )
    surface = mode_surface(tube.meridian, run(tube, "LBA", estimate_error=False).modes[0])
    angles = surface.angles
    x, y, _ = np.moveaxis(surface.point_data["mode"].reshape(-1, len(angles), 3), -1, 0)
    u = 2.0 * np.mean((x * np.cos(angles) + y * np.sin(angles)) * np.cos(2 * angles), axis=1)
    v = 2.0 * np.mean((y * np.cos(angles) - x * np.sin(angles)) * np.sin(2 * angles), axis=1)
    assert np.max(np.abs(u)) > 0.9
    assert_allclose(u, -2.0 * v, atol=0.01 * np.max(np.abs(u)))
