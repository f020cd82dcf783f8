"""Stacks, packing and blanks: counted and worked by hand."""

import math

import pytest

from buckle.formulas import blank, packing, stack

# Stacks ---------------------------------------------------------------------------------------------------------------


def test_force_on_the_lowest():
    """1.5 * (7 * (3.6 + 0.05) + 40) = 98.325 N for eight layers; the lowest container does not carry itself."""
    loads = {"weight": 3.6, "dynamic_factor": 1.5, "sheet_weight": 0.05, "weight_above": 40.0}
    assert stack.lowest_force(layers=8.0, **loads).value == pytest.approx(98.325, rel=1e-12)
    assert stack.lowest_force(layers=1.0, weight=3.6, dynamic_factor=2.0).value == 0.0


def test_layers_are_the_most_that_the_lowest_carries():
    """600 / 1.5 = 400 N less 40 is 360 N, 98.63 containers and sheets: 99 layers, the lowest among them."""
    loads = {"weight": 3.6, "dynamic_factor": 1.5, "sheet_weight": 0.05, "weight_above": 40.0}
    found = stack.layers(axial_force=600.0, **loads)
    assert found.number("n_x") == pytest.approx(99.630137, rel=1e-7)
    assert found.value == 99.0
    assert stack.lowest_force(layers=99.0, **loads).value <= 600.0 < stack.lowest_force(layers=100.0, **loads).value


def test_a_whole_number_is_not_lost_to_round_off():
    """Three weights of 0.1 N on a container that carries 0.3 N: 0.3 / 0.1 is 2.9999999999999996 in binary."""
    assert stack.layers(axial_force=0.3, weight=0.1, dynamic_factor=1.0).value == 4.0


def test_a_container_that_cannot_carry_the_load_above_has_no_layers():
    found = stack.layers(axial_force=30.0, weight=3.6, dynamic_factor=1.5, weight_above=40.0)
    assert found.value is None
    assert "n_x" in found.reason


def test_height():
    """144 + 8 * (115 + 0.6) = 1068.8 mm."""
    found = stack.height(layers=8.0, container_height=115.0, sheet_thickness=0.6, pallet_height=144.0)
    assert found.value == pytest.approx(1068.8, rel=1e-12)


# Packing --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "share"),
    [
        (packing.square_share, 0.7854),
        (packing.hexagonal_share, 0.9069),
        (packing.sphere_share, 0.7405),
        (packing.cube_share, 1.0),
    ],
)
def test_densest_shares(rule, share):
    """The trade says 74, 91 and 100 % (common practice, no source); four digits from memory of the textbooks."""
    assert rule(diameter=66.0).value == pytest.approx(share, abs=5e-5)


@pytest.mark.parametrize(
    ("rule", "power"),
    [(packing.square_share, 2), (packing.hexagonal_share, 2), (packing.sphere_share, 3), (packing.cube_share, 3)],
)
def test_a_gap_widens_every_step(rule, power):
    found = rule(diameter=66.0, gap=0.66).value
    assert found == pytest.approx(rule(diameter=66.0).value / 1.01**power, rel=1e-12)


def test_a_large_pallet_is_filled_like_an_endless_one():
    """Edges cost of the order D/A: 0.5 % on a thousand rows."""
    pallet = {"pallet_length": 1000.0, "pallet_width": 1000.0, "diameter": 1.0}
    assert packing.square_per_layer(**pallet).number("c") == pytest.approx(0.785398, rel=1e-6)
    assert packing.hexagonal_per_layer(**pallet).number("c") == pytest.approx(0.906900, rel=5e-3)


def test_containers_on_a_pallet_counted_by_hand():
    """1200 by 1000, step 66.5. Square: 18 by 15 = 270.

    Staggered along 1200: rows of 18 and 17 (1200 / 66.5 = 18.05, less a half 17.5), 1 + (1000 - 66.5) / 57.591 = 17.2
    rows: 9 * 18 + 8 * 17 = 298. Along 1000: rows of 15 and 14 (15.04, 14.5), 1 + 1133.5 / 57.591 = 20.7 rows: 290.
    """
    pallet = {"pallet_length": 1200.0, "pallet_width": 1000.0, "diameter": 66.5}
    assert packing.square_per_layer(**pallet).value == 270.0
    assert packing.hexagonal_per_layer(**pallet).value == 298.0
    turned = {**pallet, "pallet_length": 1000.0, "pallet_width": 1200.0}
    assert packing.hexagonal_per_layer(**turned).value == 298.0


def test_three_rows_where_a_fourth_does_not_fit():
    """Circles of 1 on 3 by 2.8: rows of 3 and 2 at heights 0.5, 1.366, 2.232, which end at 2.732: 3 + 2 + 3 = 8.

    On a width of 2.7 the third row is lost, 3 + 2; the other way three rows of 2 fit. Nothing fits on 0.9.
    """
    pallet = {"pallet_length": 3.0, "pallet_width": 2.8, "diameter": 1.0}
    assert packing.hexagonal_per_layer(**pallet).value == 8.0
    assert packing.hexagonal_per_layer(**{**pallet, "pallet_width": 2.7}).value == 6.0
    assert packing.hexagonal_per_layer(pallet_length=3.0, pallet_width=0.9, diameter=1.0).value == 0.0


# Blanks ---------------------------------------------------------------------------------------------------------------


def test_disc_of_a_cup_with_a_trimmed_rim():
    """A disc of 140 by 0.27 is 4156.3 mm3; a rim of 5 mm trimmed and 2 mm of ears from 2 pi 33 * 0.15 takes 186.61.

    So the part that is left has 4156.33 - 186.61 = 3969.72 mm3, and the disc comes back.
    """
    volume = 0.25 * math.pi * 140.0**2 * 0.27 - 2.0 * math.pi * 33.0 * 0.15 * 6.0
    assert volume == pytest.approx(3969.72, abs=0.01)
    found = blank.diameter(metal_volume=3969.72, gauge=0.27, rim_radius=33.0, rim_thickness=0.15, trim=5.0, earing=2.0)
    assert found.value == pytest.approx(140.0, abs=1e-3)
    bare = blank.diameter(metal_volume=3969.72, gauge=0.27, rim_radius=33.0, rim_thickness=0.15)
    assert bare.value == pytest.approx(140.0 * math.sqrt(3969.72 / 4156.33), rel=1e-5)


def test_strip():
    """One row of 100 in a strip of 100: 78.54 %; ten rows with webs 1 and 2: S = 100 + 9 * 87.469 + 4 = 891.22,
    10 * 7853.98 / (101 * 891.22) = 87.25 %; very many rows without webs: 90.69 %."""
    assert blank.strip_share(blank_diameter=100.0, rows=1.0).value == pytest.approx(0.785398, rel=1e-6)
    found = blank.strip_share(blank_diameter=100.0, rows=10.0, web=1.0, edge_web=2.0)
    assert found.number("S") == pytest.approx(891.22, abs=0.01)
    assert found.value == pytest.approx(0.87254, abs=2e-5)
    many = blank.strip_share(blank_diameter=100.0, rows=1e5)
    assert many.value == pytest.approx(packing.hexagonal_share(diameter=100.0).value, rel=1e-5)
