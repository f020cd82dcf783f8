"""How much a wall is strained, as far as a shell can tell: on a length of one thickness, not in a point."""

import numpy as np
from numpy.typing import NDArray

from buckle.shell.model import Shell
from buckle.solve.path import PathPoint

Array = NDArray[np.float64]


def face_strain(shell: Shell, point: PathPoint) -> float:
    """Largest equivalent plastic strain of a face, averaged over one thickness along the meridian.

    Plane sections know nothing of what happens within a thickness. At a held edge or a kink the strain of a point grows
    without end as it is looked at more closely; its average over a thickness does not.
    """
    if point.elastic or point.at.history is None:
        return 0.0
    faces = _at_faces(point.at.history.equivalent, shell.section.xi)
    ends = np.append(0.0, np.cumsum(shell.elements.length))
    thick = shell.elements.station.thickness
    low = np.clip(shell.elements.s - 0.5 * thick, 0.0, ends[-1] - thick)
    worked = [np.append(0.0, np.cumsum(face * shell.elements.length)) for face in faces]
    means = [(np.interp(low + thick, ends, sums) - np.interp(low, ends, sums)) / thick for sums in worked]
    return float(np.max(means))


def _at_faces(layers: Array, xi: Array) -> tuple[Array, Array]:
    """Values at both faces (points,) from those of the layers (points, layers), by a straight line through two."""
    out = []
    for face, last, before in ((-1.0, 0, 1), (1.0, -1, -2)):
        share = (face - xi[last]) / (xi[last] - xi[before])
        out.append(layers[:, last] + share * (layers[:, last] - layers[:, before]))
    return out[0], out[1]
