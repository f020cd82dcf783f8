"""The walk against shapes known by hand; tolerances are a few units of round-off unless stated."""

import math
import pickle

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from buckle.errors import ShapeError
from buckle.meridian import Meridian, Piece, arc, line
from buckle.shapes.thickness import with_thickness

EXACT = {"rel": 1e-13, "abs": 1e-13}


def sphere(radius, thickness):
    return Meridian((0.0, -radius), 0.0, "left", (arc(radius, math.pi, thickness, "shell"),))


@given(radius=st.floats(0.1, 1e4), ratio=st.floats(1e-4, 0.5))
def test_sphere_measures_are_the_closed_forms(radius, ratio):
    """Area 4 pi R^2, volume 4/3 pi R^3, metal between R - t/2 and R + t/2 (which the centroid shift must give)."""
    t = ratio * radius
    body = sphere(radius, t)
    assert body.surface_area == pytest.approx(4 * math.pi * radius**2, rel=1e-13)
    assert body.enclosed_volume == pytest.approx(4 / 3 * math.pi * radius**3, rel=1e-13)
    metal = 4 * math.pi * (radius**2 * t + t**3 / 12)
    assert body.metal_volume == pytest.approx(metal, rel=1e-12)
    assert body.closed_at_start
    assert body.closed_at_end


def test_metal_of_a_ring_bend_is_pappus_exactly():
    """A quarter bend of a ring: area of the quarter annulus times the path of its centroid."""
    centre, radius, t = 20.0, 2.0, 0.5
    ring = Meridian((centre, -radius), 0.0, "left", (arc(radius, math.pi / 2, t),))
    outer, inner = radius + t / 2, radius - t / 2
    area = math.pi / 4 * (outer**2 - inner**2)
    reach = (outer**3 - inner**3) / 3  # first moment of the quarter annulus about the vertical through its centre
    assert ring.metal_volume == pytest.approx(2 * math.pi * (centre * area + reach), rel=1e-13)


def test_cone_with_linear_thickness():
    """2 pi integral of r t ds by hand for r = 10 + 0.6 s, t = 0.2 + 0.01 s over 5 mm."""
    cone = Meridian((10.0, 0.0), math.atan2(0.8, 0.6), "left", (Piece(5.0, 0.0, (0.2, 0.25)),))
    by_hand = 2 * math.pi * (10 * 0.2 * 5 + (10 * 0.01 + 0.6 * 0.2) * 25 / 2 + 0.6 * 0.01 * 125 / 3)
    assert cone.metal_volume == pytest.approx(by_hand, rel=1e-13)
    assert cone.surface_area == pytest.approx(math.pi * (10 + 13) * 5, rel=1e-13)
    assert cone.enclosed_volume == pytest.approx(math.pi * 4 / 3 * (100 + 130 + 169), rel=1e-13)
    assert cone.at_s(2.0).thickness == pytest.approx(0.22, **EXACT)


def test_mass_is_volume_times_density_in_grams():
    plate = Meridian((0.0, 0.0), 0.0, "right", (line(50.0, 0.25),))
    assert plate.mass(2720.0) == pytest.approx(math.pi * 2.5e1**2 * 2.72e-3, rel=1e-13)  # pi r^2 t = pi 25^2 mm3


def test_blank_has_the_volume_of_the_metal():
    assert sphere(10.0, 0.1).blank_diameter == pytest.approx(math.sqrt(16 * (100 + 0.01 / 12)), rel=1e-13)
    thinned = Meridian((0.0, 0.0), 0.0, "right", (line(50.0, 0.25),), gauge=0.5)
    assert thinned.blank_diameter == pytest.approx(100 / math.sqrt(2), rel=1e-13)


def test_stations_of_an_arc_lie_on_its_circle():
    body = Meridian((3.0, 1.0), 0.3, "left", (line(2.0, 0.1), arc(1.5, 2.0, 0.1), arc(0.7, -1.0, 0.1)))
    at = body.at(1, np.linspace(0.0, 3.0, 7))
    start = body.at(1, 0.0)
    centre = start.r - 1.5 * math.sin(0.3), start.z + 1.5 * math.cos(0.3)
    np.testing.assert_allclose(np.hypot(at.r - centre[0], at.z - centre[1]), 1.5, rtol=1e-14)
    np.testing.assert_allclose(at.heading, 0.3 + np.linspace(0.0, 2.0, 7), rtol=1e-14)
    np.testing.assert_array_equal(at.curvature, np.full(7, 1 / 1.5))


