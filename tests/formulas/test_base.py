"""How a formula is stated, called, refused and kept inside its range."""

import math
from typing import Annotated

import pytest
from annotated_types import Gt

from buckle.errors import CaseError
from buckle.formulas import capacity
from buckle.formulas.base import Argument, Interval, Quantity, Statement, Symbol, Worked, formula
from buckle.formulas.cylinder import buckling as cylinder
from buckle.formulas.sphere import perfect as sphere
from buckle.formulas.stand import rolling as stand
from buckle.units import PositiveLength
from tests.helpers.bodies import STAND

SPHERE = {"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.27}


@pytest.mark.parametrize(
    ("interval", "text"),
    [
        (Interval("R/t", 20.0, 3000.0), "20 <= R/t <= 3000"),
        (Interval("R/t", low=20.0), "20 <= R/t"),
        (Interval("R/t", high=3000.0), "R/t <= 3000"),
    ],
)
def test_interval_reads_as_an_inequality(interval, text):
    assert str(interval) == text


def test_interval_holds_its_ends_and_no_nan():
    interval = Interval("x", 1.0, 2.0)
    assert [interval.contains(x) for x in (0.999, 1.0, 2.0, 2.001, math.nan)] == [False, True, True, False, False]


def test_arguments_tell_symbol_dimension_unit_and_bounds():
    arguments = sphere.classical_pressure.arguments
    assert list(arguments) == list(SPHERE)
    assert arguments["radius"].symbol == "R"
    assert arguments["radius"].dimension == "length"
    assert arguments["radius"].unit == "mm"
    assert arguments["youngs_modulus"].unit == "MPa"
    assert arguments["poissons_ratio"].dimension is None
    assert [str(bound) for bound in arguments["poissons_ratio"].bounds] == [">= 0", "< 0.5"]
    assert arguments["radius"].default is None
    assert cylinder.long_tube_pressure.arguments["wave_number"].default == 2.0


def test_result_carries_what_a_reviewer_needs():
    result = sphere.classical_pressure(**SPHERE)
    assert result.in_range
    assert result.reason == ""
    assert [quantity.symbol for quantity in result.inputs] == ["E", "nu", "R", "t"]
    assert [quantity.unit for quantity in result.inputs] == ["MPa", "-", "mm", "mm"]
    assert result.number("R/t") == pytest.approx(45.7 / 0.27)
    assert result.validity == "20 <= R/t"
    assert result.unit == "MPa"
    with pytest.raises(KeyError):
        result.number("no such symbol")


def test_default_is_named_among_the_inputs():
    result = cylinder.long_tube_pressure(**SPHERE)
    assert result.inputs[-1] == Quantity("n", 2.0)


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("radius", math.nan),
        ("radius", math.inf),
        ("radius", -45.7),
        ("radius", 0.0),
        ("radius", 1e300),
        ("thickness", 1e-300),
        ("poissons_ratio", 0.5),
        ("poissons_ratio", -0.1),
        ("youngs_modulus", -1.0),
    ],
)
def test_unusable_number_is_refused_by_name(key, value):
    with pytest.raises(CaseError, match=rf"sphere\.classical_pressure: {key}: ") as caught:
        sphere.classical_pressure(**{**SPHERE, key: value})
    assert [(fault.key, fault.value) for fault in caught.value.faults] == [(key, pytest.approx(value, nan_ok=True))]


def test_all_unusable_numbers_are_named_at_once():
    with pytest.raises(CaseError) as caught:
        sphere.classical_pressure(**{**SPHERE, "radius": -1.0, "thickness": math.nan})
    assert [fault.key for fault in caught.value.faults] == ["radius", "thickness"]


def test_wave_number_must_be_whole():
    with pytest.raises(CaseError, match="a multiple of 1"):
        cylinder.long_tube_pressure(**SPHERE, wave_number=2.5)


def test_outside_its_range_a_formula_gives_a_reason_and_no_number():
    result = stand.base_rolling(**{**STAND, "thickness": 0.5})
    assert result.value is None
    assert not result.in_range
    assert "r/t = 48.26 is outside 62.1212 <= r/t <= 125" in result.reason
    assert "R/t = 91.4 is outside" in result.reason
    assert result.number("p_bending") > 0.0  # the steps stay visible


def test_range_on_an_argument_is_checked_too():
    result = stand.base_rolling(**{**STAND, "yield_stress": 450.0})
    assert result.value is None
    assert result.reason == "sigma_y = 450 is outside 230 <= sigma_y <= 320"


def test_capacity_curve_whose_parameters_cross_has_no_value():
    result = capacity.curve(
        elastic_pressure=1.0, plastic_pressure=2.0, alpha=0.001, beta=0.1, eta=1.0, squash_limit=0.2
    )
    assert result.value is None
    assert "lambda_p - lambda_0" in result.reason


def test_body_may_give_its_own_reason():
    statement = Statement("test.none", "mm", "y = x", "nowhere", "fit", "parameter", (), ("everything",))

    @formula(statement, example={"x": 1.0})
    def none(*, x: Annotated[PositiveLength, Symbol("x")]) -> Worked:
        """Nothing."""
        return Worked(None, reason="no value for a test")

    result = none(x=1.0)
    assert (result.value, result.reason, none.about) == (None, "no value for a test", "Nothing.")


def test_body_without_value_or_reason_is_a_bug():
    @formula(
        Statement("test.bug", "mm", "y = x", "nowhere", "fit", "parameter", (), ("everything",)), example={"x": 1.0}
    )
    def bug(*, x: Annotated[float, Symbol("x"), Gt(0.0)]) -> Worked:
        return Worked(math.nan)

    with pytest.raises(AssertionError):
        bug(x=1.0)


def test_argument_without_bounds_takes_zero():
    assert Argument("x", "x", None, "-", (), None).fault(0.0) is None
