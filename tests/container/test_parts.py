"""Parts cut where they end and joined: lengths, metal and points are those of the whole."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from buckle.case import read_case
from buckle.container.parts import FOOT, Part, cut, joined, without_stub
from buckle.errors import ShapeError
from buckle.meridian import RIGHT_ANGLE, Meridian, Piece, arc, line
from buckle.shapes import FAMILIES
from tests.helpers.paths import ROOT

BASE = read_case(ROOT / "cases/demo/base.toml").meridian
END = read_case(ROOT / "cases/demo/end.toml").meridian
BOX = Meridian((0.0, 0.0), 0.0, "left", (line(30.0, 0.2), replace(line(50.0, 0.1), turn_here=RIGHT_ANGLE)))


@pytest.mark.parametrize("meridian", [BASE, END, BOX], ids=["base", "end", "kinked"])
@pytest.mark.parametrize("share", [0.1, 0.37, 0.5, 0.93])
def test_two_halves_make_the_whole(meridian, share):
    """Length, metal and swept volume of both halves add up, and they meet in radius, height and thickness."""
    middle = share * meridian.length
    inner, outer = cut(meridian, 0.0, middle), cut(meridian, middle, meridian.length)
    for quantity in ("length", "metal_volume", "swept_volume"):
        halves = getattr(inner, quantity) + getattr(outer, quantity)
        assert halves == pytest.approx(getattr(meridian, quantity), rel=1e-9)
    ends, starts = inner.at_s(inner.length), outer.at_s(0.0)
    for name in ("r", "z", "heading", "thickness"):
        assert getattr(ends, name) == pytest.approx(getattr(starts, name), abs=1e-9)


def test_a_cut_at_a_kink_leaves_it_to_the_piece_that_starts_there():
    wall = cut(BOX, 30.0, 80.0)
    assert float(wall.at_s(0.0).heading) == pytest.approx(RIGHT_ANGLE)
    assert (float(wall.at_s(50.0).r), float(wall.at_s(50.0).z)) == pytest.approx((30.0, 50.0))
    part = cut(BOX, 10.0, 40.0)
    assert (float(part.at_s(30.0).r), float(part.at_s(30.0).z)) == pytest.approx((30.0, 10.0))


def test_thickness_that_varies_is_cut_where_it_is():
    ramp = Meridian((20.0, 0.0), RIGHT_ANGLE, "left", (Piece(10.0, 0.0, (0.3, 0.1)),))
    assert cut(ramp, 2.5, 5.0).pieces[0].thickness == pytest.approx((0.25, 0.2))


@pytest.mark.parametrize(("start", "end"), [(5.0, 5.0), (-1.0, 5.0), (5.0, 81.0), (6.0, 5.0)])
def test_no_stretch_is_refused(start, end):
    with pytest.raises(ShapeError, match="is no stretch"):
        cut(BOX, start, end)


# Without the stub -----------------------------------------------------------------------------------------------------


def test_mass_of_a_base_does_not_know_how_much_of_the_wall_was_looked_at():
    """The whole mass grows with the wall: 30 mm of 0.1 mm on radius 29 are 1.49 g of 2720 kg/m3 aluminium."""
    family = FAMILIES["domed_base"]
    case = read_case(ROOT / "cases/demo/base.toml")
    given = {name: value for name, value in case.dimensions.items() if value is not None}
    low, high = (family.make(**{**given, "wall_height": height}) for height in (30.0, 60.0))
    assert high.mass(2720.0) - low.mass(2720.0) == pytest.approx(2.0 * math.pi * 29.0 * 30.0 * 0.1 * 2720e-6, rel=1e-9)
    own = [without_stub(meridian, family) for meridian in (low, high)]
    assert own[0].mass(2720.0) == own[1].mass(2720.0)
    assert own[0].mass(2720.0) < low.mass(2720.0) - 1.4
    assert own[0].length == low.points["heel top"]


def test_an_end_is_its_own_up_to_the_seam():
    assert without_stub(END, FAMILIES["recessed_end"]) is END


# Joined ---------------------------------------------------------------------------------------------------------------

FOOT_OF_BASE = without_stub(BASE, FAMILIES["domed_base"])
STRETCHES = {
    "wall": (Piece(5.0, 0.0, (0.245, 0.1)), line(80.0, 0.1)),
    "neck": (arc(5.0, math.radians(30.0), 0.15), line(4.0, 0.15), arc(5.0, -math.radians(30.0), 0.15)),
}


def test_parts_of_a_joined_body_are_what_it_was_joined_from():
    body = joined(FOOT_OF_BASE, STRETCHES)
    ends = [0.0, body.points[FOOT], body.points["wall"], body.points["neck"]]
    parts = [Part("", cut(body, *both), 2720.0) for both in pairwise(ends)]
    assert sum(part.mass for part in parts) == pytest.approx(body.mass(2720.0), rel=1e-12)
    assert parts[0].mass == pytest.approx(Part("base", FOOT_OF_BASE, 2720.0).mass, rel=1e-12)
    wall = 2.0 * math.pi * 29.0 * (5.0 * 0.1725 + 80.0 * 0.1) * 2720e-6  # mean thickness of the ramp; by hand
    assert parts[1].mass == pytest.approx(wall, rel=1e-9)
    assert body.points[FOOT] == FOOT_OF_BASE.length
    assert body.points["neck"] == pytest.approx(body.length)
    edge = float(body.at_s(body.length).r)
    assert edge == pytest.approx(29.0 - 2.0 * 5.0 * (1.0 - math.cos(math.radians(30.0))) - 4.0 * 0.5)


def test_a_base_that_does_not_end_upright_is_refused():
    with pytest.raises(ShapeError, match="does not end in an upright wall"):
        joined(cut(BASE, 0.0, 20.0), STRETCHES)


def test_samples_of_a_joined_body_follow_one_another():
    body = joined(FOOT_OF_BASE, STRETCHES)
    at = body.at_s(np.linspace(0.0, body.length, 4001))
    steps = np.hypot(np.diff(at.r), np.diff(at.z))
    assert np.max(steps) <= body.length / 4000.0 * (1.0 + 1e-9)
