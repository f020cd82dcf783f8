"""One variable: roots that are known, and everything that a reserve may do instead of passing through one."""

import math

import pytest

from buckle.errors import CaseError
from buckle.size.answer import notes, why_none
from buckle.size.one import scan
from buckle.size.variable import Variable
from tests.size.designs import Given

GAUGE = Variable("shape.gauge_mm", 0.3, 0.1, 0.5)


def looked(of, asked=1.0, variable=GAUGE):
    return scan(Given(of), variable, asked)


def test_a_root_is_found_on_the_side_that_holds():
    """Reserve 10 t**1.5: 1 at t = 0.1 * 10**(1/3) = 0.215443...; five digits, rounded up."""
    found = looked(lambda t: {"axisymmetric_capacity": 10.0 * t**1.5})
    assert found.answer.value == pytest.approx(0.21545, abs=1e-9)
    assert found.answer.trial.least >= 1.0
    assert found.answer.holds_above
    assert found.holds_to(found.answer) == 0.5


def test_a_reserve_that_falls_is_rounded_down():
    """Reserve 0.25 / t: 1 at 0.25, and at 0.24999 it holds still."""
    found = looked(lambda t: {"axisymmetric_capacity": 0.2500049 / t})
    assert found.answer.value == 0.25
    assert not found.answer.holds_above


def test_whatever_governs_counts():
    """Growth overtakes reversal at 0.3: below it governs, and the answer is growth's, 0.2 + 0.02."""
    found = looked(lambda t: {"axisymmetric_capacity": t / 0.21, "growth_under_pressure": (t - 0.11) / 0.11})
    assert found.answer.value == pytest.approx(0.22, abs=1e-5)
    assert found.answer.trial.least_of == "growth_under_pressure"


def test_there_and_back_again_has_two_answers():
    """1 + 0.1 - 10 (t - 0.3)**2 / ... : holds between 0.2 and 0.4, the nearer one to the case's value first."""
    found = looked(
        lambda t: {"axisymmetric_capacity": 1.0 + 10.0 * (0.01 - (t - 0.3) ** 2)},
        variable=Variable("k", 0.45, 0.1, 0.5),
    )
    assert found.answer.value == pytest.approx(0.4, abs=2e-5)
    assert not found.answer.holds_above
    assert found.holds_to(found.answer) == pytest.approx(0.2, abs=2e-5)
    assert "another answer is 0.2" in " ".join(notes(found, found.answer))


def test_a_jump_is_said_and_the_side_that_holds_is_given():
    """A mode that switches on at 0.2345 takes 0.4 off at once."""
    found = looked(lambda t: {"axisymmetric_capacity": 1.2 if t >= 0.2345 else 0.8})
    assert found.answer.value == pytest.approx(0.2345, abs=2e-5)
    assert found.answer.trial.least == 1.2
    assert "jumps there, from 0.8" in " ".join(notes(found, found.answer))


def test_an_onset_that_vanishes_leaves_no_gap():
    """Above 0.3 no onset is met, below it governs: no gap, since a path without onset has at least its capacity."""

    def of(t):
        capacity = {"axisymmetric_capacity": 4.0 * t}
        return capacity if t > 0.3 else capacity | {"onset_of_waves": 3.9 * t}

    found = looked(of)
    assert found.answer.value == pytest.approx(1.0 / 3.9, abs=1e-5)


def test_shapes_that_stop_closing_end_the_search():
    """Nothing closes above 0.31, and the reserve is 1 at 0.307, between the last point of the grid and the edge."""

    def of(t):
        return CaseError("shape.gauge_mm: does not close") if t > 0.31 else {"axisymmetric_capacity": t / 0.307}

    found = looked(of)
    assert found.answer.value == pytest.approx(0.307, abs=1e-5)
    assert "no case can be made (shape.gauge_mm: does not close)" in " ".join(notes(found, found.answer))
    found = looked(of, asked=1.5)
    assert found.answer is None
    assert "is reached nowhere between 0.1 mm and 0.5 mm: the highest is 1.01 at 0.30997 mm" in why_none(found)


def test_no_answer_where_all_hold():
    found = looked(lambda t: {"axisymmetric_capacity": 2.0 + t})
    assert found.answer is None
    assert "above 1 everywhere between 0.1 mm and 0.5 mm: the least is 2.1 at 0.1 mm" in why_none(found)


def test_an_analysis_that_stops_on_the_way_gives_no_answer():
    found = looked(lambda t: "the path broke off" if 0.24 < t < 0.3 else {"axisymmetric_capacity": t / 0.27})
    assert found.answer is None
    assert "of which one holds, there is no reserve: the path broke off" in why_none(found)


def test_an_answer_beside_values_without_a_reserve_is_found():
    """Nothing is known from 0.24 to 0.27, and the reserve is 1 at 0.28, short of the next point of the grid."""
    found = looked(lambda t: "the path broke off" if 0.24 < t < 0.27 else {"axisymmetric_capacity": t / 0.28})
    assert found.answer.value == pytest.approx(0.28, abs=1e-5)


def test_nothing_but_failures():
    found = looked(lambda t: "the path broke off")
    assert why_none(found) == "no design between 0.1 mm and 0.5 mm has a reserve: the path broke off"


def test_scatter_about_the_answer_ends_on_a_value_that_holds():
    """A saw of 1e-4 over a slope: whatever tooth is hit, the value that is given holds."""
    found = looked(lambda t: {"axisymmetric_capacity": t / 0.25 + 1e-4 * math.sin(4e4 * t)})
    assert found.answer.trial.least >= 1.0
    assert found.answer.value == pytest.approx(0.25, abs=1e-4)
