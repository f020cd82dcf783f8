"""How a body moves as a whole under pressure: what is read off its displacements."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.landmarks import Ring, datum, highest, ring
from buckle.shell.model import Model, Shell
from buckle.shell.recovery import displacements

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Movement:
    """Reads movements [mm] off the axisymmetric displacements x of a shell."""

    shell: Shell
    push: float  # direction along z in which pressure pushes the apex
    ring: Ring | None
    datum: int  # number of the axial unknown that movement along the axis is measured from

    def growth(self, x: Array) -> float:
        """Travel of the apex the way pressure pushes it, against the datum.

        A body without an apex (cylinder, annulus) is measured by the largest displacement of its mid-surface; one
        without an edge (complete sphere) by half of what its height grows by, whichever place of it is held.
        x (size,) [mm, rad].
        """
        apexes = self.shell.elements.apexes
        if not apexes or apexes[0] != 0:
            moved = displacements(self.shell.elements, x)
            return float(np.max(np.hypot(moved.u, moved.w)))
        axial = self.shell.elements.axisymmetric.values("w")
        fixed = x[self.datum] if len(apexes) == 1 else 0.5 * (x[axial[0]] + x[axial[-1]])
        return float(self.push * (x[axial[0]] - fixed))

    def ring_travel(self, x: Array) -> float:
        """Travel of the outermost place of the ring the way pressure pushes the apex, against the datum.

        Of a base it is the drop of its stand, by which a container grows taller; of an end the rise of its countersink.
        x (size,) [mm, rad].
        """
        assert self.ring is not None
        elements, moved = self.shell.elements, displacements(self.shell.elements, x)
        sign = 1.0 if self.ring.ahead else -1.0  # of the extreme, seen along the push
        heights = (sign * self.push * (elements.station.z + w) for w in (moved.w, 0.0))
        after, before = (highest(elements.s, height) for height in heights)
        return float(sign * (after - before) - self.push * x[self.datum])


def movement_of(model: Model) -> Movement:
    """What to read a shell's movements by."""
    elements, push = model.shell.elements, -float(model.load.side)
    mesh = elements.mesh
    vertex = int(np.argmin(np.abs(mesh.vertices - datum(mesh.meridian))))
    axial = elements.axisymmetric.values("w")
    return Movement(model.shell, push, ring(mesh.meridian, push), int(axial[vertex]))
