"""Where the wall of a solid comes to touch itself: the least gap between two places that are not neighbours."""

import math

import numpy as np
from numpy.typing import NDArray

from buckle.solid.model import Solid
from buckle.solid.state import State

Array = NDArray[np.float64]
APART = 0.5 * math.pi * 1.001
"""Thicknesses of arc length from which on two places may touch: a bend that has closed on itself is half a circle."""


def least_gap(solid: Solid, state: State) -> float:
    """Least gap [mm] between the faces of two places, negative where they overlap.

    Between nodes of the mid-surface and the chords between others, less half the thickness of both as it is now.
    """
    elements = solid.elements
    middle, left, right = (np.flatnonzero(np.abs(elements.xi - xi) < 1e-9) for xi in (0.0, 1.0, -1.0))
    columns, at_middle, at_face = np.intersect1d(elements.s[middle], elements.s[left], return_indices=True)
    moved = elements.position + solid.moved(state.at.x)
    at = moved[middle[at_middle]]
    thick = np.hypot(*(moved[left[at_face]] - moved[right[at_face]]).T)
    along = np.diff(at, axis=0)
    to = at[:, None] - at[None, :-1]
    share = np.clip(np.sum(to * along, axis=2) / np.sum(along * along, axis=1), 0.0, 1.0)
    gap = np.hypot(*np.moveaxis(to - share[..., None] * along, 2, 0))
    gap -= 0.5 * (thick[:, None] + thick[None, :-1])
    before, after = columns[None, :-1] - columns[:, None], columns[:, None] - columns[None, 1:]
    near = np.maximum(before, after) < APART * thick[:, None]
    return float(np.min(np.where(near, np.inf, gap)))
