"""Forces and tangent of a body in band storage; of a solid of revolution per radian."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.errors import SolveError
from buckle.solid.algebra import algebra_of
from buckle.solid.body import Body
from buckle.solid.history import History, Preflow, Step, ended, take
from buckle.solid.metal import Metal
from buckle.solid.nominal import nominal_moduli, nominal_stress
from buckle.solid.swept import summed

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Evaluation:
    """Nodal forces at a displacement and a pressure, their derivative, and the step of the metal that led there."""

    metal: Metal
    F: Array  # (rows, points) [-] five rows, or nine in space
    step: Step
    internal: Array  # (size,) [N]
    enclosed: Array  # (size,) [N/MPa] of unit pressure, with its side
    tangent: Array  # (size, width) [N/mm] derivative of internal - pressure * enclosed, supports put in

    @property
    def history(self) -> History:
        """History at the end of the step."""
        return ended(self.metal, self.F, self.step)


def evaluate(body: Body, x: Array, pressure: float, history: History, before: Preflow | None = None) -> Evaluation:
    """Evaluate a body at displacements x (size,) and a pressure [MPa], stepping from a history.

    Raises SolveError where an element is turned inside out.
    """
    elements = body.elements
    F = gradients(body, x)
    if not algebra_of(F).is_upright(F):
        raise SolveError("an element of the solid is turned inside out", "a finer mesh")
    step = take(body.metal, F, history, before)
    to_axes = step.axes.into(F)
    moduli = nominal_moduli(to_axes, step.answer.principal)
    moduli *= elements.weight[:, None, None]
    matrices = summed(elements.table, moduli)
    enclosed, swept = _enclosed(body, x)
    if body.load.follower:
        matrices[body.loaded] -= pressure * swept
    return Evaluation(
        metal=body.metal,
        F=F,
        step=step,
        internal=_internal(body, nominal_stress(to_axes, step.answer.principal)),
        enclosed=enclosed,
        tangent=body.held.put(body.layout.assemble(matrices)),
    )


def internal_forces(body: Body, F: Array, step: Step) -> Array:
    """Nodal forces (size,) [N] of the stresses at the end of a step to gradients F (rows, points) [-]."""
    return _internal(body, nominal_stress(step.axes.into(F), step.answer.principal))


def _internal(body: Body, stress: Array) -> Array:
    """Nodal forces of nominal stresses (points, rows)."""
    elements = body.elements
    weighted = (stress * elements.weight[:, None]).reshape(len(elements.table), 1, -1)
    return body.layout.assemble_vector(np.matmul(weighted, elements.table)[:, 0, :])


def gradients(body: Body, x: Array) -> Array:
    """Gradients F (rows, points) [-] at displacements x (size,) [mm]."""
    F = changes(body, x)
    F[list(algebra_of(F).STRETCHES)] += 1.0
    return F


def changes(body: Body, x: Array) -> Array:
    """Change of F (rows, points) [-], linear in displacements x (size,) [mm]."""
    elements = body.elements
    change = np.matmul(elements.table, x[body.layout.dofs][:, :, None])
    return np.ascontiguousarray(change.reshape(elements.point_count, -1).T)


def _enclosed(body: Body, x: Array) -> tuple[Array, Array]:
    """Derivative (size,) of the volume swept by the loaded face, and its second derivative by elements."""
    dofs = body.layout.dofs[body.loaded]
    forces, second = body.swept(x)
    enclosed = np.bincount(dofs.ravel(), weights=forces.ravel(), minlength=body.size)
    return enclosed.astype(np.float64, copy=False), second
