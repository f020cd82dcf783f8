"""Finite-element values stored by the study of the rolling formula, computed again for one body in fifty."""

import math

import pytest

import buckle
from scripts.study.rolling.bodies import feasible
from scripts.study.rolling.table import read_table


@pytest.mark.slow
@pytest.mark.parametrize("what", ["bases", "ends"])
def test_stored_limits_are_those_of_the_engine(what: str):
    """0.5 %: the tables are written at most once a release, and paths may be stepped differently meanwhile."""
    for (_, _, case), row in list(zip(feasible(what, 300), read_table(what), strict=True))[::50]:
        found = buckle.run(case, "GMNA", estimate_error=False, lower_bracket=False, pictures=False).axisymmetric
        assert (found.pressure if found else math.nan) == pytest.approx(row["computed_MPa"], rel=5e-3, nan_ok=True)
