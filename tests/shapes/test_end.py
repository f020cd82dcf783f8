"""Recessed ends: closure, tangency, coined panels, round trips, and what is said when they cannot close."""

import math
from math import radians

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from buckle.errors import ShapeError
from buckle.shapes import recessed_end

PLAIN = {
    "panel_diameter": 44.0,
    "panel_radius": 0.5,
    "panel_depth": 2.3,
    "countersink_radius": 0.6,
    "chuck_wall_angle": radians(12),
    "chuck_wall_length": 3.8,
    "gauge": 0.22,
}
COIN = {"coin_inner_diameter": 38.0, "coin_outer_diameter": 41.0, "coin_thickness": 0.17}


@st.composite
def end_dimensions(draw):
    def between(low, high):
        return draw(st.floats(low, high))

    chosen = {
        "panel_diameter": between(38, 48),
        "panel_radius": between(0.3, 1.0),
        "panel_wall_angle": radians(between(-5, 50)),
        "panel_depth": between(1.2, 3.5),
        "countersink_radius": between(0.3, 0.8),
        "chuck_wall_angle": radians(between(0, 20)),
        "chuck_wall_length": between(0.5, 4),
        "gauge": between(0.18, 0.25),
    }
    if draw(st.booleans()):
        chosen |= {"chuck_bend_radius": between(0.5, 3), "upper_chuck_wall_length": between(0.5, 3)}
        chosen["upper_chuck_wall_angle"] = radians(between(21, 40))
    if draw(st.booleans()):
        chosen["panel_dome_radius"] = between(80, 1000)
    return chosen


@given(end_dimensions())
def test_random_ends_close(dimensions):
    try:
        end = recessed_end(**dimensions)
    except ShapeError:
        assume(False)
    for i in range(len(end.pieces) - 1):
        before, after = end.at(i, end.pieces[i].length), end.at(i + 1, 0.0)
        assert abs(before.heading - after.heading) < 1e-12
        assert math.hypot(before.r - after.r, before.z - after.z) < 1e-12
    assert end.closed_at_start
    edge, lowest = end.at_s(end.points["panel edge"]), end.at_s(end.points["countersink"])
    assert [edge.r, edge.z] == pytest.approx([dimensions["panel_diameter"] / 2, 0.0], abs=1e-9)
    assert float(lowest.z) == pytest.approx(-dimensions["panel_depth"], abs=1e-9)
    assert float(lowest.heading) == pytest.approx(0.0, abs=1e-12)
    by_countersink = {k: v for k, v in dimensions.items() if k != "panel_diameter"}
    again = recessed_end(**by_countersink, countersink_diameter=2 * float(lowest.r))
    assert float(again.at_s(again.points["panel edge"]).r) == pytest.approx(dimensions["panel_diameter"] / 2, abs=1e-9)


@pytest.mark.parametrize("bend", [{}, {"chuck_bend_radius": 1.2, "upper_chuck_wall_angle": radians(25)}])
def test_countersink_depth_sets_the_top(bend):
    shape = PLAIN | bend | ({"chuck_wall_length": 1.0} if bend else {})
    if not bend:
        del shape["chuck_wall_length"]
    end = recessed_end(**shape, countersink_depth=4.2)
    assert float(end.at_s(end.length).z) == pytest.approx(4.2 - 2.3, abs=1e-12)


def test_coined_ring_thins_a_stretch_and_moves_nothing():
    plain, coined = recessed_end(**PLAIN), recessed_end(**PLAIN, **COIN)
    s = np.linspace(0.0, plain.length, 301)
    np.testing.assert_allclose(coined.at_s(s).z, plain.at_s(s).z, atol=1e-12)
    at = coined.at_s(s)
    ring = (at.r > 19.0) & (at.r < 20.5)
    np.testing.assert_array_equal(at.thickness[ring], 0.17)
    np.testing.assert_array_equal(at.thickness[~ring], 0.22)
    assert ring.any()


def test_coined_ring_on_a_domed_panel_lies_between_its_diameters():
    end = recessed_end(**PLAIN, **COIN, panel_dome_radius=200.0)
    ring = next(i for i, p in enumerate(end.pieces) if p.name == "coined ring")
    assert float(end.at(ring, 0.0).r) == pytest.approx(19.0, abs=1e-12)
    assert float(end.at(ring, end.pieces[ring].length).r) == pytest.approx(20.5, abs=1e-12)
    assert end.start[1] == pytest.approx(200 - math.sqrt(200**2 - 22**2), abs=1e-9)


@pytest.mark.parametrize("height", [0.3, -0.2])
def test_coined_step_raises_the_centre(height):
    end = recessed_end(**PLAIN, **COIN, coin_step_height=height, coin_step_radius=0.6)
    assert end.start == (0.0, height)
    edge = end.at_s(end.points["panel edge"])
    assert [edge.r, edge.z, edge.heading] == pytest.approx([22.0, 0.0, 0.0], abs=1e-12)
    ring = [i for i, p in enumerate(end.pieces) if p.name.startswith("coined")]
    assert float(end.at(ring[-1], end.pieces[ring[-1]].length).r) == pytest.approx(20.5, abs=1e-12)


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"coin_thickness": 0.1}, "coin_inner_diameter"),
        (COIN | {"coin_outer_diameter": 45.0}, "coin_outer_diameter"),
        (COIN | {"coin_outer_diameter": 37.0}, "coin_outer_diameter"),
        (COIN | {"coin_step_height": 0.3}, "coin_step_radius"),
        (COIN | {"coin_step_height": 1.3, "coin_step_radius": 0.6}, "coin_step_height"),
        ({"coin_step_height": 0.3, "coin_step_radius": 0.6}, "coin_step_height"),
        (COIN | {"coin_step_height": 0.3, "coin_step_radius": 0.6, "panel_dome_radius": 90.0}, "coin_step_height"),
        ({"panel_depth": 1.0}, "panel_depth"),
        ({"panel_dome_radius": 10.0}, "panel_dome_radius"),
        ({"countersink_radius": 0.1}, "countersink_radius"),
        ({"countersink_diameter": 47.0}, "countersink_diameter"),
        ({"chuck_bend_radius": 1.0}, "upper_chuck_wall_angle"),
        ({"chuck_bend_radius": 1.0, "upper_chuck_wall_angle": radians(30)}, "upper_chuck_wall_length"),
        ({"countersink_depth": 3.0}, "countersink_depth"),
        ({"chuck_wall_angle": radians(90)}, "chuck_wall_angle"),
        ({"panel_wall_angle": math.nan}, "panel_wall_angle"),
        ({"gauge": -0.2}, "gauge"),
    ],
)
def test_impossible_dimension_is_named(change, key):
    with pytest.raises(ShapeError) as caught:
        recessed_end(**PLAIN | change)
    assert caught.value.fault.key == key


def test_a_chuck_wall_through_the_panel_is_refused():
    with pytest.raises(ShapeError, match="crosses the chuck wall"):
        recessed_end(**PLAIN | {"chuck_wall_angle": radians(-60)})


def test_advice_for_a_shallow_panel_is_the_sum_of_the_bends():
    """A vertical panel wall needs more depth than panel radius and countersink radius together: 1.1 mm."""
    with pytest.raises(ShapeError, match=r"at least 1\.1") as caught:
        recessed_end(**PLAIN | {"panel_depth": 1.0})
    least = float(caught.value.fault.allowed.split()[2])
    assert least == pytest.approx(1.1, abs=2e-5)
    assert least > 1.1
    recessed_end(**PLAIN | {"panel_depth": least})
