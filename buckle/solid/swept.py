"""The volume that the loaded face sweeps, and its first and second derivative: what follower pressure does."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.solid.elements import FACE_POINTS, Face
from buckle.solid.numbering import AXISYMMETRIC, NODES, R, Z

Array = NDArray[np.float64]


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
