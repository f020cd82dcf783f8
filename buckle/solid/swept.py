"""The volume that the loaded face sweeps, and its first and second derivative: what follower pressure does."""

from dataclasses import dataclass
from enum import IntEnum
from itertools import permutations

import numpy as np
from numpy.typing import NDArray

from buckle.solid.bricks import Surface
from buckle.solid.elements import FACE_POINTS, Face
from buckle.solid.numbering import AXISYMMETRIC, NODES, R, Z

Array = NDArray[np.float64]


class SurfaceRow(IntEnum):
    """Row of each field of the loaded face of a sector: _S along the meridian, _T around."""

    X = 0
    Y = 1
    X_S = 2
    Y_S = 3
    Z_S = 4
    X_T = 5
    Y_T = 6
    Z_T = 7


_X, _Y, _X_S, _Y_S, _Z_S, _X_T, _Y_T, _Z_T = SurfaceRow
VOLUME = ((1.0, (_X, _Y_T, _Z_S)), (-1.0, (_X, _Z_T, _Y_S)), (1.0, (_Y, _Z_T, _X_S)), (-1.0, (_Y, _X_T, _Z_S)))
"""Products of fields that make twice the volume swept."""


@dataclass(frozen=True, eq=False)
class LoadedLine:
    """The loaded face of a solid of revolution at its points, (sides, 3) each."""

    radius: Array  # [mm]
    rise: Array  # [mm] slope of z
    radial: Array  # [mm] slope of the radius


def loaded_line(face: Face, position: Array) -> LoadedLine:
    """Radius and slopes of a loaded face whose elements have their nodes at `position`, (sides, 8, 2) [mm]."""
    value, slope = (np.matmul(table, position) for table in (face.value, face.slope))
    return LoadedLine(value[:, :, R], slope[:, :, Z], slope[:, :, R])


def swept_by_line(face: Face, line: LoadedLine, side: int) -> tuple[Array, Array]:
    """Derivatives (sides, 16) [mm2] and (sides, 16, 16) [mm] of the volume swept by the loaded face.

    (1/2) rho^2 dz per radian along the deformed face: rho z' and rho^2 / 2 are its derivatives by rho and z'.
    """
    count = len(face.owner)
    rho, rise = range(2)
    fields = np.zeros((count, FACE_POINTS, 2, NODES, len(AXISYMMETRIC)))
    fields[:, :, rho, :, R], fields[:, :, rise, :, Z] = face.value, face.slope
    table = fields.reshape(count, FACE_POINTS * 2, -1)
    by_line = side * face.weight[:, None] * np.stack([line.radius * line.rise, 0.5 * line.radius**2], axis=2)
    forces = np.matmul(by_line.reshape(count, 1, -1), table)[:, 0, :]
    second = np.zeros((count, FACE_POINTS, 2, 2))
    second[:, :, rho, rho] = side * face.weight * line.rise
    second[:, :, rho, rise] = second[:, :, rise, rho] = side * face.weight * line.radius
    return forces, summed(table, second.reshape(-1, 2, 2))


def swept_by_surface(surface: Surface, table: Array, position: Array, side: int) -> tuple[Array, Array]:
    """Derivatives (sides, 60) [mm2] and (sides, 60, 60) [mm] of the volume swept by the loaded face of a sector.

    The volume is (1/2) (x dy - y dx) dz over the face, as that of a solid of revolution; planes through the axis, on
    which its edges move, add nothing to it. Fields (sides, 9 points, 8) of the deformed face are of `position` (sides,
    20, 3) [mm], their derivatives by the unknowns `table` (sides, 9 points 8, 60).
    """
    sides, points, _ = surface.value.shape
    fields = np.matmul(surface_fields(surface), position.reshape(sides, -1, 1)).reshape(sides, points, -1)
    first, second = np.zeros(fields.shape), np.zeros((*fields.shape, fields.shape[2]))
    weight = 0.5 * side * surface.weight
    for sign, product in VOLUME:
        for one, two, three in permutations(product):
            first[:, :, one] += 0.5 * sign * weight * fields[:, :, two] * fields[:, :, three]
            second[:, :, one, two] += sign * weight * fields[:, :, three]
    forces = np.matmul(first.reshape(len(first), 1, -1), table)[:, 0, :]
    return forces, summed(table, second.reshape(-1, *second.shape[2:]))


def surface_fields(surface: Surface) -> Array:
    """Fields x y, and x y z along and over the face, of the positions of nodes, (sides, rows, 60) [-]."""
    sides, points, nodes = surface.value.shape
    out = np.zeros((sides, points, len(SurfaceRow), nodes, 3))
    parts = ((surface.value, (_X, _Y)), (surface.along, (_X_S, _Y_S, _Z_S)), (surface.over, (_X_T, _Y_T, _Z_T)))
    for table, rows in parts:
        for component, row in enumerate(rows):
            out[:, :, row, :, component] = table
    return out.reshape(sides, points * len(SurfaceRow), -1)


def summed(table: Array, moduli: Array, other: Array | None = None) -> Array:
    """Element matrices table^T moduli other of moduli (points, rows, rows) and tables (elements, points rows, dofs).

    Moduli with the volume of the points [N mm], tables [1/mm], matrices (elements, unknowns, unknowns) [N/mm].
    """
    other = table if other is None else other
    count, _, dofs = other.shape
    rows = moduli.shape[1]
    spread = np.matmul(moduli.reshape(count, -1, rows, rows), other.reshape(count, -1, rows, dofs))
    matrices: Array = np.matmul(table.transpose(0, 2, 1), spread.reshape(count, -1, dofs))
    return matrices
