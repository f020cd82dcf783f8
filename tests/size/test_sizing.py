"""The lightest of bodies whose answer is known, and everything that is not smooth about a reserve."""

import math
from dataclasses import replace
from types import SimpleNamespace

import pytest
from scipy.stats import norm

from buckle.case.models import SizeTable
from buckle.case.tolerances import Tolerance
from buckle.errors import CaseError, SolveError
from buckle.size.front import front_of
from buckle.size.neighbourhood import checked
from buckle.size.problem import Problem, bounds_of
from buckle.size.sizing import size_design
from buckle.size.variable import Variable
from tests.size.designs import Bodies

CLOSE = 2e-3
"""Of what is least: half a per cent is promised; five digits, the margin of 5e-4 and the slack take some of it."""
ROOT = math.sqrt(2.5)
LEAST = 0.25 / ROOT + 0.1 * (ROOT - 1.0)
"""Mass t + 0.1 h with 4 t (1 + h) = 1: least where (1 + h)^2 = 2.5; worked by hand."""


def problem(starts=2, **table):
    asked = SizeTable(vary={}, starts=starts, **table)
    variables = (Variable("t", 0.4, 0.05, 0.5), Variable("h", 0.2, 0.0, 1.0))
    return Problem(variables, asked, asked.reserve_factor, lower_counts=False)


def mass(inputs):
    return inputs["t"] + 0.1 * inputs["h"]


def capacity(inputs):
    return 4.0 * inputs["t"] * (1.0 + inputs["h"])


def sized(reserves, known=(), **table):
    return size_design(Bodies(reserves, mass, known), problem(**table))


def test_the_lightest_and_its_price():
    """With R asked t = R / (4 (1 + h)): one unit of reserve costs 1 / (4 sqrt(2.5)), and the demand is 1."""
    found = sized(lambda x: {"axisymmetric_capacity": capacity(x)})
    assert found.holds
    assert found.visit.objective == pytest.approx(LEAST, rel=CLOSE)
    assert found.values["h"] == pytest.approx(ROOT - 1.0, abs=0.03)  # flat there: 0.03 of h are 4e-4 of the mass
    assert found.prices.requirements["axisymmetric_capacity"] == pytest.approx(0.25 / ROOT, rel=0.02)
    assert found.prices.bounds == {}
    assert found.prices.unexplained < 0.05


def test_a_bound_has_a_price():
    """t can be no less than 0.2: then h = 0.25, and a lower t would gain 1 - 0.1 / (4 t^2), 0.375 a unit of t."""
    body = Bodies(lambda x: {"axisymmetric_capacity": capacity(x)}, mass)
    asked = SizeTable(vary={}, starts=1)
    variables = (Variable("t", 0.4, 0.2, 0.5), Variable("h", 0.2, 0.0, 1.0))
    found = size_design(body, Problem(variables, asked, 1.0, lower_counts=False))
    assert found.values["t"] == pytest.approx(0.2, abs=1e-4)
    assert found.values["h"] == pytest.approx(0.25, abs=2e-3)
    assert found.prices.bounds["t"] / 0.3 == pytest.approx(0.375, rel=0.03)


def test_a_mode_that_switches_is_a_kink():
    """Beyond h = 0.4 another mode takes over, which h weakens: the lightest lies on the kink, t = 1 / 5.6."""

    def reserves(x):
        return {"axisymmetric_capacity": min(capacity(x), 4.0 * x["t"] * (1.8 - x["h"]))}

    found = sized(reserves)
    assert found.holds
    assert found.visit.objective == pytest.approx(1.0 / 5.6 + 0.04, rel=5e-3)


def test_growth_overtakes_reversal():
    """Growth asks 12 t^1.5 of the gauge alone: t = 12**(-2/3) = 0.1908, where reversal still needs h = 0.310."""
    found = sized(lambda x: {"axisymmetric_capacity": capacity(x), "growth_under_pressure": 12.0 * x["t"] ** 1.5})
    t = 12.0 ** (-2.0 / 3.0)
    assert found.holds
    assert found.visit.objective == pytest.approx(t + 0.1 * (0.25 / t - 1.0), rel=CLOSE)
    assert set(found.prices.requirements) == {"axisymmetric_capacity", "growth_under_pressure"}


def test_an_onset_that_vanishes():
    """Waves begin below the capacity where h < 0.7 and nowhere beyond: the way past them is lighter by nothing."""

    def reserves(x):
        found = {"axisymmetric_capacity": capacity(x)}
        onset = capacity(x) * (0.3 + x["h"])
        return found | ({"onset_of_waves": onset} if x["h"] < 0.7 else {})

    found = sized(reserves, starts=3)
    assert found.holds
    assert found.values["h"] == pytest.approx(0.7, abs=0.02)
    assert found.visit.objective == pytest.approx(0.25 / 1.7 + 0.07, rel=5e-3)


def test_shapes_that_stop_closing():
    """Nothing closes beyond h = 0.4, short of the valley: the lightest lies at that edge."""

    def reserves(x):
        return CaseError("shape.h: does not close") if x["h"] > 0.4 else {"axisymmetric_capacity": capacity(x)}

    found = sized(reserves, starts=4)
    assert found.holds
    assert found.values["h"] <= 0.4
    assert found.visit.objective == pytest.approx(1.0 / 5.6 + 0.04, rel=5e-3)


def test_a_limit_that_vanishes_and_an_analysis_that_stops():
    """Where t > 0.3 the path breaks off without a capacity: such designs count for nothing, and the way leads past."""

    def reserves(x):
        return "the path broke off" if x["t"] > 0.3 else {"axisymmetric_capacity": capacity(x)}

    assert sized(reserves, starts=4).visit.objective == pytest.approx(LEAST, rel=CLOSE)


