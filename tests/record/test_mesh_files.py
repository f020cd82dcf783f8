"""The stored meshes are those that are computed; what is written comes back exactly; cells are where they should be."""

from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.testing import assert_allclose, assert_array_equal

from buckle.case import read_case
from buckle.record.mesh_files import MeshFile, read_mesh, write_mesh
from scripts.tables.meshes_of_benchmarks import FOLDER, Stored, stored
from tests.helpers.paths import ROOT

FILES = {each.path.name: each for each in stored()}
LARGEST = 500_000  # bytes of the whole folder


@cache
def made(name: str) -> MeshFile:
    return FILES[name].mesh()


@pytest.mark.parametrize("name", FILES)
def test_a_stored_mesh_is_the_one_computed(name: str) -> None:
    """Cells to the bit, places to 1e-12 mm: another machine's sine may differ in its last digit."""
    mesh, contents = read_mesh(FILES[name].path)
    assert contents == FILES[name].contents
    assert mesh.kind == made(name).kind
    assert_array_equal(mesh.cells, made(name).cells)
    assert_allclose(mesh.points, made(name).points, rtol=0.0, atol=1e-12)
    assert set(mesh.point_data) == set(made(name).point_data)
    for key, values in made(name).point_data.items():
        assert_allclose(mesh.point_data[key], values, rtol=1e-12, atol=1e-12)


@pytest.mark.parametrize("name", ["base-a-gmna.meridian.vtu", "end-e3-gmna.solid.vtu"])
def test_round_trip_is_exact(name: str, tmp_path: Path) -> None:
    contents = {"case": "a & b <c>", "made by": "größer"}
    write_mesh(tmp_path / name, made(name), contents)
    mesh, again = read_mesh(tmp_path / name)
    assert again == contents
    assert_array_equal(mesh.points, made(name).points)
    assert_array_equal(mesh.cells, made(name).cells)
    for key, values in made(name).point_data.items():
        assert_array_equal(mesh.point_data[key], values)


@pytest.mark.parametrize("each", [each for each in FILES.values() if "solid" in each.path.name], ids=lambda e: e.case)
def test_sides_of_the_solid_have_their_middles_between_their_ends(each: Stored) -> None:
    """The order of meshio: four corners counter-clockwise, then the middles of sides 01, 12, 23, 30.

    A middle on an arc stands off the chord by its height, 2 % of a side that turns by 0.35 / 2 rad; corners may
    go the other way round all over, if the walk does.
    """
    mesh = made(each.path.name)
    corners, middles = mesh.points[mesh.cells[:, :4]], mesh.points[mesh.cells[:, 4:]]
    onward = np.roll(corners, -1, axis=1)
    side = np.linalg.norm(onward - corners, axis=2)
    assert np.all(np.linalg.norm(middles - 0.5 * (corners + onward), axis=2) < 0.05 * side)
    first, last = corners[:, 1] - corners[:, 0], corners[:, 3] - corners[:, 0]
    area = first[:, 0] * last[:, 2] - first[:, 2] * last[:, 0]
    assert np.all(area > 0.0) or np.all(area < 0.0)


@pytest.mark.parametrize(
    "each", [each for each in FILES.values() if "meridian" in each.path.name], ids=lambda e: e.case
)
def test_elements_of_a_meridian_join_in_walking_order(each: Stored) -> None:
    mesh, meridian = made(each.path.name), read_case(ROOT / each.case).meridian
    s = mesh.point_data["s_mm"]
    assert_array_equal(mesh.cells[1:, 0], mesh.cells[:-1, 1])
    assert s[mesh.cells[0, 0]] == 0.0
    assert s[mesh.cells[-1, 1]] == pytest.approx(meridian.length, rel=1e-12)
    assert_allclose(s[mesh.cells[:, 2]], 0.5 * (s[mesh.cells[:, 0]] + s[mesh.cells[:, 1]]))


def test_the_folder_holds_nothing_else_and_is_small() -> None:
    assert {path.name for path in FOLDER.iterdir()} == set(FILES)
    assert sum(path.stat().st_size for path in FOLDER.iterdir()) < LARGEST
