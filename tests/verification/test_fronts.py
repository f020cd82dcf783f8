"""Shares of layer cells beyond a front: those of a straight front by a count of small places."""

import numpy as np
import pytest

from buckle.shell.fronts import cells_of

S = np.array([0.1, 0.45, 0.8, 1.3, 1.7])
LENGTH = np.array([0.3, 0.35, 0.4, 0.45, 0.4])
XI, WEIGHT = np.polynomial.legendre.leggauss(6)


def level(s: np.ndarray, xi: np.ndarray) -> np.ndarray:
    """Positive above a line across the wall that leans along the meridian."""
    return xi - 1.7 * (s - 0.9)


def test_shares_of_a_straight_front() -> None:
    cells = cells_of(S, LENGTH, (XI, WEIGHT))
    share = cells.share_beyond(level(S[:, None], XI))
    edges_s, edges_xi = np.append(0.0, np.cumsum(LENGTH)), np.append(0.0, np.cumsum(WEIGHT)) - 1.0
    fine = (np.arange(400) + 0.5) / 400
    for i, length in enumerate(LENGTH):
        for k, weight in enumerate(WEIGHT):
            inside = level((edges_s[i] + length * fine)[:, None], edges_xi[k] + weight * fine) > 0.0
            assert share[i, k] == pytest.approx(inside.mean(), abs=0.03)  # four places along, exact through the wall
    assert np.sum(share * LENGTH[:, None] * WEIGHT) == pytest.approx(1.8, rel=1e-3)  # its area, by hand


def test_a_front_that_moves_on_changes_shares_without_a_jump() -> None:
    cells = cells_of(S, LENGTH, (XI, WEIGHT))
    moves = np.linspace(-0.3, 0.3, 301)
    total = [np.sum(cells.share_beyond(level(S[:, None], XI) + move) * WEIGHT) for move in moves]
    assert np.all(np.diff(total) >= 0.0)
    assert np.max(np.diff(total)) < 3.0 * np.mean(np.diff(total))


@pytest.mark.parametrize(("value", "share"), [(1.0, 1.0), (-1.0, 0.0), (0.0, 0.0)])
def test_where_there_is_no_front(value: float, share: float) -> None:
    cells = cells_of(S, LENGTH, (XI, WEIGHT))
    assert np.all(cells.share_beyond(np.full((5, 6), value)) == pytest.approx(share))
