"""Derivatives of what is met on a path: limits, stops, and movements at a load."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.sensitivity.columns import Columns
from buckle.sensitivity.march import Link, StateRates, shifted
from buckle.sensitivity.slopes import Slopes, smooth
from buckle.sensitivity.variants import Body
from buckle.shell.operators import Evaluation
from buckle.solve.path import PathPoint

Array = NDArray[np.float64]
Read = Callable[[Body, Evaluation], float]
"""What is read off a state of a body."""
STEP = 1e-3  # of the last step: over which something is read off states on it


@dataclass(frozen=True, eq=False)
class Reading:
    """Something that is read off a state of a body, as the body and the state are changed."""

    body: Body
    columns: Columns
    read: Read

    def slopes(self, at: Evaluation, rates: StateRates) -> Slopes:
        """Derivatives of it at a state by all numbers, the state changing with them."""
        middle = self.read(self.body, at)
        pairs = []
        for column, variant in enumerate(self.columns.variants):
            step = variant.neighbours.step
            low, high = (shifted(at, rates, column, sign * step) for sign in (-1.0, 1.0))
            below = np.nan if variant.below is None else (middle - self.read(variant.below, low)) / step
            above = np.nan if variant.above is None else (self.read(variant.above, high) - middle) / step
            pairs.append((below, above))
        left, right = np.array(pairs).T
        return Slopes(middle, left, right)

    def onward(self, at: Evaluation, rates: StateRates, step: float) -> float:
        """Derivative of it by the length of the last step."""
        low, high = (shifted(at, rates, -1, sign * step) for sign in (-1.0, 1.0))
        return (self.read(self.body, high) - self.read(self.body, low)) / (2.0 * step)


def limit_slopes(point: PathPoint, rates: StateRates) -> Slopes:
    """Derivatives of the load at a limit.

    Moving along the path changes the load only to second order there: its derivative at a fixed distance is that of the
    limit.
    """
    return smooth(point.load_factor, rates.load[:-1])


def stop_slopes(point: PathPoint, link: Link, rates: StateRates, reading: Reading) -> Slopes:
    """Derivatives of the load at which something that is read off the states of a path becomes nil."""
    read, onward = reading.slopes(point.at, rates), reading.onward(point.at, rates, STEP * link.step)
    along = rates.load[-1] / onward
    return Slopes(point.load_factor, rates.load[:-1] - along * read.left, rates.load[:-1] - along * read.right)


def like(point: PathPoint, at: Evaluation) -> PathPoint:
    """Return a point with another state, for what is read off points."""
    return replace(point, at=at)
