"""docs/container-facts.md tells what scripts/pages finds, and what it finds is what the trade says, or why not.

The trade's numbers are common practice, without a source: "about" is taken as a quarter here, unless another reason is
named. What the page says of a disagreement is held too, or it could go on being said when it is no longer so.
"""

import math
import re

import pytest

from buckle.formulas.cylinder import axial
from scripts.tables import container_end, container_tea, container_wall
from scripts.tables.container_page import document, gauge, held, volumes_for
from tests.helpers.paths import ROOT

NUMBER = re.compile(r"\d+(?:\.\d+)?")
ABOUT = 0.25


@pytest.mark.slow
def test_the_page_is_fresh() -> None:
    """The same words, and the same numbers but for one unit of the last digit: a half may be rounded either way."""
    kept, found = (
        " ".join(text.split())
        for text in ((ROOT / "docs" / "container-facts.md").read_text(encoding="utf-8"), document())
    )
    assert NUMBER.sub("#", kept) == NUMBER.sub("#", found)
    for old, new in zip(NUMBER.findall(kept), NUMBER.findall(found), strict=True):
        unit = 10.0 ** -len(old.partition(".")[2])
        assert float(new) == pytest.approx(float(old), abs=1.01 * unit)


# Pressures ------------------------------------------------------------------------------------------------------------


def test_two_four_and_six_bar_are_one_drink_filled_at_room_temperature() -> None:
    """4 bar at 38 degC makes about 2 bar at 20 degC and about 6.2 bar at 60 degC, but half of 2 bar at 4 degC."""
    volumes = volumes_for(0.4, 38.0)
    assert 2.5 < volumes < 2.8  # between a beer and a weak soft drink
    assert gauge(volumes, 20.0) == pytest.approx(0.2, rel=ABOUT)
    assert gauge(volumes, 60.0) == pytest.approx(0.62, rel=ABOUT)
    assert gauge(volumes, 4.0) == pytest.approx(0.1, rel=ABOUT)
    assert 10.0 < held(volumes, 0.2) < 25.0  # room, from a cool one


def test_the_design_pressure_is_no_bound() -> None:
    """A cola of 3.8 volumes is beyond 6.2 bar in a pasteuriser at 60 degC: by half."""
    assert gauge(3.8, 60.0) / 0.62 == pytest.approx(1.6, abs=0.1)
    assert 35.0 < held(3.8, 0.62) < 45.0


# Wall -----------------------------------------------------------------------------------------------------------------


def test_axial_force_and_not_pressure_asks_for_the_trades_wall() -> None:
    """0.075 to 0.1 mm; 800 to 1000 N on an empty container (both common practice, no source)."""
    assert container_wall.thickness_for_yield(0.62) < 0.075
    assert 0.075 < container_wall.thickness_for_force(800.0) < container_wall.thickness_for_force(1000.0) < 0.1


def test_measured_containers_lie_between_lower_bound_and_classical_force() -> None:
    """Three empty ones, wall 0.003 in: 135 to 190 lbf = 600 to 845 N (an engineering firm's report, read)."""
    thin = container_wall.stood(0.076)
    assert thin.bound < 600.0 < 845.0 < thin.classical


WALLS = pytest.mark.parametrize("thickness", [0.09, 0.1, 0.105])


@WALLS
def test_a_pressurised_wall_carries_an_adult(thickness: float) -> None:
    """80 kg (common practice, no source) at rest on 65 mm.

    At 4 bar the wall is in tension, whatever its dents. At 2 bar 121 N are left to it, 5.4 % of the classical force of
    the thinnest; ripples of one wall leave 24 %. Neither makes the wall yield.
    """
    wall = {"radius": 32.5, "thickness": thickness}
    stress = axial.wall_axial_stress(pressure=0.4, axial_force=784.532, **wall).value
    assert stress is not None
    assert stress > 0.0
    assert container_wall.relieving() == pytest.approx(784.532 / (math.pi * 32.5**2), rel=1e-9)
    found = container_wall.stood(thickness)
    left = 784.532 - 0.2 * math.pi * 32.5**2
    assert left == pytest.approx(120.9, abs=0.1)
    assert left < 0.06 * found.classical
    assert found.rippled > 4.0 * left
    for pressure in (0.2, 0.4):
        worked = axial.wall_equivalent_stress(pressure=pressure, axial_force=784.532, **wall).value
        assert worked is not None
        assert worked < 0.6 * 280.0  # the low end of an ironed wall's yield, from memory


