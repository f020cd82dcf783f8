"""Values at normal scores: each law's own quantiles, correlations of the scores, and the ends of what was measured."""

import numpy as np
import pytest
from scipy import stats

from buckle.case.tolerances import Tolerance
from buckle.study.scores import scatter_of, score_of, share_of, values_at

SHARES = np.array([1e-6, 1e-3, 0.1, 0.5, 0.7, 0.99, 1.0 - 1e-6])
Z = stats.norm.ppf(SHARES)


@pytest.mark.parametrize(
    ("tolerance", "law"),
    [
        (Tolerance("k", 1.0, 0.3, 0.3, "normal", 1.0, 0.1), stats.norm(1.0, 0.1)),
        (Tolerance("k", 1.0, 0.3, 0.3, "uniform"), stats.uniform(0.7, 0.6)),
        (Tolerance("k", 1.0, 0.1, 0.3, "triangular"), stats.triang(0.25, 0.9, 0.4)),
        (Tolerance("k", 1.0, 0.0, 0.3, "triangular"), stats.triang(0.0, 1.0, 0.3)),
        (Tolerance("k", 1.0, 0.1, 0.2, "truncated", 1.0, 0.1), stats.truncnorm(-1.0, 2.0, 1.0, 0.1)),
    ],
)
def test_the_quantiles_of_a_law(tolerance, law):
    """Against scipy's own, to round-off of the tails: 1 - 1e-6 has ten digits of its complement."""
    assert values_at(tolerance, Z) == pytest.approx(law.ppf(SHARES), rel=1e-7)


def test_a_lognormal_law_has_its_mean_and_deviation():
    """By a fine sum over equal shares; the outermost of 200,001 cut 1e-5 of the deviation off."""
    shares = (np.arange(200_001) + 0.5) / 200_001
    found = values_at(Tolerance("k", 2.0, 0.9, 0.9, "lognormal", 2.0, 0.3), stats.norm.ppf(shares))
    assert found.mean() == pytest.approx(2.0, rel=1e-5)
    assert found.std() == pytest.approx(0.3, rel=1e-3)


def test_measured_values_end_where_they_end():
    tolerance = Tolerance("k", 2.0, 1.0, 1.0, "measured", sample=(3.0, 1.0, 2.0, 2.5, 1.5))
    assert values_at(tolerance, np.array([-9.0, 0.0, 9.0])) == pytest.approx([1.0, 2.0, 3.0])


def test_correlated_scores():
    """20,000 samples know a correlation to 0.004 at most; four times that."""
    known = [Tolerance(key, 1.0, 0.3, 0.3, "normal", 1.0, 0.1) for key in ("a", "b")]
    scatter = scatter_of(known, np.array([[1.0, 0.6], [0.6, 1.0]]))
    values = scatter.values(np.random.default_rng(95).standard_normal((20_000, 2)))
    assert np.corrcoef(values.T)[0, 1] == pytest.approx(0.6, abs=0.018)
    assert list(scatter.inputs(np.zeros((1, 2)))[0]) == ["a", "b"]


def test_shares_and_scores():
    assert score_of(share_of(4.75)) == pytest.approx(4.75)
    assert share_of(3.0) == pytest.approx(1.349898e-3, rel=1e-6)  # any table of the normal law
    assert share_of(float("inf")) == 0.0