def test_index_and_distance_broadcast():
    body = Meridian((3.0, 0.0), 0.0, "left", (line(2.0, 0.1), line(4.0, 0.2)))
    at = body.at([[0], [1]], [0.0, 1.0, 2.0])
    np.testing.assert_allclose(at.r, [[3, 4, 5], [5, 6, 7]])
    assert at.thickness.shape == at.z.shape == (2, 3)


def test_kink_belongs_to_the_piece_that_starts_there():
    body = Meridian((1.0, 0.0), 0.0, "left", (line(2.0, 0.1), Piece(1.0, 0.0, (0.1, 0.1), turn_here=math.pi / 2)))
    assert body.at_s(2.0).heading == pytest.approx(math.pi / 2, **EXACT)
    assert body.at(0, 2.0).heading == 0.0
    end = body.at_s(body.length)
    assert (float(end.r), float(end.z)) == pytest.approx((3.0, 1.0), **EXACT)


@given(
    pieces=st.lists(st.tuples(st.floats(0.01, 5.0), st.floats(-1.5, 1.5)), min_size=1, max_size=8),
    share=st.floats(0.0, 1.0),
)
def test_position_is_continuous_and_its_slope_is_the_heading(pieces, share):
    assume(sum(abs(turn) for _, turn in pieces) < math.pi)  # a walk that turns less cannot meet itself
    walk = tuple(
        arc(length / abs(turn), turn, 1e-4) if abs(turn) > 1e-3 else line(length, 1e-4) for length, turn in pieces
    )
    body = Meridian((100.0, 0.0), 0.0, "left", walk)
    for i in range(len(walk) - 1):
        before, after = body.at(i, walk[i].length), body.at(i + 1, 0.0)
        for name in ("r", "z", "heading"):
            assert getattr(before, name) == pytest.approx(getattr(after, name), rel=1e-12, abs=1e-12)
    piece = walk[0]
    h = 1e-5 * piece.length
    d = h + share * (piece.length - 2 * h)
    ahead, behind, here = body.at(0, d + h), body.at(0, d - h), body.at(0, d)
    slope = np.array([ahead.r - behind.r, ahead.z - behind.z]) / (2 * h)
    # central difference: 1e-13 of round-off in r = 100 over h, and h^2 curvature^2 / 6
    bound = 1e-13 / h + (h * piece.curvature) ** 2
    np.testing.assert_allclose(slope, [np.cos(here.heading), np.sin(here.heading)], atol=bound)


def test_thickness_table_splits_pieces_and_stays_linear():
    body = with_thickness(sphere(10.0, 0.1), [(1.0, 0.1), (3.0, 0.2), (30.0, 0.15)])
    np.testing.assert_allclose(body.breaks, [0.0, 1.0, 3.0, 30.0, 10 * math.pi], rtol=1e-14)
    s = np.linspace(0.0, body.length, 57)
    np.testing.assert_allclose(body.at_s(s).thickness, np.interp(s, [1, 3, 30], [0.1, 0.2, 0.15]), rtol=1e-12)
    np.testing.assert_allclose(body.at_s(s).r, 10 * np.sin(s / 10), atol=1e-12)


def test_splitting_keeps_a_kink_once():
    body = Meridian((1.0, 0.0), 0.0, "left", (line(2.0, 0.1), Piece(2.0, 0.0, (0.1, 0.1), turn_here=0.5)))
    assert [p.turn_here for p in with_thickness(body, [(3.0, 0.1)]).pieces] == [0.0, 0.5, 0.0]


@pytest.mark.parametrize("table", [[], [(2.0, 0.1), (1.0, 0.1)], [(-1.0, 0.1)], [(99.0, 0.1)], [(math.nan, 0.1)]])
def test_thickness_table_off_the_meridian_is_refused(table):
    with pytest.raises(ShapeError, match="thickness_at"):
        with_thickness(sphere(10.0, 0.1), table)