@WALLS
def test_an_empty_dented_wall_does_not(thickness: float) -> None:
    """Ripples of less than a wall, less than 0.1 mm, are enough; those of one wall leave too little."""
    found = container_wall.stood(thickness)
    assert found.ripples < 1.0
    assert found.ripples * thickness < 0.1
    assert found.rippled < 784.532


def test_an_empty_undented_wall_is_open() -> None:
    """The honest range: the lower bound falls short of an adult at 0.076 mm and exceeds it at 0.09 mm and above."""
    bounds = [container_wall.stood(thickness).bound / 784.532 for thickness in (0.076, 0.09, 0.1, 0.105)]
    assert bounds[0] < 0.7
    assert 1.0 < bounds[1] < 1.05
    assert bounds[-1] == pytest.approx(1.5, abs=0.02)


# Ends, packing, container ---------------------------------------------------------------------------------------------


def test_a_smaller_end_of_equal_strength_saves_what_the_trade_says() -> None:
    """0.9 g of 60 against 54 mm: between the end's mass and that with its share of the strip; half at one gauge."""
    found = container_end.ends()
    saved = found.same_pressure.mass - found.small.mass
    bought = found.same_pressure.bought - found.small.bought
    assert saved < 0.9 < bought
    assert saved == pytest.approx(0.9, rel=0.1)
    assert found.same_gauge.mass - found.small.mass == pytest.approx(0.45, rel=0.1)
    assert 100e9 * saved * 1e-6 == pytest.approx(90e3, rel=0.1)  # t, of 100 billion


def test_the_hand_value_of_the_larger_end_is_that_of_the_engine() -> None:
    """Within 6 %: the mechanism's own error on ends is a few per cent; equal by hand is equal within 2 % by GMNA."""
    found = container_end.ends()
    for each in (found.small, found.same_gauge, found.same_pressure):
        assert each.pressure == pytest.approx(each.computed, rel=0.06)
    assert found.same_pressure.computed == pytest.approx(found.small.computed, rel=0.02)
    assert 1.0 < found.exponent < 2.0  # a bend yields with t^2, a membrane with t


def test_the_tea_container_is_the_sum_of_its_parts() -> None:
    """350 ml closed, 20 ml of headspace, to the tenth of a millimetre that its file gives the wall in: 0.13 ml.

    The base alone does not know the 30 mm of wall that its case looks at.
    """
    found = container_tea.tea()
    assert found.volumes.closed == pytest.approx(350e3, abs=130.0)
    assert found.volumes.headspace == pytest.approx(20e3, abs=130.0)
    assert [part.name for part in found.parts] == ["base", "wall", "neck", "end"]
    # Ramps of 4 mm, from 0.245 to 0.1 and on to 0.15 mm, the latter up to 3 mm below the shoulder.
    straight = container_tea.wall_height() - 11.0
    by_hand = 2.0 * math.pi * 29.0 * (4.0 * 0.1725 + straight * 0.1 + 4.0 * 0.125 + 3.0 * 0.15) * 2720e-6
    assert found.parts[1].mass == pytest.approx(by_hand, rel=1e-9)
    metal = found.cuts["body"].metal
    assert metal.part == pytest.approx(found.mass - found.parts[-1].mass, rel=1e-9)
    rim = 2.0 * math.pi * float(found.body.meridian.at_s(found.body.meridian.length).r) * 0.15 * (5.0 + 1.0) * 2720e-6
    assert metal.trimmed == pytest.approx(rim, rel=1e-9)


def test_no_wall_limits_a_pallet() -> None:
    """24 filled containers in a stack are told (a trade journal of 2009, read): a tenth of what the wall carries."""
    empty, full = container_tea.stacks()
    assert empty.layers is not None
    assert full.layers is not None
    assert full.layers > 10 * 24
    assert full.lowest_force <= full.state.allowed_force
    assert empty.layers > full.layers
