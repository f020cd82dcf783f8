"""Spheres, caps, heads, cylinders, plates and free walks against their closed forms; tolerances are round-off."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from buckle.errors import ShapeError
from buckle.shapes import (
    FAMILIES,
    WalkPiece,
    circular_plate,
    complete_sphere,
    cylinder,
    ellipsoidal_head,
    meridian,
    spherical_cap,
    torispherical_head,
)


def test_sphere_goes_from_pole_to_pole():
    body = complete_sphere(radius=25.0, thickness=0.1)
    assert (body.start, body.heading, body.inside) == ((0.0, -25.0), 0.0, "left")
    assert body.closed_at_start
    assert body.closed_at_end
    assert body.surface_area == pytest.approx(4 * math.pi * 625, rel=1e-13)
    assert float(body.at_s(body.points["equator"]).r) == pytest.approx(25.0)


@given(radius=st.floats(1.0, 1e3), half_angle=st.floats(0.01, 1.55))
def test_three_ways_to_give_one_cap(radius, half_angle):
    """Round trip; the base radius of nearly a hemisphere loses half the digits of the angle."""
    by_angle = spherical_cap(radius=radius, half_angle=half_angle, thickness=0.01 * radius)
    base, height = radius * math.sin(half_angle), radius * (1 - math.cos(half_angle))
    by_base = spherical_cap(radius=radius, base_radius=base, thickness=0.01 * radius)
    by_height = spherical_cap(radius=radius, height=height, thickness=0.01 * radius)
    assert by_base.length == pytest.approx(by_angle.length, rel=1e-12)
    assert by_height.length == pytest.approx(by_angle.length, rel=1e-11)  # 1 - cos of a small angle
    edge = by_angle.at_s(by_angle.length)
    assert [float(edge.r), float(edge.z)] == pytest.approx([base, 0.0], abs=1e-12 * radius)
    assert by_angle.surface_area == pytest.approx(2 * math.pi * radius * by_angle.start[1], rel=1e-12)


def test_cap_is_walked_outward_and_down_with_its_inside_below():
    cap = spherical_cap(radius=100.0, half_angle=0.3, thickness=0.5)
    assert cap.inside == "right"
    assert cap.closed_at_start
    assert np.all(np.diff(cap.at_s(np.linspace(0, cap.length, 9)).z) < 0)


@pytest.mark.parametrize(
    "size",
    [
        {},
        {"half_angle": 0.3, "height": 2.0},
        {"half_angle": 0.0},
        {"half_angle": math.pi},
        {"base_radius": 100.001},
        {"height": 200.0},
        {"height": -1.0},
        {"half_angle": math.nan},
    ],
)
def test_cap_of_no_or_impossible_size_is_refused(size):
    with pytest.raises(ShapeError, match=r"half_angle|base_radius|height"):
        spherical_cap(radius=100.0, thickness=0.5, **size)


def test_hemisphere_by_base_radius_is_allowed():
    assert spherical_cap(radius=100.0, base_radius=100.0, thickness=0.5).start[1] == pytest.approx(100.0)


def test_torisphere_is_tangent_to_its_cylinder():
    """Depth R - sqrt((R - r)^2 - (D/2 - r)^2), elementary geometry."""
    head = torispherical_head(crown_radius=60.0, knuckle_radius=6.0, diameter=60.0, cylinder_length=8.0, thickness=0.3)
    assert head.start[1] == pytest.approx(60 - math.sqrt(54**2 - 24**2))
    ends = head.at_s(head.breaks)
    assert float(ends.r[2]) == pytest.approx(30.0, rel=1e-14)
    assert float(ends.z[2]) == pytest.approx(0.0, abs=1e-13)
    assert float(ends.heading[2]) == pytest.approx(-math.pi / 2, rel=1e-15)
    assert float(ends.z[3]) == pytest.approx(-8.0, rel=1e-14)


@pytest.mark.parametrize(("key", "value"), [("knuckle_radius", 30.0), ("crown_radius", 30.0), ("diameter", math.inf)])
def test_impossible_torisphere_names_the_dimension(key, value):
    good = {"crown_radius": 60.0, "knuckle_radius": 6.0, "diameter": 60.0, "thickness": 0.3}
    with pytest.raises(ShapeError, match=key):
        torispherical_head(**{**good, key: value})


@pytest.mark.parametrize("aspect_ratio", [0.5, 0.999, 1.0, 2.0, 4.0])
def test_ellipsoid_lies_on_its_ellipse_with_exact_arc_length(aspect_ratio):
    """Volume 2/3 pi a^2 b; the length of a part by scipy's quadrature of the speed, 1e-10 being its own error."""
    a, b = 30.0, 30.0 / aspect_ratio
    head = ellipsoidal_head(diameter=60.0, aspect_ratio=aspect_ratio, thickness=0.3)
    s = np.linspace(0.0, head.length, 41)
    at = head.at_s(s)
    np.testing.assert_allclose((at.r / a) ** 2 + (at.z / b) ** 2, 1.0, rtol=1e-13)
    for i in (7, 20, 33):
        q = math.asin(float(at.r[i]) / a)
        walked = quad(lambda x: math.hypot(a * math.cos(x), b * math.sin(x)), 0.0, q, epsabs=1e-12)[0]
        assert walked == pytest.approx(s[i], rel=1e-10)
    np.testing.assert_allclose(
        np.tan(at.heading[1:-1]), -(at.r * b**2 / (np.maximum(at.z, 1e-9) * a**2))[1:-1], rtol=1e-9
    )
    assert head.enclosed_volume == pytest.approx(2 / 3 * math.pi * a * a * b, rel=1e-11)
    assert at.curvature[0] == pytest.approx(-b / a**2, rel=1e-14)
    assert at.curvature[-1] == pytest.approx(-a / b**2, rel=1e-12)


