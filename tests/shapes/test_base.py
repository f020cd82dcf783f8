"""Domed bases of every kind: closure, tangency, round trips, and what is said when they cannot close."""

import math
import re
from math import radians

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from buckle.errors import ShapeError
from buckle.shapes import domed_base

PLAIN = {
    "stand_radius": 24.0,
    "nose_radius": 1.6,
    "inner_leg_angle": radians(5),
    "dome_corner_radius": 2.2,
    "dome_radius": 46.0,
    "dome_depth": 10.5,
    "outer_leg_angle": radians(30),
    "heel_radius": 5.0,
    "wall_radius": 33.0,
    "wall_height": 25.0,
    "gauge": 0.26,
}
REFORMED = PLAIN | {
    "inner_leg_angle": radians(-25),
    "undercut_length": 0.3,
    "reform_radius": 1.0,
    "upper_leg_angle": radians(8),
}


def closed(base):
    """Assert what every base must satisfy, to round-off."""
    for i in range(len(base.pieces) - 1):
        before, after = base.at(i, base.pieces[i].length), base.at(i + 1, 0.0)
        assert abs(before.heading - after.heading) < 1e-12
        assert math.hypot(before.r - after.r, before.z - after.z) < 1e-12
    assert base.closed_at_start
    stand, top = base.at_s(base.points["stand"]), base.at_s(base.length)
    assert abs(stand.z) < 1e-9
    assert abs(stand.heading) < 1e-12
    assert abs(top.heading - math.pi / 2) < 1e-12
    return stand, top


@st.composite
def base_dimensions(draw):
    def between(low, high):
        return draw(st.floats(low, high))

    chosen = {
        "stand_radius": between(20, 24),
        "nose_inner_radius": between(0.8, 2.2),
        "nose_outer_radius": between(0.8, 2.2),
        "inner_leg_angle": radians(between(-30, 12)),
        "dome_corner_radius": between(0.8, 3),
        "dome_radius": between(42, 60),
        "dome_depth": between(9.5, 12),
        "outer_leg_angle": radians(between(15, 40)),
        "heel_radius": between(3, 5),
        "wall_radius": between(31, 34),
        "wall_height": between(10, 40),
        "gauge": between(0.2, 0.33),
        "wall_gauge": between(0.09, 0.15),
    }
    if draw(st.booleans()):
        chosen |= {"undercut_length": between(0.1, 0.6), "reform_radius": between(0.6, 1.5)}
        chosen["upper_leg_angle"] = chosen["inner_leg_angle"] + radians(between(5, 30))
    if draw(st.booleans()):
        chosen |= {"outer_leg_length": between(0.5, 2), "chime_radius": between(1, 3)}
        chosen["chime_angle"] = chosen["outer_leg_angle"] + radians(between(5, 30))
    if draw(st.booleans()):
        chosen |= {"dome_outer_radius": between(25, 45), "dome_centre_diameter": between(5, 20)}
    elif draw(st.booleans()):
        chosen["flat_centre_diameter"] = between(5, 30)
    return chosen


# Few examples: each one that cannot close also works out its advice.
@settings(max_examples=60)
@given(base_dimensions())
def test_random_bases_close(dimensions):
    try:
        base = domed_base(**dimensions)
    except ShapeError:
        assume(False)
    stand, top = closed(base)
    assert abs(stand.r - dimensions["stand_radius"]) < 1e-9
    assert abs(top.r - dimensions["wall_radius"]) < 1e-9
    assert base.start[1] == dimensions["dome_depth"]
    heel = base.at_s(base.points["heel top"])
    assert abs(top.z - heel.z - dimensions["wall_height"]) < 1e-9
    wanted = {1 / dimensions[key] for key in ("dome_corner_radius", "nose_inner_radius", "heel_radius")}
    assert all(min(abs(abs(p.curvature) - k) for p in base.pieces) < 1e-12 for k in wanted)
    assert base.at_s(base.length).thickness == pytest.approx(dimensions["wall_gauge"])


def test_two_radii_dome_changes_curvature_where_asked():
    base = domed_base(**PLAIN | {"dome_radius": 55.0, "dome_outer_radius": 25.0, "dome_centre_diameter": 30.0})
    closed(base)
    change = base.at(1, 0.0)
    assert [p.name for p in base.pieces[:3]] == ["dome centre", "dome", "dome corner"]
    assert float(change.r) == pytest.approx(15.0, abs=1e-12)
    assert 1 / abs(base.pieces[0].curvature) == pytest.approx(55.0)
    assert 1 / abs(base.pieces[1].curvature) == pytest.approx(25.0)


def test_equal_radii_are_one_dome():
    two = domed_base(**PLAIN | {"dome_outer_radius": 46.0, "dome_centre_diameter": 20.0})
    one = domed_base(**PLAIN)
    assert two.length == pytest.approx(one.length, abs=1e-12)
    assert two.surface_area == pytest.approx(one.surface_area, rel=1e-12)


