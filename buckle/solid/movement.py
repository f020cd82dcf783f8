"""How a solid moves as a whole: read off its nodes, at the places and by the measures of the shell (`landmarks`)."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.landmarks import Ring, datum, highest, ring
from buckle.solid.model import Solid
from buckle.solid.numbering import Z
from buckle.solid.state import State

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True, eq=False)
class Movement:
    """Reads movements [mm] off states."""

    solid: Solid
    ring: Ring | None
    middle: Index  # (nodes,) of the mid-surface, in order of arc length
    datum: int  # the one of them that movement along the axis is measured from

    def growth(self, state: State) -> float:
        """Travel of the apex the way pressure pushes it, against the datum.

        Of a body without an apex at its start the largest displacement of the mid-surface, of one without an edge half
        of what its height grows by.
        """
        moved = self.solid.moved(state.at.x)[self.middle]
        if not self.solid.meridian.closed_at_start:
            return float(np.max(np.hypot(*moved.T)))
        return self._push * (float(moved[0, Z]) - self._shift(state))

    def ring_travel(self, state: State) -> float:
        """Travel of the outermost place of the ring the way pressure pushes the apex, against the datum."""
        assert self.ring is not None
        moved = self.solid.moved(state.at.x)[self.middle, Z]
        s, z = self.solid.elements.s[self.middle], self.solid.elements.position[self.middle, Z]
        sign = 1.0 if self.ring.ahead else -1.0
        after, before = (highest(s, sign * self._push * height) for height in (z + moved, z))
        return sign * (after - before) - self._push * self._shift(state)

    @property
    def _push(self) -> float:
        return -float(self.solid.load.side)

    def _shift(self, state: State) -> float:
        moved = self.solid.moved(state.at.x)[:, Z]
        if self.solid.meridian.closed_at_end:
            return 0.5 * float(moved[self.middle[0]] + moved[self.middle[-1]])
        return float(moved[self.datum])


def movement_of(solid: Solid) -> Movement:
    """What to read a solid's movements by."""
    middle = np.flatnonzero(np.abs(solid.elements.xi) < 1e-9)
    foot = int(np.argmin(np.abs(solid.elements.s[middle] - datum(solid.meridian))))
    return Movement(solid, ring(solid.meridian, -float(solid.load.side)), middle, int(middle[foot]))
