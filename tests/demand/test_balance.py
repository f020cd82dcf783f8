"""The balance of a closed container: published tables, cases worked out by hand, limits, and what must always hold."""

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buckle.demand.balance import HIGHEST, balance
from buckle.demand.drinks import UNKNOWN, WATER, Drink
from buckle.demand.filling import Body, Charge, Evenly, Filling, carbonated, closed_in_air, nitrogen_dosed
from buckle.demand.gases import AIR, GAS_CONSTANT, VOLUME, carbon_dioxide, nitrogen
from buckle.demand.limits import FREEZING
from buckle.demand.solubility import NITROGEN as NITROGEN_LAW
from buckle.demand.solubility import henry_constant
from buckle.demand.water import density, vapour_pressure
from buckle.errors import ContentsError
from scripts.tables.demand_rows import CARBONATED, CARBONATED_AT, NITROGEN, NITROGEN_AT, ROUNDED

CAN = Body(355e3, 20e3, 4.0)
ROOM = Body(355e3, 20e3, 20.0)
CASES = [(v, t, published) for v, row in CARBONATED.items() for t, published in zip(CARBONATED_AT, row, strict=True)]
DOSED = [(p, t, published) for p, row in NITROGEN.items() for t, published in zip(NITROGEN_AT, row, strict=True)]


def gauge(filling, celsius, altitude=0.0):
    """Gauge pressure [bar]."""
    return 10.0 * balance(filling, celsius, altitude).gauge


def water_can(volumes, body=CAN, air=0.0, drink=WATER):
    return carbonated(body, volumes, drink, air)


def unsqueezed(filling):
    """The filling without the pressure on the liquid."""
    charges = tuple(replace(each, gas=replace(each.gas, partial_volume=0.0)) for each in filling.charges)
    return replace(filling, charges=charges)


@pytest.mark.parametrize(("volumes", "celsius", "published"), CASES)
def test_table_of_carbonated_cans(volumes, celsius, published):
    """Trade data, section 4.2, within 1 % below 10 bar and 1.2 % above, beside the rounding of its two decimals.

    The table leaves out that pressure on the liquid drives gas out of it: +1.5 % at 12 bar, the safe side. Without that
    this is up to 0.35 % of the absolute pressure lower: here a mole of water holds x/(1 - x) of gas, there x.
    """
    filling = water_can(volumes)
    plain = gauge(unsqueezed(filling), celsius)
    assert published - 0.0035 * (published + 1.013) - ROUNDED < plain < published + ROUNDED
    assert gauge(filling, celsius) == pytest.approx(published, rel=0.01 if published < 10.0 else 0.012, abs=ROUNDED)
    assert gauge(filling, celsius) > plain


@pytest.mark.parametrize(("fill", "celsius", "published"), DOSED)
def test_table_of_nitrogen_dosed_cans(fill, celsius, published):
    """Trade data, section 4.3: the two decimals that are told, and 0.1 % for 5e-4 of mole fraction in the liquid."""
    filling = nitrogen_dosed(ROOM, 0.1 * fill, WATER)
    assert gauge(filling, celsius) == pytest.approx(published, rel=1e-3, abs=ROUNDED)


@pytest.mark.parametrize(("celsius", "published"), [(20.0, 3.47), (38.0, 5.96), (60.0, 9.42)])
def test_all_gas_in_solution(celsius, published):
    """Trade data, section 4.2: 3.8 volumes and no room for gas, tolerances as in the table with headspace.

    These numbers, unlike those of the table, take the gas as ideal: 2.6 to 3.7 % too low, the unsafe side.
    """
    body = Body(355e3, CAN.liquid_at(celsius) - 355e3 + 1e-3, 4.0)  # a thousandth of a cubic millimetre is left
    real = unsqueezed(water_can(3.8, body))
    ideal = replace(real, charges=tuple(replace(each, gas=replace(each.gas, virial=None)) for each in real.charges))
    assert published - 0.0035 * (published + 1.013) - ROUNDED < gauge(ideal, celsius) < published + ROUNDED
    assert 1.02 * published < gauge(real, celsius) < 1.04 * published
    assert balance(real, celsius).shares[0].in_headspace < 1e-9


def test_a_brimful_of_carbonated_water_has_the_pressure_of_the_last_bubble():
    """Gas all in solution needs no room: the limit of a headspace that goes to nothing (1e-6 ml: 1e-8 of the rest)."""
    room = CAN.liquid_at(20.0) - 355e3  # what the liquid takes at 20 degC, to the last digit
    full, nearly = (balance(water_can(3.8, Body(355e3, room + more, 4.0)), 20.0) for more in (0.0, 1e-3))
    assert full.headspace == 0.0
    assert full.shares[0].in_headspace == 0.0
    assert full.gauge == pytest.approx(nearly.gauge, rel=1e-6)