def test_no_design_meets_it():
    with pytest.raises(SolveError, match=r"nearest lacks 20 % of axisymmetric capacity, at t = 0\.5, h = 1"):
        sized(lambda x: {"axisymmetric_capacity": 0.2 * capacity(x)})


def test_a_reserve_of_more_than_one():
    """t as R: 1.2 t' of the lightest at one, and the same h shifted: least of R/(4(1+h)) + 0.1 h is 0.1 (2 s - 1)."""
    s = math.sqrt(0.25 * 1.2 / 0.1)
    found = sized(lambda x: {"axisymmetric_capacity": capacity(x)}, reserve_factor=1.2)
    assert found.visit.objective == pytest.approx(0.1 * (2.0 * s - 1.0), rel=CLOSE)


@pytest.mark.parametrize("more", [0.01, 0.002])
def test_tolerances_at_their_worst(more):
    """t may be 0.01 less: the nominal one is 0.01 more, and no h else, however much more it may be; worked by hand."""
    off = Tolerance("t", 0.4, 0.01, more)
    found = sized(lambda x: {"axisymmetric_capacity": capacity(x)}, [off], tolerances="worst")
    assert found.holds
    assert found.visit.objective == pytest.approx(LEAST + 0.01, rel=CLOSE)


@pytest.mark.parametrize("thinner", [0.0, 0.005])
def test_tolerances_at_a_share(thinner):
    """1 in 1000 may fall short of a normal t with 0.004: z = 3.09 of them is what it must have more, and its offset."""
    off = Tolerance("t", 0.4, 0.012 + thinner, 0.012 - thinner, "normal", 0.4 - thinner, 0.004)
    found = sized(lambda x: {"axisymmetric_capacity": capacity(x)}, [off], tolerances=0.001)
    assert found.visit.objective == pytest.approx(LEAST + thinner + 0.004 * norm.ppf(0.999), rel=5e-3)  # as promised
    short = norm.cdf((1.0 / (4.0 * (1.0 + found.values["h"])) - found.values["t"] + thinner) / 0.004)
    assert short <= 0.001


def test_tolerances_that_are_not_there():
    with pytest.raises(CaseError, match="tolerances: missing"):
        sized(lambda x: {"axisymmetric_capacity": capacity(x)}, tolerances="worst")
    with pytest.raises(CaseError, match="has no law"):
        sized(lambda x: {"axisymmetric_capacity": capacity(x)}, [Tolerance("t", 0.4, 0.01, 0.01)], tolerances=0.01)


def test_the_neighbourhood_tells_a_best_from_another():
    """None of 256 about the lightest is lighter and holds; about one that is not the lightest some are."""
    body = Bodies(lambda x: {"axisymmetric_capacity": capacity(x)}, mass)
    found = size_design(body, problem())
    assert checked(body, found, 256).better == ()
    narrow = (Variable("t", 0.4, 0.05, 0.5), Variable("h", 0.0, 0.0, 1e-6))
    worse = size_design(body, replace(found.problem, variables=narrow))
    elsewhere = replace(worse, problem=found.problem)
    assert len(checked(body, elsewhere, 256).better) > 5


def test_the_front_of_mass_against_reserve():
    """0.1 (2 sqrt(2.5 R) - 1) is the least mass for a reserve factor R; worked by hand."""
    body = Bodies(lambda x: {"axisymmetric_capacity": capacity(x)}, mass)
    found = front_of(body, size_design(body, problem()), 5)
    assert [each.number for each in found] == [1, 2, 3, 4, 5]
    assert [each.asked for each in found] == pytest.approx([1.0, 1.0625, 1.125, 1.1875, 1.25])
    for each in found:
        assert each.holds
        assert each.visit.objective == pytest.approx(0.1 * (2.0 * math.sqrt(2.5 * each.asked) - 1.0), rel=CLOSE)
        assert set(each.inputs) == {"t", "h"}


def test_the_front_of_mass_against_growth():
    """12 t^1.5 must be 1 / g: t = (12 g)**(-2/3), h what reversal needs; a design carries what it was asked."""

    def reserves(x):
        allowed = x.get("requirements.growth_mm", 1.0)
        return {"axisymmetric_capacity": capacity(x), "growth_under_pressure": 12.0 * x["t"] ** 1.5 * allowed}

    body = Bodies(reserves, mass, growth=1.0)
    found = front_of(body, size_design(body, problem()), 3)
    growths = [each for each in found if each.growth < 1.0]
    assert [each.growth for each in growths] == [0.75, 0.5]
    for each in growths:
        t = (12.0 * each.growth) ** (-2.0 / 3.0)
        assert each.visit.objective == pytest.approx(t + 0.1 * max(0.0, 0.25 / t - 1.0), rel=CLOSE)
        assert each.inputs["requirements.growth_mm"] == each.growth


def test_bounds_of_a_key():
    case = SimpleNamespace(size=SizeTable(vary={"shape.gauge_mm": [0.2, 0.3], "shape": {"dome_depth_mm": [9, 10]}}))
    assert bounds_of(case, "shape.gauge_mm") == (0.2, 0.3)
    assert bounds_of(case, "shape.dome_depth_mm") == (9.0, 10.0)
    assert bounds_of(case, "shape.heel_radius_mm") is None
    assert bounds_of(SimpleNamespace(size=None), "shape.gauge_mm") is None
