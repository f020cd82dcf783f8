"""Metal bought, cut and given back; how many stand on one: worked by hand."""

import math

import pytest

from buckle.container.metal import Sheet, metal_of
from buckle.container.stack import ADULT, Between, State, filled_mass, governing, stacked, weight
from buckle.errors import CaseError

SHEET = Sheet(gauge=0.25, density=2720.0, price=3.0, scrap_price=1.2)


def test_metal_of_a_part():
    """A disc of 140 by 0.25 has 10.4678 g; at 85 % of the strip 12.3151 g are bought for a part of 9.5 g.

    A thousand: 36.9452 paid at 3 a kg, 2.8151 kg back at 1.2: 3.3781; net 33.5671.
    """
    found = metal_of(SHEET, 140.0, 0.85, 9.5)
    assert found.disc == pytest.approx(10.4678, abs=1e-4)
    assert found.bought == pytest.approx(12.3151, abs=1e-4)
    assert found.skeleton == pytest.approx(1.8473, abs=1e-4)
    assert found.trimmed == pytest.approx(0.9678, abs=1e-4)
    assert found.paid == pytest.approx(36.9452, abs=1e-3)
    assert found.returned == pytest.approx(3.3781, abs=1e-3)
    assert found.net == pytest.approx(33.5671, abs=1e-3)


def test_nothing_is_lost():
    found = metal_of(SHEET, 140.0, 0.85, 9.5)
    assert found.part + found.trimmed + found.skeleton == pytest.approx(found.bought, rel=1e-12)
    whole = metal_of(SHEET, 140.0, 1.0, SHEET.disc_mass(140.0))
    assert (whole.returned, whole.net) == (pytest.approx(0.0, abs=1e-12), pytest.approx(3.0 * whole.part))


@pytest.mark.parametrize(
    ("share", "mass", "words"),
    [(0.0, 9.5, "strip_share"), (1.1, 9.5, "strip_share"), (math.nan, 9.5, "strip_share"), (0.85, 10.5, "less than")],
)
def test_what_cannot_be_is_refused(share, mass, words):
    with pytest.raises(CaseError, match=words):
        metal_of(SHEET, 140.0, share, mass)


# Stacks ---------------------------------------------------------------------------------------------------------------


def test_masses_and_weights():
    """330 ml of 1030 kg/m3 are 339.9 g; 80 kg weigh 784.532 N."""
    assert filled_mass(12.0, 330e3, 1030.0) == pytest.approx(351.9, rel=1e-12)
    assert weight(1000.0 * ADULT) == pytest.approx(784.532, rel=1e-12)


def test_a_stack_by_hand():
    """350 g weigh 3.43233 N, a sheet of 5 g for each 0.04903 N; 600 N at 1.5 less 50 N on top: 350 / 3.48136 = 100.5.

    101 layers; the lowest carries 1.5 (100 * 3.48136 + 50) = 597.20 N; 144 + 101 * 115.5 = 11 809.5 mm high.
    """
    between = Between(sheet_mass=5.0, sheet_thickness=0.5, pallet_height=144.0, load_above=50.0)
    found = stacked(State("filled", 350.0, 600.0), 115.0, 1.5, between)
    assert found.layers == 101
    assert found.lowest_force == pytest.approx(597.20, abs=0.01)
    assert found.height == pytest.approx(11_809.5, rel=1e-12)


def test_the_lowest_stack_governs():
    empty, full = State("empty", 12.0, 60.0), State("filled", 350.0, 600.0)
    found = [stacked(each, 115.0, 1.5) for each in (empty, full)]
    assert [each.layers for each in found] == [340, 117]  # 1 + 40 / 0.117680, 1 + 400 / 3.432328
    assert governing(found).state is full


def test_a_state_that_does_not_carry_the_load_above_governs():
    weak = stacked(State("empty, dented", 12.0, 40.0), 115.0, 1.5, Between(load_above=50.0))
    assert weak.layers is None
    assert weak.lowest_force == 75.0
    assert governing([weak, stacked(State("filled", 350.0, 600.0), 115.0, 1.5)]) is weak


def test_a_factor_below_one_is_refused():
    with pytest.raises(CaseError, match="dynamic_factor"):
        stacked(State("filled", 350.0, 600.0), 115.0, 0.9)