def test_a_container_that_gives_way():
    """Trade data, section 4.2: 0.4 ml/bar brings 3.8 volumes at 60 degC from 8.89 to 8.66 bar, by 2.6 %."""
    soft = replace(CAN, swelling=Evenly(4000.0))
    ratio = gauge(water_can(3.8, soft), 60.0) / gauge(water_can(3.8), 60.0)
    assert ratio == pytest.approx(8.66 / 8.89, abs=0.004)  # two decimals of both, and 8.683 by a prototype of the table
    state = balance(water_can(3.8, soft), 60.0)
    assert state.swelling == pytest.approx(4000.0 * state.gauge, rel=1e-12)


@pytest.mark.parametrize(("volumes", "celsius"), [(2.8, 59.4), (3.8, 42.1), (4.0, 39.5)])
def test_where_90_psi_is_reached(volumes, celsius):
    """Trade data, section 4.2: 6.205 bar is reached at these temperatures; 0.1 bar is 0.9 degC there."""
    assert gauge(water_can(volumes), celsius) == pytest.approx(6.205, abs=0.07)


@pytest.mark.parametrize(("height", "gain"), [(1500.0, 0.168), (2438.0, 0.261), (3000.0, 0.312), (4000.0, 0.397)])
def test_altitude_raises_the_gauge_pressure(height, gain):
    """Trade data, section 4.4, of a rigid container."""
    assert gauge(water_can(3.8), 20.0, height) - gauge(water_can(3.8), 20.0) == pytest.approx(gain, abs=6e-4)


def test_air_adds_its_own_pressure():
    """Trade data, section 4.2: p_air (T/T_0) V_h0 / V_h, air being taken not to dissolve."""
    state = balance(water_can(3.8, air=1.0), 60.0)
    air = state.shares[1]
    dry = 0.101325 - vapour_pressure(4.0 + FREEZING)
    assert air.pressure == pytest.approx(dry * 333.15 / 277.15 * 20e3 / state.headspace, rel=1e-12)
    assert state.headspace == pytest.approx(375e3 - 355e3 * density(4.0) / density(60.0), rel=1e-12)


def test_nitrogen_by_hand():
    """1 bar gauge at 20 degC in 355 + 20 ml, warmed to 50 degC, every number put in by hand."""
    nitrogen_at_fill = 0.1 + 0.101325 - 0.0023392
    water = 0.355 * 0.998207 / 0.018015268  # mol
    above = nitrogen_at_fill * 20e3 / (8314.4626 * 293.15)
    dissolved = water * nitrogen_at_fill / henry_constant(NITROGEN_LAW, 293.15)
    room = 375e3 - 355e3 * 998.207 / 988.04
    warm = (above + dissolved) / (room / (8314.4626 * 323.15) + water / henry_constant(NITROGEN_LAW, 323.15))
    by_hand = 10.0 * (warm + 0.012352 - 0.101325)
    # 1e-3: the densities are put in with five digits, and the headspace is a difference of two large numbers
    assert gauge(nitrogen_dosed(ROOM, 0.1, WATER), 50.0) == pytest.approx(by_hand, rel=1e-3)


def test_hot_filled_and_cooled_is_a_vacuum():
    """Closed at 85 degC and 1 atm: 0 gauge there, and at 20 degC between no air left in the headspace and all of it."""
    body = Body(355e3, 20e3, 85.0)
    filling = closed_in_air(body, WATER)
    assert gauge(filling, 85.0) == pytest.approx(0.0, abs=1e-12)
    cold = balance(filling, 20.0)
    room = 375e3 - 355e3 * density(85.0) / density(20.0)
    kept = sum(charge.amount for charge in filling.charges) * GAS_CONSTANT * 293.15 / room
    vapour = vapour_pressure(293.15)
    assert vapour - 0.101325 < cold.gauge < vapour + kept - 0.101325
    assert -0.80 < 10.0 * cold.gauge < -0.70


def test_a_still_drink_closed_cold_makes_little_pressure():
    """In balance at 20 degC and 1 atm: no gauge pressure, and more when it is warm."""
    filling = closed_in_air(ROOM, WATER)
    assert gauge(filling, 20.0) == pytest.approx(0.0, abs=1e-12)
    assert 0.0 < gauge(filling, 38.0) < gauge(filling, 60.0) < 1.5


