"""Volumes against solids that everyone knows, and levels there and back."""

import math
from dataclasses import replace

import numpy as np
import pytest

from buckle.case import read_case
from buckle.container.parts import joined, without_stub
from buckle.container.volume import brim_volume, closed_volume, headspace, level_of, volume_below
from buckle.errors import ShapeError
from buckle.meridian import RIGHT_ANGLE, Meridian, arc, line
from buckle.shapes import FAMILIES
from tests.helpers.paths import ROOT

THIN = 1e-6
"""mm: a wall whose metal takes a millionth of what it holds."""


def upright(length, thickness):
    return replace(line(length, thickness), turn_here=RIGHT_ANGLE)


BOWL = Meridian((0.0, 0.0), 0.0, "left", (arc(40.0, RIGHT_ANGLE, THIN), line(60.0, THIN)))
BASE = without_stub(read_case(ROOT / "cases/demo/falls_short.toml").meridian, FAMILIES["domed_base"])
BODY = joined(BASE, {"wall": (line(100.0, 0.1),)})


@pytest.mark.parametrize("depth", [0.5, 10.0, 39.0, 40.0, 55.0, 100.0])
def test_bowl(depth):
    """pi h^2 (3 R - h) / 3 of the cap, and pi R^2 (h - R) more above it."""
    cap = min(depth, 40.0)
    known = math.pi * cap**2 * (120.0 - cap) / 3.0 + math.pi * 1600.0 * (depth - cap)
    assert volume_below(BOWL, depth) == pytest.approx(known, rel=2e-5)  # metal: 3 t / (2 h) of a cap at 0.5 mm
    assert level_of(BOWL, volume_below(BOWL, depth)) == pytest.approx(depth, rel=1e-7)


def test_metal_takes_half_its_thickness_of_the_inside():
    """A tin of R 30, height 50 to mid-surfaces and 0.2 mm: pi 29.9^2 (50 - 0.1) within; the corner is t^2 R."""
    tin = Meridian((0.0, 0.0), 0.0, "left", (line(30.0, 0.2), upright(50.0, 0.2)))
    inside = math.pi * 29.9**2 * 49.9
    assert brim_volume(tin) == pytest.approx(inside, abs=2.0 * math.pi * 30.0 * 0.2**2 + math.pi * 0.1**2 * 50.0)


def test_volume_over_a_dome_by_shells():
    """Falls_short's leg is not undercut, so that rings 2 pi r (level - z(r)) dr make the volume; half the metal less.

    20 001 radii leave 1e-6 of it.
    """
    level = 60.0
    at = BODY.at_s(np.linspace(0.0, BODY.points["wall"] - 1e-9, 400_001))
    wall = int(np.argmax(at.r >= 29.0 - 1e-9))
    rings = np.linspace(0.0, 29.0, 20_001)
    depth = level - np.interp(rings, at.r[: wall + 1], at.z[: wall + 1])
    swept = np.trapezoid(2.0 * np.pi * rings * depth, rings)
    metal = 0.5 * (BASE.metal_volume + 2.0 * math.pi * 29.0 * 0.1 * (level - float(at.z[wall])))
    assert volume_below(BODY, level) == pytest.approx(swept - metal, rel=1e-5)


def test_a_level_below_the_dome_is_refused():
    apex = 9.2
    assert volume_below(BODY, apex) > 0.0
    for level in (apex - 0.01, 200.0):
        with pytest.raises(ShapeError, match="does not lie between base and brim"):
            volume_below(BODY, level)
    with pytest.raises(ShapeError, match=r"has no level in the body.* ml"):
        level_of(BODY, 1.0)


def test_a_walk_that_does_not_rise_holds_nothing():
    with pytest.raises(ShapeError, match="its brim is not above its base"):
        volume_below(Meridian((0.0, 0.0), 0.0, "left", (line(30.0, 0.2),)), 1.0)


# Closed ---------------------------------------------------------------------------------------------------------------

LID = Meridian((0.0, 0.0), 0.0, "right", (line(30.0, THIN), upright(6.0, THIN)))
TIN = Meridian((0.0, 0.0), 0.0, "left", (line(30.0, THIN), upright(50.0, THIN)))


def test_a_lid_takes_what_it_dips_in():
    """A flat lid 6 mm deep on R 30: pi 900 * 44 are left; 2 mm lower, 42."""
    assert closed_volume(TIN, LID) == pytest.approx(math.pi * 900.0 * 44.0, rel=1e-6)
    assert closed_volume(TIN, LID, drop=2.0) == pytest.approx(math.pi * 900.0 * 42.0, rel=1e-6)


def test_headspace_is_volume_under_the_end_and_height_below_the_brim():
    liquid = math.pi * 900.0 * 40.0
    found = headspace(TIN, LID, liquid)
    assert found.volume == pytest.approx(math.pi * 900.0 * 4.0, rel=1e-5)
    assert found.below_brim == pytest.approx(10.0, rel=1e-5)
    with pytest.raises(ShapeError, match=r"more than the closed container holds.* ml"):
        headspace(TIN, LID, math.pi * 900.0 * 45.0)


def test_an_end_of_another_size_is_refused():
    wide = Meridian((0.0, 0.0), 0.0, "right", (line(40.0, THIN), upright(6.0, THIN)))
    with pytest.raises(ShapeError, match="does not meet the brim"):
        closed_volume(TIN, wide)
