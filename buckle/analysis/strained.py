"""How much a wall is strained, as far as a shell can tell: on a length of one thickness, not in a point."""

import numpy as np
from numpy.typing import NDArray

from buckle.shell.model import Shell
from buckle.shell.operators import Evaluation

Array = NDArray[np.float64]


def face_strain(shell: Shell, at: Evaluation) -> float:
    """Largest equivalent plastic strain of a face, averaged over one thickness along the meridian.

    Plane sections know nothing of what happens within a thickness. At a held edge or a kink the strain of a point grows
    without end as it is looked at more closely; its average over a thickness does not.
    """
    if at.history is None or not at.history.equivalent.any():
        return 0.0
    return max(_largest_mean(shell, face) for face in _at_faces(at.history.equivalent, shell.wall.xi))


def middle_strain(shell: Shell, at: Evaluation) -> float:
    """Largest equivalent plastic strain of the middle of the wall, averaged in the same way."""
    if at.history is None:
        return 0.0
    inmost = np.argsort(np.abs(shell.wall.xi))[:2]  # an even number of layers, half of them on each side
    return _largest_mean(shell, at.history.equivalent[:, inmost].mean(axis=1))


def _largest_mean(shell: Shell, values: Array) -> float:
    """Largest mean over one thickness along the meridian of values at the points."""
    ends = np.append(0.0, np.cumsum(shell.elements.length))
    thick = shell.elements.station.thickness
    low = np.clip(shell.elements.s - 0.5 * thick, 0.0, ends[-1] - thick)
    sums = np.append(0.0, np.cumsum(values * shell.elements.length))
    return float(np.max((np.interp(low + thick, ends, sums) - np.interp(low, ends, sums)) / thick))


def _at_faces(layers: Array, xi: Array) -> tuple[Array, Array]:
    """Values at both faces (points,) from those of the layers (points, layers), by a straight line through two."""
    out = []
    for face, last, before in ((-1.0, 0, 1), (1.0, -1, -2)):
        share = (face - xi[last]) / (xi[last] - xi[before])
        out.append(layers[:, last] + share * (layers[:, last] - layers[:, before]))
    return out[0], out[1]
