"""Waves of several numbers in one body: which others they make, and what cannot be followed."""

import pytest

from buckle.analysis.together import beside
from buckle.errors import SolveError


def test_wave_numbers_make_their_sums_and_differences() -> None:
    """Of 15 and 18: 18 - 15, 2 15 - 18, 2 18 - 15, and sums by twos; by hand."""
    assert beside((15, 18)) == (3, 12, 15, 18, 21, 30, 33, 36)
    assert beside((18,)) == (18, 36)


def test_those_beside_each_other_would_make_a_wave_of_one() -> None:
    """It tilts an apex; without it the body would be held against it."""
    with pytest.raises(SolveError, match="n = 1"):
        beside((17, 18))
