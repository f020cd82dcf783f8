"""Several conditions at once: the highest governs, each is listed with its steps, and up to where a container holds."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buckle.demand.balance import balance
from buckle.demand.conditions import Condition, with_weiss, work_out
from buckle.demand.drinks import WATER
from buckle.demand.filling import Body, carbonated, closed_in_air, nitrogen_dosed
from buckle.demand.reached import held_up_to
from buckle.demand.steps import PRESSURE, steps

CAN = Body(355e3, 20e3, 4.0)
COLA = carbonated(CAN, 3.8, WATER, 0.1)
JUICE = closed_in_air(Body(355e3, 20e3, 85.0), WATER)
CONDITIONS = (Condition(20.0), Condition(62.0, name="pasteuriser", time=12.0), Condition(38.0, 3000.0, "pass"))


def test_the_highest_pressure_is_the_demand():
    demand = work_out(COLA, CONDITIONS)
    assert [met.condition for met in demand.met] == list(CONDITIONS)
    assert demand.governing.condition.temperature == 62.0
    assert demand.pressure == max(met.state.gauge for met in demand.met) == demand.acting
    assert demand.vacuum == 0.0
    for met in demand.met:
        assert met.state == balance(COLA, met.condition.temperature, met.condition.altitude)


def test_altitude_may_govern():
    demand = work_out(COLA, (Condition(38.0), Condition(37.5, 3000.0)))
    assert demand.governing.condition.altitude == 3000.0


def test_the_round_off_of_a_closing_at_one_atmosphere_is_no_demand():
    """Closed hot at 1 atm the gauge pressure there is nil but for some 1e-16 MPa, which would be met a billionfold."""
    demand = work_out(JUICE, (Condition(20.0), Condition(85.0)))
    assert demand.pressure == pytest.approx(0.0, abs=1e-12)
    assert demand.acting <= 0.0
    assert work_out(JUICE, (Condition(85.0),)).vacuum == 0.0
    assert work_out(JUICE, (Condition(85.1),)).acting > 0.0


def test_a_vacuum_is_a_demand_from_outside():
    conditions = (Condition(20.0), Condition(4.0), Condition(60.0))
    outside = work_out(JUICE, conditions, side="outside")
    assert outside.governing is outside.emptiest
    assert outside.governing.condition.temperature == 4.0
    assert outside.acting == outside.vacuum == -outside.emptiest.state.gauge
    assert not any("does not judge" in caution for caution in outside.cautions)
    demand = work_out(JUICE, conditions)
    assert demand.acting == demand.pressure < 0.0
    assert demand.governing.condition.temperature == 60.0
    assert any("does not judge a case whose pressure acts from inside" in caution for caution in demand.cautions)


def test_both_solubilities_are_worked_out_for_carbon_dioxide_alone():
    """Weiss dissolves 3.8 % more at 4 degC (0.0656 against 0.0632 mol/(l bar)); warm they agree to 1 %."""
    cold, warm = work_out(COLA, (Condition(4.0), Condition(60.0))).met
    assert 0.95 < cold.by_weiss.absolute / cold.state.absolute < 0.97
    assert warm.by_weiss.gauge == pytest.approx(warm.state.gauge, rel=0.01)
    assert with_weiss(JUICE) is None
    assert work_out(JUICE, (Condition(20.0),)).met[0].by_weiss is None


def test_sources_that_are_left_are_said():
    cautions = " ".join(work_out(COLA, (Condition(60.0),)).cautions)
    assert "solubility by Weiss (range from memory) reaches from -1 to 40 degC; extrapolated at 60" in cautions
    assert (
        "second virial coefficient (range from memory) reaches from -8.15 to 46.85 degC; extrapolated at 60" in cautions
    )
    cautions = " ".join(work_out(nitrogen_dosed(CAN, 0.1, WATER), (Condition(4.0),)).cautions)
    assert "solubility of nitrogen by G7-04 reaches from 4.97 to 363.3 degC; extrapolated at 4" in cautions
    assert not work_out(nitrogen_dosed(CAN, 0.1, WATER), (Condition(20.0),)).cautions


@pytest.mark.parametrize("filling", [COLA, JUICE, nitrogen_dosed(CAN, 0.1, WATER)])
def test_the_steps_add_up(filling):
    """Worked out once more from the numbers that the steps show, as a reader would."""
    shown = steps(filling, balance(filling, 60.0, 1000.0))
    by_symbol = {step.symbol: step.value for step in shown}
    partial = sum(step.value for step in shown if step.symbol == "p_i")
    assert partial + by_symbol["p_sat"] - by_symbol["p_out"] == pytest.approx(by_symbol["p"], rel=1e-12)
    volumes = by_symbol["V_l0"] + by_symbol["V_g0"] + by_symbol["dV"] - by_symbol["V_l"]
    assert volumes == pytest.approx(by_symbol["V_g"], rel=1e-9)
    amounts = [[step.value for step in shown if step.symbol == symbol] for symbol in ("n", "n_l", "n_g", "p_i")]
    for all_of_it, in_liquid, in_headspace, pressure in zip(*amounts, strict=True):
        assert in_liquid + in_headspace == pytest.approx(all_of_it, rel=1e-10)
        z = by_symbol["Z"] if "Z" in by_symbol and pressure == amounts[3][0] else 1.0
        assert 1e3 * pressure * 1e3 * by_symbol["V_g"] / (z * 8314.462618 * 333.15) == pytest.approx(in_headspace)


def test_the_liquid_of_the_steps_follows_henrys_law():
    shown = {step.symbol: step.value for step in reversed(steps(COLA, balance(COLA, 60.0)))}  # the first of each
    x = shown["s"] * shown["f"] / (shown["k_H"] * shown["P"])
    assert x == pytest.approx(shown["x"], rel=1e-12)
    assert 1e3 * shown["n_w"] * x / (1.0 - x) == pytest.approx(shown["n_l"], rel=1e-12)


def test_every_law_among_the_steps_names_its_source():
    shown = steps(COLA, balance(COLA, 60.0))
    for symbol in ("V_l", "n", "B", "k_H", "s", "P", "p_sat", "p_out"):
        assert all(step.source for step in shown if step.symbol == symbol), symbol
    assert {step.unit for step in shown} == {"ml", "mol", "mmol", "cm3/mol", "-", PRESSURE}


# Up to where it holds -------------------------------------------------------------------------------------------------


@settings(deadline=None, max_examples=20)
@given(capacity=st.floats(0.2, 1.0), altitude=st.floats(0.0, 4000.0))
def test_a_container_holds_to_where_the_pressure_is_what_it_carries(capacity, altitude):
    held = held_up_to(COLA, lambda _: capacity, altitude)
    assert not held.at_least
    assert not held.full
    assert balance(COLA, held.temperature, altitude).gauge == pytest.approx(capacity, rel=1e-7)


def test_warm_metal_carries_less_and_holds_less():
    cold = held_up_to(COLA, lambda _: 0.7)
    warm = held_up_to(COLA, lambda celsius: 0.7 * (1.0 - 0.001 * (celsius - 20.0)))
    assert warm.temperature < cold.temperature
    there = balance(COLA, warm.temperature).gauge
    assert there == pytest.approx(0.7 * (1.0 - 0.001 * (warm.temperature - 20.0)), rel=1e-7)


def test_what_holds_everything_says_at_least():
    held = held_up_to(nitrogen_dosed(CAN, 0.05, WATER), lambda _: 2.0)
    assert (held.temperature, held.at_least) == (100.0, True)


def test_what_holds_nothing_says_none():
    assert held_up_to(COLA, lambda _: 0.01).temperature is None


def test_liquid_that_leaves_no_room_ends_it():
    """5 ml of headspace are used up by 1.42 % of expansion, at 55 degC (Kell); the pressure there is not 10 MPa."""
    held = held_up_to(replace(COLA, body=replace(CAN, headspace=5e3), charges=COLA.charges[:1]), lambda _: 4.0)
    assert held.full
    assert 53.0 < held.temperature < 56.0
