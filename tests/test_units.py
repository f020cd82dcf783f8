"""Unit conversions against their definitions."""

import math
from typing import Annotated

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckle.errors import CaseError, SolveError
from buckle.marked import plain
from buckle.units import (
    RECORDED,
    UNITS,
    Angle,
    Dimension,
    PositiveLength,
    Units,
    convert,
    dimension_of,
    length_text,
    preferred_suffix,
    pressure_text,
    to_unit,
)

PAIRS = [(dimension, suffix) for dimension, units in UNITS.items() for suffix in units]


@pytest.mark.parametrize(
    ("value", "dimension", "suffix", "internal"),
    [
        (1.0, "length", "in", 25.4),  # international inch, exact
        (0.0106, "length", "in", 0.26924),
        (265.0, "length", "um", 0.265),
        (1.0, "stress", "ksi", 6.894757293168361),  # NIST SP 811, appendix B: 6.894757 E+06 Pa
        (90.0, "pressure", "psi", 0.6205281563851525),
        (6.2, "pressure", "bar", 0.62),
        (69.0, "stress", "GPa", 69e3),
        (180.0, "angle", "deg", math.pi),
        (1.0, "force", "lbf", 4.4482216152605),  # NIST SP 811, appendix B: 4.448222 E+00 N
        (32.0, "temperature", "degF", 0.0),
        (140.0, "temperature", "degF", 60.0),
        (273.15, "temperature", "K", 0.0),
        (355.0, "volume", "ml", 355e3),
    ],
)
def test_conversion_matches_the_definition(value, dimension, suffix, internal):
    """Exact fractions give the nearest float: only the rounding of the written figure is allowed."""
    assert convert(value, dimension, suffix) == pytest.approx(internal, rel=2e-16, abs=0.0)


def test_density_in_pounds_per_cubic_inch():
    """NIST SP 811, appendix B: 2.767990 E+04; the tolerance is the last printed digit."""
    assert convert(1.0, "density", "lb_per_in3") == pytest.approx(2.767990e4, rel=2e-7)


@given(value=st.floats(-1e6, 1e6))
def test_there_and_back_is_the_same_reading(value):
    """In every unit; two roundings of 1.1e-16 each, taken on the larger of the reading and the zero of its scale."""
    back = {pair: to_unit(convert(value, *pair), *pair) for pair in PAIRS}
    assert back == pytest.approx(dict.fromkeys(PAIRS, value), rel=3e-16, abs=2e-13)


def test_two_ways_of_writing_one_length_give_the_same_float():
    assert convert(0.0106, "length", "in") == convert(0.26924, "length", "mm") == convert(269.24, "length", "um")


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_no_number_passes_through_as_itself(value):
    assert convert(value, "pressure", "bar") == pytest.approx(value, nan_ok=True)
    assert to_unit(value, "temperature", "degF") == pytest.approx(value, nan_ok=True)


@pytest.mark.parametrize("function", [convert, to_unit])
def test_unknown_unit_says_what_is_allowed(function):
    with pytest.raises(CaseError, match="length: no unit 'furlong'; allowed: mm, in, m, cm, um"):
        function(1.0, "length", "furlong")


@pytest.mark.parametrize(
    ("annotation", "dimension"),
    [
        (PositiveLength, "length"),
        (Angle | None, "angle"),
        (tuple[PositiveLength, PositiveLength] | PositiveLength, "length"),
        (Annotated[int, "no dimension"], None),
        (float, None),
        (Annotated[float, Dimension("force")], "force"),
    ],
)
def test_dimension_is_found_on_the_type(annotation, dimension):
    assert dimension_of(annotation) == dimension


def test_preferred_suffix_is_the_internal_or_trade_unit():
    assert [preferred_suffix(name) for name in ("length", "pressure", "volume", "angle")] == ["mm", "bar", "ml", "deg"]


# What people read -----------------------------------------------------------------------------------------------------

INCH = Units("psi", "in")


def test_a_reader_in_inches() -> None:
    """By hand: 6.2 bar / 0.06894757 bar a psi = 89.92; 1 mm = 0.03937 in; 1 in = 25.4 mm; 645.16 mm2 = 1 in2."""
    assert INCH.text(6.2, "bar") == "89.92 psi"
    assert INCH.text(0.62, "MPa") == "89.92 psi"
    assert INCH.text(1.0, "mm") == "0.03937 in"
    assert INCH.number(25.4, "mm") == 1.0
    assert INCH.number(645.16, "mm2") == pytest.approx(1.0, rel=1e-15)
    assert INCH.text(0.04, "") == "0.04"
    assert INCH.text(None, "bar") == "–"
    assert Units("kPa").text(150.0, "bar") == "15000 kPa"
    assert [INCH.unit(own) for own in ("bar", "MPa", "mm", "mm2", "ml", "")] == ["psi", "psi", "in", "in2", "ml", ""]


def test_what_is_recorded_is_read_to_the_last_bit() -> None:
    assert [RECORDED.number(value, "bar") for value in (6.2, 0.1 + 0.2, 7.433123)] == [6.2, 0.1 + 0.2, 7.433123]


def test_names_that_end_in_a_unit() -> None:
    assert INCH.quantity("GMNA.limit_pressure_bar") == "GMNA.limit_pressure_psi"
    assert INCH.quantity("shape.gauge_mm") == "shape.gauge_in"
    assert INCH.quantity("GMNA.bifurcation_wave_number") == "GMNA.bifurcation_wave_number"
    assert INCH.of_quantity("growth_mm", 2.54) == pytest.approx(0.1, rel=1e-15)
    assert INCH.of_quantity("mass_g", 4.2) == 4.2


def test_quantities_in_a_text_change_their_unit_and_nothing_else_does() -> None:
    """Pressures in four digits, movements to the micron; brackets that hold no quantity are a reader's own."""
    text = f"a limit at {pressure_text(0.62)} is passed [3 of 4], the body moves {length_text(1.0)} [5 bolts]"
    assert text == "a limit at [6.2 bar] is passed [3 of 4], the body moves [1 mm] [5 bolts]"
    assert INCH.words(text) == "a limit at 89.92 psi is passed [3 of 4], the body moves 0.03937 in [5 bolts]"
    assert plain(text) == "a limit at 6.2 bar is passed [3 of 4], the body moves 1.000 mm [5 bolts]"
    assert RECORDED.words(text) == plain(text)
    assert str(SolveError(text, "less")) == f"{plain(text)}; try: less"