@pytest.mark.parametrize("make", [lambda v: line(v, 0.1), lambda v: line(1.0, v), lambda v: arc(v, 1.0, 0.1)])
@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf])
def test_impossible_pieces_are_refused(make, value):
    with pytest.raises(ShapeError, match="allowed"):
        make(value)


@pytest.mark.parametrize(
    ("start", "heading", "pieces", "words"),
    [
        ((5.0, 0.0), math.pi, (line(5.0 + 1e-6, 0.1),), "ends at a negative radius"),
        ((5.0, 0.0), math.pi, (line(5.0, 0.1), arc(3.0, -1.0, 0.1)), "above 0 between"),
        ((5.0, 0.0), math.pi, (line(5.0, 0.1), Piece(3.0, 0.0, (0.1, 0.1), turn_here=-3.0)), "above 0 between"),
        # the deepest point of this arc, r = 0.05 - 0.055, lies between the samples that look for it
        ((0.05, 0.0), math.pi / 2 + 0.01, (arc(1100.0, -0.02, 0.1),), "above 0 between"),
        ((-1.0, 0.0), 0.0, (line(6.0, 0.1),), "must not be negative"),
        ((math.nan, 0.0), 0.0, (line(6.0, 0.1),), "finite"),
        ((5.0, 0.0), 0.0, (), "at least one"),
        ((5.0, 0.0), 0.0, (line(1.0, 0.1), arc(1.0, 1.0, 2.0, "nose")), "nose.thickness: thicker than twice"),
    ],
)
def test_impossible_walks_are_refused(start, heading, pieces, words):
    with pytest.raises(ShapeError, match=words):
        Meridian(start, heading, "left", pieces)


def test_a_walk_that_crosses_itself_is_refused():
    loop = (line(3.0, 0.1, "tail"), arc(1.0, 1.5 * math.pi, 0.1), line(3.0, 0.1, "head"))
    with pytest.raises(ShapeError, match="tail: it crosses the head"):
        Meridian((5.0, 0.0), 0.0, "left", loop)
    Meridian((5.0, 0.0), 0.0, "left", (loop[0], loop[1], line(0.9, 0.1)))  # stops short of its tail


def test_a_torus_may_end_where_it_starts():
    ring = Meridian((12.0, 0.0), math.pi / 2, "left", (arc(2.0, math.pi, 0.1), arc(2.0, math.pi, 0.1)))
    assert ring.enclosed_volume == pytest.approx(2 * math.pi * 10 * math.pi * 4, rel=1e-12)


def test_just_clear_of_the_axis_is_allowed():
    """The same arc as above that only comes to r = 0.06 - 0.055 > 0."""
    body = Meridian((0.06, 0.0), math.pi / 2 + 0.01, "left", (arc(1100.0, -0.02, 0.1),))
    assert float(body.at_s(11.0).r) == pytest.approx(0.06 - 1100 * (1 - math.cos(0.01)), abs=1e-12)


@pytest.mark.parametrize("s", [-0.1, 40.0, math.nan])
def test_off_the_meridian_is_an_error(s):
    with pytest.raises(ShapeError, match="not on the meridian"):
        sphere(10.0, 0.1).at_s(s)


def test_meridian_is_data():
    body = Meridian((0.0, 0.0), 0.0, "right", (line(5.0, 0.1),), {"edge": 5.0})
    assert pickle.loads(pickle.dumps(body)) == body
    assert hash(body) == hash(Meridian((0.0, 0.0), 0.0, "right", (line(5.0, 0.1),), {"edge": 5.0}))
    with pytest.raises(TypeError):
        body.points["edge"] = 1.0
    with pytest.raises(ValueError, match="read-only"):
        body.breaks[0] = 1.0


@pytest.mark.parametrize("turn", [0.3, -0.3])
def test_a_cone_to_the_axis_is_refused_by_name(turn):
    """Its layers near the tip would have a negative radius on one side, and so a negative volume."""
    with pytest.raises(ShapeError, match="a cone to the axis"):
        Meridian((0.0, 0.0), turn, "left", (line(20.0, 0.3),))
