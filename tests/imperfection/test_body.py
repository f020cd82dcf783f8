"""The body that has a deviation: its geometry against the definition, point by point."""

import math

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from buckle.errors import ShapeError
from buckle.imperfection.body import deviated
from buckle.imperfection.profile import Dimple, Spline, Wave
from buckle.mesh import mesh_meridian
from buckle.shapes import FAMILIES
from buckle.shapes.free import WalkPiece
from tests.helpers import bodies

CAP = FAMILIES["spherical_cap"].make(radius=100.0, half_angle=0.5, thickness=0.3)
HEAD = FAMILIES["ellipsoidal_head"].make(diameter=60.0, aspect_ratio=2.0, cylinder_length=20.0, thickness=0.3)
BASE = bodies.case(bodies.BASE, run="GNA", edges={"outer_edge": "clamped"}).meridian
BODIES = [CAP, HEAD, BASE]
PROFILES = [Dimple(0.0, 8.0, 0.2), Dimple(14.0, 3.0, -0.1), Wave(0.0, 9.0, 0.05)]


@pytest.mark.parametrize("profile", PROFILES, ids=lambda each: type(each).__name__)
@pytest.mark.parametrize("perfect", BODIES, ids=["cap", "head", "base"])
@pytest.mark.parametrize("side", [1, -1])
def test_every_point_lies_its_deviation_off_the_perfect_shape(perfect, profile, side):
    body = deviated(perfect, profile, side)
    for index, (piece, made) in enumerate(zip(perfect.pieces, body.pieces, strict=True)):
        along = np.linspace(0.0, piece.length, 7)[1:-1]
        at = perfect.at(index, along)
        w = side * profile.values(perfect.breaks[index] + along)[0]
        r, z = at.r - w * np.sin(at.heading), at.z + w * np.cos(at.heading)
        found = body.at(index, [made.distance_of(each) for each in along])
        np.testing.assert_allclose(found.r, r, atol=1e-9)
        np.testing.assert_allclose(found.z, z, atol=1e-9)


@pytest.mark.parametrize("perfect", BODIES, ids=["cap", "head", "base"])
def test_it_is_walked_by_its_own_arc_length(perfect):
    """Position, heading and curvature are each other's integrals."""
    body = deviated(perfect, Dimple(10.0, 4.0, 0.15), 1)
    for index, piece in enumerate(body.pieces):
        s = np.linspace(0.0, piece.length, 2001)
        at, step = body.at(index, s), s[1]
        middle = body.at(index, s[:-1] + 0.5 * step)
        tolerance = 0.1 * step**2 * piece.sharpest * (piece.sharpest + 1.0) + 1e-8  # of a middle, third order
        np.testing.assert_allclose(np.diff(at.r) / step, np.cos(middle.heading), atol=tolerance)
        np.testing.assert_allclose(np.diff(at.z) / step, np.sin(middle.heading), atol=tolerance)
        np.testing.assert_allclose(np.diff(at.heading) / step, middle.curvature, atol=tolerance * piece.sharpest + 1e-6)


def test_a_part_of_it_is_the_same_curve():
    body = deviated(CAP, Dimple(20.0, 5.0, 0.3), 1)
    (whole,) = body.pieces
    part = whole.part(12.0, 31.0, (0.3, 0.3))
    assert part.length == pytest.approx(19.0, abs=1e-9)
    s = np.linspace(0.0, 19.0, 11)
    np.testing.assert_allclose(part.walk(s).curvature, whole.walk(12.0 + s).curvature, atol=1e-9)


def test_named_points_stay_on_their_metal():
    body = deviated(BASE, Wave(0.0, 9.0, 0.1), 1)
    assert body.points.keys() == BASE.points.keys()
    for name, s in BASE.points.items():
        w = 0.1 * math.cos(2.0 * math.pi * s / 9.0)
        perfect, found = BASE.at_s(min(s, BASE.length)), body.at_s(min(body.points[name], body.length))
        assert float(found.r) == pytest.approx(float(perfect.r - w * np.sin(perfect.heading)), abs=1e-9)


def test_no_deviation_is_the_perfect_shape():
    body = deviated(BASE, Dimple(5.0, 3.0, 0.0), 1)
    assert body.length == pytest.approx(BASE.length, rel=1e-13)
    assert body.enclosed_volume == pytest.approx(BASE.enclosed_volume, rel=1e-12)


def test_an_inward_dimple_takes_its_volume():
    """2 pi r w integrated, to the order of the depth over the radius."""
    body = deviated(CAP, Dimple(0.0, 5.0, 0.05), 1)
    taken = 2.0 * math.pi * 0.05 * 5.0**2 / 2.0
    assert abs(body.enclosed_volume - CAP.enclosed_volume) == pytest.approx(taken, rel=5e-3)


def test_a_fold_a_torn_kink_and_a_leaning_apex_are_refused():
    with pytest.raises(ShapeError, match="would fold"):
        deviated(BASE, Dimple(24.0, 2.0, 3.0), -1)
    kinked = FAMILIES["meridian"].make(
        start=(0.0, 0.0),
        heading=0.0,
        inside="left",
        thickness=0.3,
        pieces=(WalkPiece(line=10.0), WalkPiece(line=10.0, turn_here=0.7)),
    )
    with pytest.raises(ShapeError, match="tear it open"):
        deviated(kinked, Dimple(10.0, 3.0, 0.1), 1)
    deviated(kinked, Dimple(0.0, 2.0, 0.1), 1)
    with pytest.raises(ShapeError, match=r"slopes by .* at the apex"):
        deviated(CAP, Dimple(3.0, 5.0, 0.3), 1)


def test_the_mesh_sees_a_narrow_dimple_of_a_long_piece():
    sphere = FAMILIES["complete_sphere"].make(radius=1000.0, thickness=0.2)
    body = deviated(sphere, Dimple(0.0, 4.0, 0.05), 1)
    short = np.diff(mesh_meridian(body).vertices)[:3]
    assert float(np.max(short)) < 2.5
    assert mesh_meridian(body).count < mesh_meridian(sphere).count + 20


def test_a_spline_beyond_its_ends_stays_level():
    spline = Spline(CubicSpline([0.0, 1.0, 2.0, 3.0], [0.0, 1.0, 0.5, 0.2]), 1.0)
    w, slope, bend = spline.values(np.array([3.5]))
    assert (w[0], slope[0], bend[0]) == (pytest.approx(0.2), 0.0, 0.0)
