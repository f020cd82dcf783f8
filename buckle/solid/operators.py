"""Forces and tangent of a solid, per radian, in band storage."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.errors import SolveError
from buckle.solid.elements import FACE_POINTS
from buckle.solid.history import History, Preflow, Step, ended, take
from buckle.solid.metal import Metal
from buckle.solid.model import Solid
from buckle.solid.nominal import into_axes, nominal_moduli, nominal_stress
from buckle.solid.numbering import AXISYMMETRIC, NODES, GradientRow, R, Z
from buckle.solid.tensors import determinant

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Evaluation:
    """Nodal forces at a displacement and a pressure, their derivative, and the step of the metal that led there."""

    metal: Metal
    F: Array  # (5, points) [-]
    step: Step
    internal: Array  # (size,) [N]
    enclosed: Array  # (size,) [N/MPa] of unit pressure, with its side
    tangent: Array  # (size, width) [N/mm] derivative of internal - pressure * enclosed, supports put in

    @property
    def history(self) -> History:
        """History at the end of the step."""
        return ended(self.metal, self.F, self.step)


def evaluate(solid: Solid, x: Array, pressure: float, history: History, before: Preflow | None = None) -> Evaluation:
    """Evaluate a solid at displacements x (size,) and a pressure [MPa], stepping from a history.

    Raises SolveError where an element is turned inside out.
    """
    elements = solid.elements
    F = gradients(solid, x)
    if not (np.all(determinant(F) > 0.0) and np.all(F[GradientRow.TT] > 0.0)):
        raise SolveError("an element of the solid is turned inside out", "a finer mesh")
    step = take(solid.metal, F, history, before)
    to_axes = into_axes(F, step.axes)
    moduli = nominal_moduli(to_axes, step.answer.principal)
    moduli *= elements.weight[:, None, None]
    matrices = summed(elements.table, moduli)
    enclosed, swept = _enclosed(solid, x)
    if solid.load.follower:
        matrices[solid.face.owner] -= pressure * swept
    return Evaluation(
        metal=solid.metal,
        F=F,
        step=step,
        internal=_internal(solid, nominal_stress(to_axes, step.answer.principal)),
        enclosed=enclosed,
        tangent=solid.held.put(solid.layout.assemble(matrices)),
    )


def internal_forces(solid: Solid, F: Array, step: Step) -> Array:
    """Nodal forces (size,) [N] of the stresses at the end of a step to gradients F (5, points) [-]."""
    return _internal(solid, nominal_stress(into_axes(F, step.axes), step.answer.principal))


def _internal(solid: Solid, stress: Array) -> Array:
    """Nodal forces of nominal stresses (points, 5)."""
    elements = solid.elements
    weighted = (stress * elements.weight[:, None]).reshape(len(elements.table), 1, -1)
    return solid.layout.assemble_vector(np.matmul(weighted, elements.table)[:, 0, :])


def gradients(solid: Solid, x: Array) -> Array:
    """Gradients F (5, points) [-] at displacements x (size,) [mm]."""
    F = changes(solid, x)
    F[[GradientRow.RR, GradientRow.ZZ, GradientRow.TT]] += 1.0
    return F


def changes(solid: Solid, x: Array) -> Array:
    """Change of F (5, points) [-], linear in displacements x (size,) [mm]."""
    elements = solid.elements
    change = np.matmul(elements.table, x[solid.layout.dofs][:, :, None])
    return np.ascontiguousarray(change.reshape(elements.point_count, len(GradientRow)).T)


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


def _enclosed(solid: Solid, x: Array) -> tuple[Array, Array]:
    """Derivative (size,) and second derivative (sides, 16, 16) of the volume swept by the loaded face.

    (1/2) rho^2 dz per radian along the deformed face: rho z' and rho^2 / 2 are its derivatives by rho and z'.
    """
    face, side = solid.face, solid.load.side
    dofs = solid.layout.dofs[face.owner]
    line = loaded_line(solid, x)
    rho, rise = range(2)
    fields = np.zeros((len(dofs), FACE_POINTS, 2, NODES, len(AXISYMMETRIC)))
    fields[:, :, rho, :, R], fields[:, :, rise, :, Z] = face.value, face.slope
    table = fields.reshape(len(dofs), FACE_POINTS * 2, -1)
    by_line = side * face.weight[:, None] * np.stack([line.radius * line.rise, 0.5 * line.radius**2], axis=2)
    forces = np.matmul(by_line.reshape(len(dofs), 1, -1), table)[:, 0, :]
    second = np.zeros((len(dofs), FACE_POINTS, 2, 2))
    second[:, :, rho, rho] = side * face.weight * line.rise
    second[:, :, rho, rise] = second[:, :, rise, rho] = side * face.weight * line.radius
    enclosed = np.bincount(dofs.ravel(), weights=forces.ravel(), minlength=solid.size)
    return enclosed.astype(np.float64, copy=False), summed(table, second.reshape(-1, 2, 2))


@dataclass(frozen=True, eq=False)
class LoadedLine:
    """The loaded face at its points, (sides, 3) each: deformed under a follower pressure, else as it was."""

    radius: Array  # [mm]
    rise: Array  # [mm] slope of z
    radial: Array  # [mm] slope of the radius


def loaded_line(solid: Solid, x: Array) -> LoadedLine:
    """Radius and slopes of the loaded face at displacements x (size,) [mm]."""
    face = solid.face
    nodes = solid.elements.nodes[face.owner]
    position = solid.elements.position[nodes]
    if solid.load.follower:
        position = position + solid.moved(x)[nodes]
    value, slope = (np.matmul(table, position) for table in (face.value, face.slope))
    return LoadedLine(value[:, :, R], slope[:, :, Z], slope[:, :, R])