def test_gas_alone_follows_its_state_equation():
    """No liquid: n = p V / (Z R T) of one gas, with its virial coefficient and without; vapour is counted beside it."""
    body = Body(0.0, 100e3, 20.0)
    real, ideal = carbon_dioxide(WATER), nitrogen(WATER)
    for gas in (real, ideal):
        share = balance(Filling(body, (Charge(gas, 0.02),)), 50.0).shares[0]
        z = gas.compressibility(share.pressure, 323.15)
        assert share.pressure == pytest.approx(0.02 * z * GAS_CONSTANT * 323.15 / 100e3, rel=1e-12)
        assert share.in_liquid == 0.0


def test_a_real_gas_tends_to_an_ideal_one():
    """At a hundredth of the amount the virial coefficient matters a hundredth as much: first order in pressure."""
    body = Body(0.0, 100e3, 20.0)
    off = []
    for amount in (1e-2, 1e-4):
        p = balance(Filling(body, (Charge(carbon_dioxide(WATER), amount),)), 50.0).shares[0].pressure
        off.append(1.0 - p * 100e3 / (amount * GAS_CONSTANT * 323.15))
    assert off[0] / off[1] == pytest.approx(100.0, rel=0.02)
    assert 0.0 < off[0] < 0.02


def test_nothing_but_water_makes_its_vapour_pressure():
    state = balance(Filling(CAN, ()), 60.0)
    assert state.absolute == vapour_pressure(333.15)


def test_a_drink_that_dissolves_less_makes_more_pressure():
    """All in solution, pressure is inversely as solubility; with a headspace a little less."""
    full, less = (balance(water_can(3.8, drink=Drink(s, "")), 60.0).shares[0].pressure for s in (1.0, 0.9))
    assert full < less < full / 0.9
    assert gauge(water_can(3.8, drink=UNKNOWN), 60.0) > gauge(water_can(3.8), 60.0)


def test_liquid_that_fills_the_container_is_refused():
    with pytest.raises(
        ContentsError, match=r"contents.headspace: the liquid fills the container at 60 degC: it expands by 6.06 ml"
    ):
        balance(water_can(3.8, Body(355e3, 5e3, 4.0)), 60.0)


def test_liquid_that_fills_even_a_soft_container_is_refused():
    """0.1 ml/bar makes room of 1 ml at the 10 bar of all gas in solution: the 1.06 ml that lack would be hydraulic."""
    with pytest.raises(ContentsError, match="the contents come to more than 50 bar"):
        balance(water_can(3.8, Body(355e3, 5e3, 4.0, Evenly(500.0))), 60.0)


def test_a_soft_container_makes_room_of_its_own():
    """The same with 4 ml/bar: it holds, with less than a rigid container of the room that it has then would need."""
    state = balance(water_can(3.8, Body(355e3, 5e3, 4.0, Evenly(40e3))), 60.0)
    assert state.headspace == pytest.approx(5e3 - 6056.2 + 40e3 * state.gauge, abs=1.0)
    assert state.headspace > 0.0


def test_too_much_gas_is_refused():
    with pytest.raises(ContentsError, match=f"more than {10 * HIGHEST:.0f} bar at 100 degC"):
        balance(water_can(10.0, Body(355e3, 18e3, 4.0), air=1.0), 100.0)


@pytest.mark.parametrize(
    ("celsius", "altitude", "key"), [(-0.1, 0.0, "temperatures"), (100.1, 0.0, "temperatures"), (20.0, 2e4, "altitude")]
)
def test_outside_of_what_sources_reach_is_refused(celsius, altitude, key):
    with pytest.raises(ContentsError) as caught:
        balance(water_can(3.8), celsius, altitude)
    assert caught.value.fault.key == key


def test_a_drink_that_boils_cannot_be_closed_in():
    with pytest.raises(ContentsError, match=r"contents.fill_temperature: the liquid boils at 1 atm"):
        closed_in_air(Body(355e3, 20e3, 100.0), WATER)


# What must always hold ------------------------------------------------------------------------------------------------

