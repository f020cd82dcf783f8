"""What a sample knows and what it does not: intervals, and no number where there is none."""

import math

import numpy as np
import pytest

from buckle.shortfall.distribution import Effort, distribution
from buckle.shortfall.first_order import gradient
from buckle.shortfall.sampling import Sample, mixed_scores
from buckle.shortfall.words import interval, ppm, sentence


def sample(reserves, weights=None):
    return Sample(np.zeros((len(reserves), 1)), np.array(reserves, dtype=float), weights)


def test_none_of_a_hundred_is_not_nothing():
    """Clopper and Pearson: 1 - 0.025**(1/100) = 3.62 % may still fall short; worked by hand."""
    share = sample(np.linspace(1.01, 1.3, 100)).share_below(1.0)
    assert (share.value, share.low) == (0.0, 0.0)
    assert share.high == pytest.approx(1.0 - 0.025**0.01)
    assert interval(share) == "none of the samples (up to 3.62 %)"


def test_a_level_that_a_sample_cannot_reach_has_no_low_end():
    found = sample(np.linspace(1.01, 1.3, 100)).level(1e-3)
    assert found.low == -math.inf


def test_a_level_in_the_middle():
    """Of 10,000 even ones a tenth lies below 0.1, known to 1.96 sqrt(0.09 / 10,000) = 0.0059."""
    found = sample((np.arange(10_000) + 0.5) / 10_000).level(0.1)
    assert found.value == pytest.approx(0.1, abs=1e-4)
    assert found.low == pytest.approx(0.0941, abs=2e-4)
    assert found.high == pytest.approx(0.1059, abs=2e-4)


def test_a_design_without_a_reserve_falls_short():
    assert sample([-math.inf, 1.2, 1.3, 1.4]).share_below(1.0).value == 0.25


def test_weights_make_up_for_where_samples_were_taken():
    """The share of a normal score below -3 is 1.3499e-3; about -3 half of the samples are there."""
    u, weights = mixed_scores([np.array([-3.0]), np.array([0.0])], 40_000, 95)
    found = sample(u[:, 0], weights).share_below(-3.0)
    assert found.low <= 1.349898e-3 <= found.high
    assert found.value == pytest.approx(1.349898e-3, rel=0.03)  # 1 % is one standard error
    assert weights.mean() == pytest.approx(1.0, abs=0.02)


def test_words():
    assert [ppm(share) for share in (1e-12, 3.4e-6, 2.5e-3, 0.2)] == [
        "less than 0.001 ppm",
        "3.4 ppm",
        "0.25 %",
        "20 %",
    ]


def test_one_sample_tells_no_scatter():
    """Neither is a warning of numpy's: a share of one weighted sample may be anything, and a deviation is none."""
    one = Sample(np.zeros((1, 1)), np.array([0.9]), np.array([2.0]))
    assert (one.share_below(1.0).low, one.share_below(1.0).high) == (0.0, 1.0)
    assert math.isnan(sample([1.1]).deviation)
    assert math.isnan(sample([-math.inf]).mean)


def test_no_share_is_above_all():
    """None of three weighted samples fell short; a weight of 12 leaves room for all, and not for more than all."""
    few = Sample(np.zeros((3, 1)), np.array([1.1, 1.2, 1.3]), np.array([12.0, 0.5, 0.1]))
    assert few.share_below(1.0).high == 1.0


def test_derivatives_where_designs_have_no_reserve():
    """To one side where the other has none; no derivative where neither has one, or the middle has not."""

    def reserve(u):
        return np.where(u[:, 0] > 0.1, -np.inf, np.where(np.abs(u[:, 1]) > 0.1, -np.inf, 1.0 - 0.03 * u[:, 0]))

    assert gradient(reserve, np.zeros(2)) == pytest.approx([-0.03, 0.0])
    assert gradient(reserve, np.array([0.2, 0.0])) == pytest.approx([0.0, 0.0])


def test_where_half_of_all_designs_have_no_reserve():
    """Numbers and no warnings: a fourth has no score above 0.674, and all that have a reserve meet what is asked."""

    def reserves(u):
        return np.where(u[:, :1] > 0.674, -np.inf, 1.2 + 0.01 * u[:, :1])

    made = distribution(reserves, ["capacity"], 1, 1.0, Effort(4000, 2000, 3))
    assert made.plain_share.low < 0.25 < made.plain_share.high
    assert made.weighted_share.low < 0.25 < made.weighted_share.high
    assert not made.points[0].found
    assert made.second_share is None
    assert "no value" in sentence(made)
