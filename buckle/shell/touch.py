"""Where the wall comes to touch itself: the least gap between two places that are not neighbours."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.shell.compiled import njit
from buckle.shell.model import Shell
from buckle.shell.recovery import displacements

Array = NDArray[np.float64]
APART = 0.5 * math.pi * 1.001
"""Thicknesses of arc length from which on two places may touch: a bend that has closed on itself is half a circle."""
STRETCHED = 2.0  # times its length: more than a wall is ever stretched between two of its points


@dataclass(frozen=True)
class Gap:
    """Least gap between the faces of two places of the wall [mm], negative where they overlap; their arc lengths."""

    size: float
    arcs: tuple[float, float]


def least_gap(shell: Shell, x: Array) -> Gap:
    """Least gap of the wall at displacements x (size,) [mm, rad], between its points and the chords between them."""
    elements = shell.elements
    at, moved = elements.station, displacements(elements, x)
    size, i, j = _least(elements.s, at.r + moved.u, at.z + moved.w, at.thickness)
    return Gap(float(size), (float(elements.s[i]), float(elements.s[j])))


@njit(cache=True)
def _least(s: Array, r: Array, z: Array, t: Array) -> tuple[float, int, int]:
    """Least gap and its points; a gap shrinks by no more than the length walked on, so most pairs are passed over."""
    count = len(s)
    best, first, second = np.inf, 0, count - 1
    for i in range(count):
        j = i + 1
        while j < count - 1:
            thick = 0.5 * (t[i] + t[j])
            if s[j] - s[i] < APART * thick:
                j += 1
                continue
            along_r, along_z = r[j + 1] - r[j], z[j + 1] - z[j]
            to_r, to_z = r[i] - r[j], z[i] - z[j]
            share = (to_r * along_r + to_z * along_z) / (along_r * along_r + along_z * along_z)
            share = min(max(share, 0.0), 1.0)
            gap = math.hypot(to_r - share * along_r, to_z - share * along_z) - thick
            if gap < best:
                best, first, second = gap, i, j
            onward = s[j] + (gap - best) / STRETCHED
            j += 1
            while j < count - 1 and s[j + 1] < onward:
                j += 1
    return best, first, second
