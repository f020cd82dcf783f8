"""A deviation in waves of the mid-surface of a solid, its wall carried along at right angles to it."""

import numpy as np
import scipy
from numpy.typing import NDArray

from buckle.solid.model import Solid
from buckle.solid.numbering import R, T, Z

Array = NDArray[np.float64]


def carried_along(solid: Solid, wave_number: int, s: Array, amplitudes: Array) -> Array:
    """Amplitudes (nodes, 3) [mm] of all nodes from those of the mid-surface, (points, 3) [mm] at arc lengths s [mm].

    Both are u_r cos, u_z cos, u_theta sin; between the points lie cubic splines. The wall keeps its thickness and stays
    at right angles to the mid-surface to first order: along N, which turns against the heading and around by

        dN_s = N_r u_r' + N_z u_z'        dN_theta = (N_r (n u_r + u_theta) + N_z n u_z) / r
    """
    spline = scipy.interpolate.CubicSpline(s, amplitudes)
    station = solid.meridian.at_s(solid.elements.s)
    out: Array = spline(solid.elements.s)
    along, zeta = spline(solid.elements.s, 1), 0.5 * station.thickness * solid.elements.xi
    normal_r, normal_z = -np.sin(station.heading), np.cos(station.heading)
    turn = normal_r * along[:, R] + normal_z * along[:, Z]
    across = normal_r * (wave_number * out[:, R] + out[:, T]) + normal_z * wave_number * out[:, Z]
    off_axis = station.r > 0.0
    around = np.divide(across, station.r, out=np.zeros_like(across), where=off_axis)
    tilt = np.stack([-normal_z * turn, normal_r * turn, around], axis=1)
    return out + zeta[:, None] * tilt
