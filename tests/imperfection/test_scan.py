"""A measured meridian: a known deviation is found again, and what is no scan of the shape is refused."""

import numpy as np
import pytest

from buckle.errors import ShapeError
from buckle.imperfection.body import deviated
from buckle.imperfection.profile import Dimple, Wave
from buckle.imperfection.scan import profile_of, read_scan, thickness_of
from buckle.shapes import FAMILIES

CAP = FAMILIES["spherical_cap"].make(radius=100.0, half_angle=0.5, thickness=0.3)


def written(path, body, count=400, thickness=None):
    at = body.at_s(np.linspace(0.0, body.length, count))
    heads = "r_mm,z_mm" + ("" if thickness is None else ",thickness_mm")
    rows = [
        f"{r:.9g},{z:.9g}" + ("" if thickness is None else f",{thickness:g}") for r, z in zip(at.r, at.z, strict=True)
    ]
    path.write_text("\n".join([heads, *rows]) + "\n")
    return path


@pytest.mark.parametrize("side", [1, -1])
def test_a_dimple_is_found_again(tmp_path, side):
    dimple = Dimple(0.0, 12.0, 0.2)
    scan = read_scan(written(tmp_path / "scan.csv", deviated(CAP, dimple, side)))
    found = profile_of(scan, CAP, side, wavelength=2.0)
    s = np.linspace(0.0, CAP.length, 101)
    np.testing.assert_allclose(found.values(s)[0], dimple.values(s)[0], atol=2e-3)


def test_the_filter_leaves_half_of_a_wave_of_its_length(tmp_path):
    wave = Wave(0.0, 5.0, 0.01)
    scan = read_scan(written(tmp_path / "scan.csv", deviated(CAP, wave, 1), 2000))
    found = profile_of(scan, CAP, 1, wavelength=5.0)
    s = np.linspace(10.0, 40.0, 301)
    np.testing.assert_allclose(found.values(s)[0], 0.5 * wave.values(s)[0], atol=2e-5)


def test_a_measured_thickness_is_read(tmp_path):
    scan = read_scan(written(tmp_path / "scan.csv", CAP, thickness=0.28))
    assert all(t == pytest.approx(0.28) for _, t in thickness_of(scan, CAP, 5.0))
    assert thickness_of(read_scan(written(tmp_path / "scan.csv", CAP)), CAP, 5.0) is None


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "its first line is"),
        ("r_mm,z_in\n1,2\n", "its first line is"),
        ("r_mm,z_mm\n1,2\n", "holds 1 places"),
        ("r_mm,z_mm\n1,2\n3\n", "line 3 is not 2 finite numbers"),
        ("r_mm,z_mm\n1,2\n3,nan\n", "line 3 is not 2 finite numbers"),
        ('r_mm,z_mm\n1,"' + "2" * 200_000, "is no CSV"),
    ],
)
def test_what_is_no_scan_is_refused(tmp_path, text, words):
    (tmp_path / "scan.csv").write_text(text)
    with pytest.raises(ShapeError, match=words):
        read_scan(tmp_path / "scan.csv")


def test_a_scan_of_another_body_is_refused(tmp_path):
    other = FAMILIES["spherical_cap"].make(radius=60.0, half_angle=0.5, thickness=0.3)
    with pytest.raises(ShapeError, match="mm off the shape"):
        profile_of(read_scan(written(tmp_path / "scan.csv", other)), CAP, 1, 2.0)


def test_a_scan_of_a_part_is_refused(tmp_path):
    at = CAP.at_s(np.linspace(0.0, 10.0, 50))
    (tmp_path / "part.csv").write_text("\n".join(["r_mm,z_mm", *(f"{r},{z}" for r, z in zip(at.r, at.z, strict=True))]))
    scan = read_scan(tmp_path / "part.csv")
    with pytest.raises(ShapeError, match="covers less than half"):
        profile_of(scan, CAP, 1, 2.0)


def test_a_scan_with_gaps_wide_enough_for_a_dent_that_is_kept_is_refused(tmp_path):
    """50 mm in 49 steps: 1.02 mm apart, half the filter's wavelength at most."""
    scan = read_scan(written(tmp_path / "scan.csv", CAP, 50))
    with pytest.raises(ShapeError, match="would not be seen there"):
        profile_of(scan, CAP, 1, wavelength=2.0)
    profile_of(scan, CAP, 1, wavelength=2.1)