BODIES = st.builds(
    lambda liquid, share, fill, soft: Body(1e3 * liquid, 1e3 * liquid * share, fill, Evenly(soft)),
    st.floats(20.0, 2000.0),
    st.floats(0.06, 1.0),
    st.floats(0.0, 30.0),
    st.sampled_from([0.0, 1000.0, 5000.0]),
)
FILLINGS = st.one_of(
    st.builds(
        carbonated, BODIES, st.floats(0.1, 5.0), st.floats(0.85, 1.0).map(lambda s: Drink(s, "")), st.floats(0.0, 1.0)
    ),
    st.builds(nitrogen_dosed, BODIES, st.floats(0.0, 0.2), st.just(WATER)),
    st.builds(closed_in_air, BODIES, st.just(WATER)),
)
TEMPERATURES = st.floats(0.0, 70.0)  # 6 % of headspace has room for 2.3 % of expansion
ALTITUDES = st.floats(-500.0, 11000.0)


@settings(deadline=None)
@given(filling=FILLINGS, celsius=TEMPERATURES, altitude=ALTITUDES)
def test_nothing_is_lost(filling, celsius, altitude):
    """Each gas is found again to 1e-10, volumes add up, and every pressure is positive."""
    state = balance(filling, celsius, altitude)
    for share in state.shares:
        assert abs(share.gap) < 1e-10
        assert share.pressure >= 0.0
    room = filling.body.closed_volume + filling.body.swelling(state.gauge) - state.liquid
    assert state.headspace == pytest.approx(room, rel=1e-9)
    partial = sum(share.pressure for share in state.shares)
    assert state.gauge + state.outside == pytest.approx(partial + state.vapour, rel=1e-9)


@settings(deadline=None)
@given(filling=FILLINGS, celsius=st.floats(0.0, 65.0), warmer=st.floats(0.1, 5.0), altitude=ALTITUDES)
def test_warmer_is_more(filling, celsius, warmer, altitude):
    assert balance(filling, celsius + warmer, altitude).gauge > balance(filling, celsius, altitude).gauge


@settings(deadline=None)
@given(
    body=BODIES, volumes=st.floats(0.1, 5.0), more=st.floats(0.01, 1.0), air=st.floats(0.0, 0.9), celsius=TEMPERATURES
)
def test_more_gas_is_more(body, volumes, more, air, celsius):
    """Of carbon dioxide and of air."""
    at = balance(carbonated(body, volumes, WATER, air), celsius).gauge
    assert balance(carbonated(body, volumes + more, WATER, air), celsius).gauge > at
    assert balance(carbonated(body, volumes, WATER, air + 0.1), celsius).gauge > at


@settings(deadline=None)
@given(body=BODIES, volumes=st.floats(0.1, 5.0), celsius=TEMPERATURES, larger=st.floats(1.01, 3.0))
def test_more_headspace_is_less(body, volumes, celsius, larger):
    """Of a drink without air: the same gas has more room."""
    roomy = replace(body, headspace=larger * body.headspace)
    assert (
        balance(carbonated(roomy, volumes, WATER, 0.0), celsius).gauge
        < balance(carbonated(body, volumes, WATER, 0.0), celsius).gauge
    )


@settings(deadline=None)
@given(body=BODIES, volumes=st.floats(0.1, 5.0), celsius=TEMPERATURES, scale=st.floats(0.1, 10.0))
def test_size_does_not_matter(body, volumes, celsius, scale):
    """A container ten times as large, ten times as soft, sees the same pressure."""
    assert isinstance(body.swelling, Evenly)
    soft = Evenly(scale * body.swelling.compliance)
    large = Body(scale * body.liquid, scale * body.headspace, body.fill_temperature, soft)
    one, other = (balance(carbonated(each, volumes, UNKNOWN, 0.3), celsius).gauge for each in (body, large))
    assert other == pytest.approx(one, rel=1e-9, abs=1e-12)


def test_amounts_by_hand():
    """3.8 volumes in 355 ml are 1.349 l of gas, 60.59 mmol, 2.667 g; air in 20 ml at 4 degC is 0.8725 mmol."""
    dissolved, air = water_can(3.8, air=1.0).charges
    assert dissolved.amount == pytest.approx(3.8 * 0.355 / 22.263, rel=1e-12)
    assert dissolved.amount * VOLUME == pytest.approx(1.349e6, rel=1e-9)
    assert 44.0095 * dissolved.amount == pytest.approx(2.667, abs=5e-4)
    assert air.gas is AIR
    assert air.amount == pytest.approx((101325 - 813.5) * 20e-6 / (8.31446 * 277.15), rel=1e-4)


def test_gap_tells_what_is_missing():
    """A share that is not in balance says so: the check above can fail."""
    share = balance(water_can(3.8), 60.0).shares[0]
    assert math.isclose(replace(share, in_liquid=0.5 * share.in_liquid).gap, -0.458, abs_tol=2e-3)