def test_flat_centre_disc():
    base = domed_base(**PLAIN | {"flat_centre_diameter": 35.6, "dome_radius": 20.0, "dome_depth": 9.0})
    closed(base)
    assert base.pieces[0].curvature == 0.0
    assert base.pieces[0].length == pytest.approx(17.8)
    assert float(base.at(1, 0.0).z) == pytest.approx(9.0)


def test_wall_thins_over_the_stated_blend():
    base = domed_base(**PLAIN, wall_gauge=0.1, blend_start=2.0, blend_length=6.0)
    heel = base.points["heel top"]
    thickness = base.at_s(heel + np.array([-1.0, 1.0, 2.0, 5.0, 8.0, 20.0])).thickness
    np.testing.assert_allclose(thickness, [0.26, 0.26, 0.26, 0.18, 0.1, 0.1], rtol=1e-12)


def test_blend_may_end_at_the_top():
    assert domed_base(**PLAIN | {"wall_height": 4.0}, wall_gauge=0.1).pieces[-1].name == "wall blend"


@pytest.mark.parametrize("given_twice", ["stand_diameter", "nose_radius_inside", "dome_radius_inside"])
def test_one_of_each_alternative(given_twice):
    with pytest.raises(ShapeError, match="give exactly one of"):
        domed_base(**PLAIN, **{given_twice: 30.0})


@pytest.mark.parametrize("left_out", ["stand_radius", "nose_radius", "dome_radius", "wall_radius"])
def test_none_of_the_alternatives(left_out):
    with pytest.raises(ShapeError, match="give exactly one of"):
        domed_base(**{key: value for key, value in PLAIN.items() if key != left_out})


@pytest.mark.parametrize("left_out", ["undercut_length", "reform_radius", "upper_leg_angle"])
def test_half_a_reform_is_refused(left_out):
    with pytest.raises(ShapeError, match=f"{left_out}: give all of"):
        domed_base(**{key: value for key, value in REFORMED.items() if key != left_out})


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"inner_leg_angle": radians(95)}, "inner_leg_angle"),
        ({"outer_leg_angle": radians(0)}, "outer_leg_angle"),
        ({"outer_leg_length": 1.0, "chime_radius": 3.0, "chime_angle": radians(20)}, "chime_angle"),
        ({"wall_height": 3.0, "wall_gauge": 0.1}, "wall_height"),
        (
            {"dome_outer_radius": 20.0, "dome_centre_diameter": 20.0, "flat_centre_diameter": 9.0},
            "flat_centre_diameter",
        ),
        ({"dome_depth": math.nan}, "dome_depth"),
        ({"dome_depth": -10.0}, "dome_depth"),
        ({"gauge": math.inf}, "gauge"),
        ({"outer_leg_angle": math.nan}, "outer_leg_angle"),
    ],
)
def test_impossible_dimension_is_named(change, key):
    with pytest.raises(ShapeError) as caught:
        domed_base(**PLAIN | change)
    assert caught.value.fault.key == key


def bounds(allowed):
    """Return the ends of an interval as told, infinite where no bound is told, in mm or rad."""
    numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*(?:e-?\d+)?", allowed)]
    factor = math.pi / 180 if allowed.endswith("deg") else 1.0
    low, high = {"[": lambda: numbers, "at l": lambda: (numbers[0], math.inf), "at m": lambda: (-math.inf, numbers[0])}[
        allowed[:1] if allowed.startswith("[") else allowed[:4]
    ]()
    return low * factor, high * factor


@pytest.mark.parametrize(
    ("start", "change", "key"),
    [
        (PLAIN, {"dome_depth": 4.0}, "dome_depth"),
        (PLAIN, {"wall_radius": 26.0}, "wall_radius"),
        (PLAIN, {"nose_radius": 0.1}, "nose_radius"),
        (PLAIN, {"stand_radius": 31.5}, "stand_radius"),
        (PLAIN, {"dome_radius": 22.0}, "stand_radius"),  # a smaller change than the dome's needs
        (REFORMED, {"dome_depth": 5.0}, "dome_depth"),
        (REFORMED, {"reform_radius": 14.0}, "inner_leg_angle"),
        (PLAIN, {"dome_outer_radius": 5.0, "dome_centre_diameter": 30.0}, "stand_radius"),
    ],
)
def test_advice_closes_inside_and_not_outside(start, change, key):
    dimensions = start | change
    with pytest.raises(ShapeError, match="does not close") as caught:
        domed_base(**dimensions)
    fault = caught.value.fault
    low, high = bounds(fault.allowed)
    assert fault.key == key
    assert not low <= dimensions[fault.key] <= high
    # 2e-5 of the value: the interval is told to six digits, rounded inward
    if math.isfinite(low):
        closed(domed_base(**dimensions | {fault.key: low}))
        with pytest.raises(ShapeError):
            domed_base(**dimensions | {fault.key: low - 2e-5 * abs(low)})
    if math.isfinite(high):
        closed(domed_base(**dimensions | {fault.key: high}))
        with pytest.raises(ShapeError):
            domed_base(**dimensions | {fault.key: high + 2e-5 * abs(high)})
