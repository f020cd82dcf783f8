"""Water, solubility, gases and the atmosphere against published values and against forms of other authors."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckle.demand.atmosphere import air_pressure
from buckle.demand.drinks import DRINKS, UNKNOWN, WATER
from buckle.demand.gases import GAS_CONSTANT, VOLUME, carbon_dioxide, carbon_dioxide_virial, nitrogen
from buckle.demand.limits import FREEZING, Reach
from buckle.demand.solubility import CARBON_DIOXIDE, NITROGEN, OXYGEN, henry_constant, weiss_constant, weiss_solubility
from buckle.demand.water import density, moles, vapour_pressure

WARM = st.floats(0.0, 100.0)


@pytest.mark.parametrize(
    ("celsius", "kilopascal"),
    [(0.01, 0.611657), (25.0, 3.16975), (50.0, 12.352), (100.0, 101.42)],
)
def test_vapour_pressure(celsius, kilopascal):
    """Steam tables of IAPWS-95 (from memory), to the digits that they are told in."""
    assert 1e3 * vapour_pressure(celsius + FREEZING) == pytest.approx(kilopascal, rel=1e-4)


@pytest.mark.parametrize("celsius", [0.0, 4.0, 10.0, 20.0, 30.0, 40.0])
def test_density_against_another_form(celsius):
    """Tanaka and others 2001, 0 to 40 degC (from memory); 2e-5 covers the change of temperature scale between them."""
    t = celsius
    other = 999.974950 * (1.0 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))
    assert density(t) == pytest.approx(other, rel=2e-5)


@pytest.mark.parametrize(("celsius", "published"), [(50.0, 988.05), (60.0, 983.21), (80.0, 971.80), (100.0, 958.37)])
def test_density_of_warm_water(celsius, published):
    """Tables of water at 1 atm (from memory), told to 0.05 kg/m3 or better."""
    assert density(celsius) == pytest.approx(published, abs=0.05)


def test_water_in_moles():
    """A kilogram is 55.51 mol: one over the molar mass of 18.0153 g."""
    assert moles(1.0) == pytest.approx(55.508, abs=1e-3)


@pytest.mark.parametrize(
    ("celsius", "carbon", "g7", "weiss", "vapour", "nitrogen_gpa"),
    [
        (4.0, 87.8, 0.0632, 0.0656, 0.0081, 5.93),
        (20.0, 144.9, 0.0382, 0.0386, 0.0234, 7.97),
        (25.0, 165.6, 0.0334, 0.0335, 0.0317, 8.56),
        (38.0, 224.6, 0.0245, 0.0244, 0.0663, 9.94),
        (50.0, 283.2, 0.0194, 0.0193, 0.1235, 10.92),
        (60.0, 332.8, 0.0164, 0.0164, 0.1995, 11.50),
        (65.0, 357.4, 0.0152, 0.0153, 0.2504, 11.71),
    ],
)
def test_solubility_against_a_table(celsius, carbon, g7, weiss, vapour, nitrogen_gpa):
    """Table of trade data, section 4.1, computed there from the same two sources by other code; one unit of the last
    digit, since 9.934 GPa of nitrogen at 38 degC is told there as 9.94.
    """
    kelvin = celsius + FREEZING
    constant = henry_constant(CARBON_DIOXIDE, kelvin)
    per_litre = density(celsius) / 18.015268
    assert constant == pytest.approx(carbon, abs=0.051)
    assert 0.1 * per_litre / constant == pytest.approx(g7, abs=1e-4)
    assert weiss_solubility(kelvin) / 1.01325 == pytest.approx(weiss, abs=1e-4)
    assert 0.1 * per_litre / weiss_constant(kelvin) == pytest.approx(weiss, abs=1e-4)
    assert 10.0 * vapour_pressure(kelvin) == pytest.approx(vapour, abs=5.1e-5)
    assert 1e-3 * henry_constant(NITROGEN, kelvin) == pytest.approx(nitrogen_gpa, abs=0.01)


@pytest.mark.parametrize(
    ("coefficients", "kelvin", "logarithm"),
    [
        (CARBON_DIOXIDE, 300.0, -1.7508),
        (CARBON_DIOXIDE, 400.0, -0.5450),
        (NITROGEN, 300.0, 2.1716),
        (OXYGEN, 300.0, 1.5024),
    ],
)
def test_the_check_values_of_the_guideline(coefficients, kelvin, logarithm):
    """IAPWS G7-04, ln(k_H / 1 GPa) for checking programs (from memory), to the four decimals told."""
    assert math.log(1e-3 * henry_constant(coefficients, kelvin)) == pytest.approx(logarithm, abs=6e-5)


@pytest.mark.parametrize("kelvin", [275.0, 300.0, 320.0, 340.0, 370.0])
def test_virial_coefficient_against_corresponding_states(kelvin):
    """Tsonopoulos 1974 with T_c = 304.13 K, p_c = 7.377 MPa, w = 0.2239 (from memory); both are told to 4 to 8 cm3/mol.

    The cubic of Weiss was made for 265 to 320 K; beyond, this says how far it may be carried.
    """
    r = kelvin / 304.13
    simple = 0.1445 - 0.330 / r - 0.1385 / r**2 - 0.0121 / r**3 - 0.000607 / r**8
    acentric = 0.0637 + 0.331 / r**2 - 0.423 / r**3 - 0.008 / r**8
    other = GAS_CONSTANT * 304.13 / 7.377 * (simple + 0.2239 * acentric)
    assert 1e-3 * carbon_dioxide_virial(kelvin) == pytest.approx(1e-3 * other, abs=8.0)


def test_a_volume_of_carbon_dioxide():
    """A mole at 0 degC and 1 atm takes up 22.26 l by the same virial coefficient, and weighs 44.01 g: 1.977 g/l."""
    gas = carbon_dioxide(WATER)
    ideal = GAS_CONSTANT * FREEZING / 0.101325
    molar, grams_per_litre = gas.compressibility(0.101325, FREEZING) * ideal, 44.0095 / (1e-6 * VOLUME)
    assert molar == pytest.approx(VOLUME, rel=1e-4)
    assert grams_per_litre == pytest.approx(1.977, abs=5e-4)


@given(celsius=WARM, pressure=st.floats(1e-4, 3.0))
def test_fugacity_and_compressibility_belong_together(celsius, pressure):
    """For a gas of one virial coefficient d ln f / d ln p = Z: one law, differentiated here by a difference."""
    gas, kelvin, step = carbon_dioxide(WATER), celsius + FREEZING, 1e-4
    up, down = (math.log(gas.fugacity(pressure * math.exp(each), kelvin)) for each in (step, -step))
    assert (up - down) / (2.0 * step) == pytest.approx(gas.compressibility(pressure, kelvin), rel=1e-7)


@given(celsius=WARM, pressure=st.floats(1e-3, 3.0), more=st.floats(1e-3, 1.0))
def test_more_pressure_more_gas_in_both_phases(celsius, pressure, more):
    kelvin = celsius + FREEZING
    for gas in (carbon_dioxide(WATER), nitrogen(WATER)):
        assert gas.in_headspace(pressure + more, 2e4, kelvin) > gas.in_headspace(pressure, 2e4, kelvin)
        held = [gas.in_liquid(each, 20.0, kelvin, each) for each in (pressure, pressure + more)]
        assert held[1] > held[0]


def test_pressure_on_the_liquid_drives_gas_out():
    """Exp(v p / (R T)) with v = 32.3 cm3/mol: 1.17 % at 10 bar and 60 degC, worked out by hand."""
    gas = carbon_dioxide(WATER)
    assert gas.squeezed(1.0, 333.15) == pytest.approx(math.exp(32.3e3 / (8314.46 * 333.15)), rel=1e-6)
    assert gas.squeezed(1.0, 333.15) == pytest.approx(1.0117, abs=1e-4)


@pytest.mark.parametrize(
    ("height", "lost"), [(0.0, 0.0), (1500.0, 0.168), (2438.0, 0.261), (3000.0, 0.312), (4000.0, 0.397)]
)
def test_atmosphere(height, lost):
    """Trade data, section 4.4: what gauge pressure gains [bar], told to three decimals."""
    assert 10.0 * (air_pressure(0.0) - air_pressure(height)) == pytest.approx(lost, abs=6e-4)


def test_atmosphere_at_the_top():
    """226.32 hPa at 11 km, standard atmosphere (from memory)."""
    assert 1e4 * air_pressure(11000.0) == pytest.approx(226.32, rel=2e-4)


def test_no_known_drink_dissolves_less_than_the_unknown_one():
    assert all(UNKNOWN.factor < drink.factor <= 1.0 for drink in DRINKS.values())


@pytest.mark.parametrize(("drink", "celsius", "grams"), [("lager", 6.0, 2.4), ("sparkling_wine", 10.0, 2.1)])
def test_factors_of_measured_drinks(drink, celsius, grams):
    """Henry coefficients in g/(l bar) as read in PMC8047704, table 1, over G7-04; told to two digits, hence 2 %."""
    water = 0.1 * density(celsius) / 18.015268 * 44.0095 / henry_constant(CARBON_DIOXIDE, celsius + FREEZING)
    assert DRINKS[drink].factor == pytest.approx(grams / water, rel=0.02)
    # against the other solubility the same drink has a lower factor still, and the unknown one stays below
    other = 0.1 * density(celsius) / 18.015268 * 44.0095 / weiss_constant(celsius + FREEZING)
    assert UNKNOWN.factor < grams / other


def test_reach_says_what_lies_outside():
    reach = Reach("a source", 0.0, 40.0)
    assert reach.caution([0.0, 20.0, 40.0]) == ""
    assert reach.caution([60.0, 20.0, 41.0]) == "a source reaches from 0 to 40 degC; extrapolated at 41, 60"
