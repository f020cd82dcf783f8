"""How much the faces of a solid are strained, on a length of one thickness, as the shell's strain ceiling has it."""

import numpy as np
from numpy.typing import NDArray

from buckle.solid.model import Solid
from buckle.solid.state import State

Array = NDArray[np.float64]


def face_strain(solid: Solid, state: State) -> float:
    """Largest equivalent plastic strain of a face, averaged over one thickness along the meridian."""
    if not np.any(state.history.worked):
        return 0.0
    return max(float(np.max(_averaged(solid, *_at_face(solid, state, face)))) for face in (-1.0, 1.0))


def _at_face(solid: Solid, state: State, face: float) -> tuple[Array, Array]:
    """Arc lengths of the columns of points, two in an element, and strain there, by a straight line to the face."""
    elements = solid.elements
    outer = np.flatnonzero(np.any(np.abs(elements.xi[elements.nodes] - face) < 1e-9, axis=1))
    outer = outer[np.argsort(elements.s[elements.nodes[outer]].min(axis=1))]
    nodes, value = elements.nodes[outer], elements.value[outer]
    s, xi = (np.matmul(value, of[nodes][:, :, None])[:, :, 0] for of in (elements.s, elements.xi))
    worked = state.history.worked.reshape(len(elements.nodes), -1)[outer]
    # all elements have their points in one order: two columns along s, the point nearer to the face first
    near = np.abs(xi[0] - face)
    order = np.lexsort((near, s[0] > s[0].mean())).reshape(2, 2)
    first, second = order.T
    share = (face - xi[:, first]) / (xi[:, first] - xi[:, second])
    strain = worked[:, first] + share * (worked[:, first] - worked[:, second])
    return s[:, first].ravel(), strain.ravel()


def _averaged(solid: Solid, s: Array, strain: Array) -> Array:
    """Means over one thickness about each place."""
    ends = np.unique(solid.elements.s[solid.elements.nodes[:, :4]])
    length = np.repeat(0.5 * np.diff(ends), 2)
    marks = np.append(0.0, np.cumsum(length))
    sums = np.append(0.0, np.cumsum(strain * length))
    thick = solid.meridian.at_s(s).thickness
    low = np.clip(s - 0.5 * thick, 0.0, marks[-1] - thick)
    mean: Array = (np.interp(low + thick, marks, sums) - np.interp(low, marks, sums)) / thick
    return mean
