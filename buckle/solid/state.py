"""States on the path of a solid, and the metric that lengths of the path are measured in.

Distance is measured where displacements (root mean square over the nodes, in half thicknesses) and pressure have slope
one where the path has been stiffest: the panel of an end is soft as a plate and stiff as a membrane, and measured by
its start alone all later steps would be steps of pressure.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.solid.history import History

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Metric:
    """Inner product of path directions: sum of weight x_i y_i + p q / scale^2."""

    weight: float
    scale: float  # [MPa]

    def dot(self, a: "Direction", b: "Direction") -> float:
        """Inner product of two directions."""
        return self.weight * float(np.dot(a.x, b.x)) + a.pressure * b.pressure / self.scale**2

    def length(self, a: "Direction") -> float:
        """Length of a direction."""
        return float(np.sqrt(self.dot(a, a)))


@dataclass(frozen=True, eq=False)
class Direction:
    """A direction, or a place, in displacements and pressure."""

    x: Array  # (size,) [mm]
    pressure: float

    def times(self, factor: float) -> "Direction":
        """Return factor * self."""
        return Direction(factor * self.x, factor * self.pressure)

    def plus(self, share: float, other: "Direction") -> "Direction":
        """Return self + share * other."""
        return Direction(self.x + share * other.x, self.pressure + share * other.pressure)


@dataclass(frozen=True, eq=False)
class State:
    """A state in equilibrium on the path, and what the next step needs to know of the path behind it.

    Lengths are in the metric of the step that led here; `measured` gives the state in that of the next one.
    """

    at: Direction  # displacements (size,) [mm] and pressure [MPa]
    onward: Direction  # unit tangent
    bend: Direction  # change of the tangent per unit of length in the step that led here
    history: History
    pace: Array  # (points,) [-] equivalent plastic strain per unit of length in that step
    metric: Metric
    step: float = 0.0  # its length
    arc: float = 0.0  # distance from the start
    iterations: int = 0

    @property
    def pressure(self) -> float:
        """Pressure [MPa]."""
        return self.at.pressure

    @property
    def rising(self) -> float:
        """Rate of pressure along the path [MPa per unit of length]."""
        return self.onward.pressure

    def measured(self) -> "State":
        """Return the state measured anew, so that the path has slope one here, if it has become stiffer than ever."""
        moved = float(np.sqrt(self.metric.weight * np.dot(self.onward.x, self.onward.x)))
        if abs(self.onward.pressure) <= self.metric.scale * moved:
            return self
        metric = replace(self.metric, scale=abs(self.onward.pressure) / moved)
        longer = metric.length(self.onward)
        return replace(
            self,
            metric=metric,
            onward=self.onward.times(1.0 / longer),
            bend=self.bend.times(1.0 / longer**2),
            pace=self.pace / longer,
        )

    @property
    def largest_strain(self) -> float:
        """Largest equivalent plastic strain of any point."""
        return float(np.max(self.history.worked))