def test_ellipsoid_of_aspect_one_is_the_hemisphere():
    head = ellipsoidal_head(diameter=60.0, depth=30.0, cylinder_length=5.0, thickness=0.3)
    cap = spherical_cap(radius=30.0, half_angle=math.pi / 2, thickness=0.3)
    s = np.linspace(0.0, cap.length, 12)
    np.testing.assert_allclose(head.at_s(s).r, cap.at_s(s).r, atol=1e-12)
    assert head.surface_area == pytest.approx(2 * math.pi * 900 + 2 * math.pi * 30 * 5, rel=1e-13)


def test_thickness_table_splits_an_ellipse_without_moving_it():
    plain = ellipsoidal_head(diameter=60.0, aspect_ratio=2.0, thickness=0.3)
    thinned = ellipsoidal_head(diameter=60.0, aspect_ratio=2.0, thickness=0.3, thickness_at=((5.0, 0.3), (20.0, 0.2)))
    s = np.linspace(0.0, plain.length, 33)
    np.testing.assert_allclose(thinned.at_s(s).r, plain.at_s(s).r, atol=1e-12)
    np.testing.assert_allclose(thinned.at_s(s).thickness, np.interp(s, [5, 20], [0.3, 0.2]), rtol=1e-13)


@given(radius=st.floats(1.0, 100.0), length=st.floats(0.1, 500.0))
def test_cylinder(radius, length):
    tube = cylinder(radius=radius, length=length, thickness=0.1)
    assert tube.inside == "left"
    assert tube.surface_area == pytest.approx(2 * math.pi * radius * length, rel=1e-13)
    assert tube.enclosed_volume == pytest.approx(math.pi * radius**2 * length, rel=1e-13)
    assert not tube.closed_at_start


def test_plate_with_and_without_hole():
    assert circular_plate(radius=50.0, thickness=0.5).closed_at_start
    ring = circular_plate(radius=50.0, hole_radius=10.0, thickness=0.5)
    assert ring.surface_area == pytest.approx(math.pi * 2400, rel=1e-13)
    with pytest.raises(ShapeError, match="hole_radius"):
        circular_plate(radius=50.0, hole_radius=50.0, thickness=0.5)


def test_free_walk_is_taken_as_written():
    body = meridian(
        start=(0.0, 10.4),
        heading=0.0,
        inside="left",
        thickness=0.27,
        pieces=(
            WalkPiece(arc=45.7, turn=-0.4785),
            WalkPiece(line=1.99),
            WalkPiece(line=4.0, thickness=(0.27, 0.105), turn_here=0.5),
            WalkPiece(line=21.0, thickness=0.105, name="wall"),
        ),
    )
    assert [p.thickness for p in body.pieces] == [(0.27, 0.27), (0.27, 0.27), (0.27, 0.105), (0.105, 0.105)]
    assert body.pieces[0].curvature == pytest.approx(-1 / 45.7)
    assert body.pieces[0].length == pytest.approx(45.7 * 0.4785)
    assert float(body.at_s(body.length).heading) == pytest.approx(0.5 - 0.4785)


@pytest.mark.parametrize(
    ("piece", "words"),
    [
        ({}, r"pieces\[1\]: give exactly one of arc"),
        ({"arc": 1.0, "turn": 1.0, "line": 1.0}, "exactly one"),
        ({"line": 1.0, "turn": 1.0}, r"pieces\[1\].turn: a line does not turn"),
        ({"arc": 1.0}, "an arc needs a turn"),
        ({"arc": 1.0, "turn": 0.0}, "an arc needs a turn"),
        ({"arc": 1.0, "turn": 6.3}, "up to a full circle"),
        ({"arc": 1.0, "turn": 1.0, "thickness": 2.0}, r"pieces\[1\].thickness: thicker than twice"),
    ],
)
def test_free_walk_says_which_piece_is_wrong(piece, words):
    with pytest.raises(ShapeError, match=words):
        meridian(
            start=(5.0, 0.0),
            heading=0.0,
            inside="left",
            thickness=0.1,
            pieces=(WalkPiece(line=1.0), WalkPiece(**piece)),
        )


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf, -math.inf, 5e-324, 1e-160, 1e160])
@pytest.mark.parametrize(
    ("family", "good"),
    [
        ("complete_sphere", {"radius": 10.0, "thickness": 0.1}),
        ("spherical_cap", {"radius": 10.0, "height": 1.0, "thickness": 0.1}),
        ("torispherical_head", {"crown_radius": 60.0, "knuckle_radius": 6.0, "diameter": 60.0, "thickness": 0.3}),
        ("ellipsoidal_head", {"diameter": 60.0, "aspect_ratio": 2.0, "thickness": 0.3}),
        ("cylinder", {"radius": 10.0, "length": 5.0, "thickness": 0.1}),
        ("circular_plate", {"radius": 10.0, "thickness": 0.1}),
    ],
)
def test_every_number_must_be_positive_and_finite_and_reckonable(family, good, value):
    for key in good:
        with pytest.raises(ShapeError, match=f"^{key}:") as caught:
            FAMILIES[family].make(**{**good, key: value})
        assert caught.value.fault.key == key


def test_families_are_keyword_only():
    with pytest.raises(TypeError):
        complete_sphere(10.0, 0.1)
