"""Second variation of a solid about an axisymmetric state, for waves of any number n around the axis.

The wave is (u_r cos, u_z cos, u_theta sin) of n theta. In cylindrical components of both configurations its gradient is
linear in it, exactly (`Elements.wave_tables`), so that the second variation of the stored work is dF : (dP/dF) : dF
averaged over theta with cos^2 and sin^2 -> 1, and a polynomial in n:

    K_n = A + n B + n^2 C

whose meridian part at n = 0 is the axisymmetric tangent.

Follower pressure: the volume swept by the face is the integral of (x dy - y dx)/2 dz over it. For the face moved to
(rho + u_r cos) e_r + u_theta sin e_theta + (z + u_z cos) e_z its second variation is, with ' along the face (derived
here; the surface bounded by two circles that stay where they are, or by the axis),

    z' (u_r^2 + 2 n u_r u_theta + u_theta^2) + rho (2 u_r + n u_theta) u_z' + n u_z (rho u_theta' - rho' u_theta)
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.solid.elements import FACE_POINTS
from buckle.solid.model import Solid
from buckle.solid.nominal import nominal_around, nominal_moduli
from buckle.solid.numbering import NODES, WAVE, LineRow, R, T, Z
from buckle.solid.operators import changes, gradients
from buckle.solid.stability import Theory, state_moduli
from buckle.solid.state import State
from buckle.solid.swept import summed

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class WaveOperator:
    """Second variation for every wave number: A, B and C as bands (3, size, width), lower halves."""

    solid: Solid
    bands: Array  # (3, size, width) [N/mm]

    def at(self, n: int) -> Array:
        """Band of K_n with what is held in this wave put in, (size, width) [N/mm]."""
        band: Array = n * self.bands[2]
        band += self.bands[1]
        band *= n
        band += self.bands[0]
        return self.solid.wave_held(n).put(band)


def wave_operator(solid: Solid, state: State, theory: Theory = "flow") -> WaveOperator:
    """Second variation about a state of the path, which tells by its direction which points load."""
    F = gradients(solid, state.at.x)
    answer, axes = state_moduli(solid.metal, F, changes(solid, state.onward.x), state.history, theory)
    weight = solid.elements.weight[:, None, None]
    within = weight * nominal_moduli(axes.into(F), answer)
    around = weight * nominal_around(F, axes, answer)
    (cos, cos_n), (sin, sin_n) = solid.elements.wave_tables
    cross = summed(cos, within, cos_n) + summed(sin, around, sin_n)
    parts = [
        summed(cos, within) + summed(sin, around),
        cross + cross.transpose(0, 2, 1),
        summed(cos_n, within) + summed(sin_n, around),
    ]
    if solid.load.follower:
        for part, swept in zip(parts, swept_volume(solid, state.at.x), strict=False):
            part[solid.face.owner] -= state.pressure * swept
    return WaveOperator(solid, np.stack([solid.wave_layout.assemble(part) for part in parts]))


def swept_volume(solid: Solid, x: Array) -> tuple[Array, Array]:
    """Second variation of the volume swept by the loaded face, constant and n-fold, (sides, 24, 24) [mm] each."""
    face, line = solid.face, solid.line(x)
    u_r, u_z, u_t, dz, dt = LineRow
    fields = np.zeros((len(face.owner), FACE_POINTS, len(LineRow), NODES, len(WAVE)))
    for field, row in ((R, u_r), (Z, u_z), (T, u_t)):
        fields[:, :, row, :, field] = face.value
    fields[:, :, dz, :, Z], fields[:, :, dt, :, T] = face.slope, face.slope
    rows = FACE_POINTS * len(LineRow)
    table = solid.elements.on_axis(fields, face.owner).reshape(len(face.owner), rows, -1)
    constant, fold = np.zeros((2, len(face.owner), FACE_POINTS, len(LineRow), len(LineRow)))
    weight = solid.load.side * face.weight
    constant[:, :, u_r, u_r] = constant[:, :, u_t, u_t] = weight * line.rise
    _put(constant, u_r, dz, weight * line.radius)
    _put(fold, u_r, u_t, weight * line.rise)
    _put(fold, u_t, dz, 0.5 * weight * line.radius)
    _put(fold, u_z, dt, 0.5 * weight * line.radius)
    _put(fold, u_z, u_t, -0.5 * weight * line.radial)
    return summed(table, constant.reshape(-1, *constant.shape[2:])), summed(table, fold.reshape(-1, *fold.shape[2:]))


def _put(matrices: Array, row: int, column: int, value: Array) -> None:
    matrices[:, :, row, column] = matrices[:, :, column, row] = value
