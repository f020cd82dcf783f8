"""What a container gains in volume along a path of its body, and the demand when it does."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.demand.conditions import Demand

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class PathSwelling:
    """Volume gained [mm3] against gauge pressure [MPa] on the rising path of a body, by a kind of analysis.

    Straight lines between its states; beyond the highest pressure, and under outside pressure, nothing more is gained.
    """

    kind: str
    pressure: Array  # (states,) [MPa], rising from 0
    volume: Array  # (states,) [mm3]
    closed_at: float = 0.0

    def __call__(self, gauge: float) -> float:
        """Return the volume gained over that at closing [mm3]."""
        low, high = np.interp([self.closed_at, gauge], self.pressure, self.volume)
        return float(high - low)


@dataclass(frozen=True, eq=False)
class Swelled:
    """A demand whose container gives way by a path, what it gains there [mm3], and the demand of a rigid one [MPa]."""

    demand: Demand
    swelling: PathSwelling
    rigid: float

    @property
    def gained(self) -> float:
        """Volume gained in the governing condition [mm3]."""
        return self.demand.governing.state.swelling

    @property
    def compliance(self) -> float:
        """Volume gained over the pressure gained since closing, in the governing condition [mm3/MPa]."""
        rise = self.demand.governing.state.gauge - self.swelling.closed_at
        return self.gained / rise if rise > 0.0 else 0.0
