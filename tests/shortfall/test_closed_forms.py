"""Distributions known exactly: a sphere and a cylinder whose pressures go with the square of the thickness."""

import math

import numpy as np
import pytest
from scipy.stats import lognorm, norm

from buckle.case.tolerances import Tolerance
from buckle.shortfall.distribution import SHARES, Effort, distribution
from buckle.study.scores import Scatter, scatter_of

MANY = Effort(plain=200_000, weighted=1_000_000, seed=20261)
"""Formulas cost nothing: at 1e-4 of a million weighted samples the share is known to some 0.4 %."""


def lognormal(key, mean, deviation):
    return Tolerance(key, mean, 3 * deviation, 3 * deviation, "lognormal", mean, deviation)


def normal(key, mean, deviation):
    return Tolerance(key, mean, 3 * deviation, 3 * deviation, "normal", mean, deviation)


def asked_of(scatter: Scatter, pressure, demand, effort=MANY):
    """The distribution of pressure / demand, the pressure a function of the values."""

    def reserves(u):
        return pressure(*scatter.values(u).T)[:, None] / demand

    return distribution(reserves, ["buckling"], len(scatter.keys), 1.0, effort, difference=0.05)


def sphere(t, modulus=69e3, radius=40.0, ratio=0.33):
    """R. Zoelly 1915 (from memory): 2 E t^2 / (R^2 sqrt(3 (1 - nu^2)))."""
    return 2.0 * modulus * t**2 / (radius**2 * math.sqrt(3.0 * (1.0 - ratio**2)))


@pytest.mark.slow
@pytest.mark.study
def test_a_sphere_with_a_normal_thickness():
    """p ~ t^2 rises with t alone: the share short is Phi((t_d - mean) / deviation), t_d where p is the demand."""
    mean, deviation, share = 0.25, 0.004, 1e-4
    limit = mean + deviation * norm.ppf(share)
    made = asked_of(scatter_of([normal("t", mean, deviation)], np.eye(1)), sphere, sphere(limit))
    assert made.first_share == pytest.approx(share, rel=0.01)
    assert made.second_share == made.first_share  # one score: nothing to bend along
    assert made.weighted_share.value == pytest.approx(share, rel=0.01)
    assert made.weighted_share.low <= share <= made.weighted_share.high
    assert made.plain_share.low <= share <= made.plain_share.high
    for level, first, each in zip(made.levels(made.weighted), made.first_levels, SHARES, strict=True):
        exact = sphere(mean + deviation * norm.ppf(each)) / sphere(limit)
        assert first == pytest.approx(exact, rel=1e-3)
        assert level.low <= exact <= level.high
    assert made.disagreements == []


@pytest.mark.slow
@pytest.mark.study
def test_a_cylinder_with_lognormal_thickness_radius_and_modulus():
    """p ~ E t^2 / R is lognormal: its logarithm is normal with the variances of the parts added, correlated or not."""
    t, radius, modulus = lognormal("t", 0.1, 0.002), lognormal("radius", 29.0, 0.3), lognormal("modulus", 69e3, 2e3)
    correlation = np.array([[1.0, 0.4, 0.0], [0.4, 1.0, 0.0], [0.0, 0.0, 1.0]])
    s = [math.sqrt(math.log1p((each.standard_deviation / each.mean) ** 2)) for each in (t, radius, modulus)]
    middles = [math.log(each.mean) - 0.5 * one**2 for each, one in zip((t, radius, modulus), s, strict=True)]
    weights = np.array([2.0 * s[0], -s[1], s[2]])
    spread = math.sqrt(weights @ correlation @ weights)
    middle = 2.0 * middles[0] - middles[1] + middles[2]
    exact = lognorm(s=spread, scale=math.exp(middle))

    def pressure(t, radius, modulus):
        return modulus * t**2 / radius

    share = 1e-4
    made = asked_of(scatter_of([t, radius, modulus], correlation), pressure, float(exact.ppf(share)))
    assert made.first_share == pytest.approx(share, rel=0.01)  # a plane in the scores: exact
    assert made.second_share == pytest.approx(share, rel=0.01)
    assert made.curved[0].curvatures == pytest.approx([0.0, 0.0], abs=1e-3)
    assert made.weighted_share.low <= share <= made.weighted_share.high
    assert made.weighted_share.value == pytest.approx(share, rel=0.01)
    assert made.plain_share.low <= share <= made.plain_share.high
    for level, first, each in zip(made.levels(made.weighted), made.first_levels, SHARES, strict=True):
        known = float(exact.ppf(each)) / float(exact.ppf(share))
        assert first == pytest.approx(known, rel=2e-3)
        assert level.low <= known <= level.high
    assert made.disagreements == []
