"""Residual and tangent of a waved shell, per radian, in band storage."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.errors import SolveError
from buckle.waves.body import Waved
from buckle.waves.flow import Layering, flow, settled
from buckle.waves.kinematics import by_fields, enclosed, metrics_of
from buckle.waves.numbering import WavedRow
from buckle.waves.projection import by_amplitudes, by_unknowns
from buckle.waves.strain import strains, sums

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class WavedEvaluation:
    """Everything known at one shape x: history that the step leaves, nodal forces per radian, stiffness at points."""

    x: Array  # (size,) [mm, rad] the deviation and what has moved since
    layers: Layering
    internal: Array  # (size,) [N] nodal forces of the stresses
    increasing: Array  # (size,) nodal forces of the load that increases at load factor 1 [N/MPa] or [N/N]
    hess: Array  # (points, angles, 14, 14) energy [N mm] of the stresses by the fields, twice; the second points around
    swept: Array  # (points, angles, 14, 14) second derivative of the work of unit pressure [mm3] by the fields


def evaluate(body: Waved, x: Array, old: Layering) -> WavedEvaluation:
    """Evaluate a waved shell at the shape x (size,) [mm, rad] from the history `old`.

    Raises SolveError where the geometry is impossible or the plastic return fails.
    """
    shell, model = body.model.shell, body.model
    fields = body.fields(x)
    metrics = metrics_of(shell.line, fields)
    code, reference = shell.wall.measure.code, body.reference
    strain, sound = strains(code, metrics, reference, old.position)
    if not sound:
        raise SolveError("the wall crosses the axis or itself", "a smaller step")
    layers, moduli, closed = flow(shell.wall.metal, old, strain)
    if not closed:
        raise SolveError("the plastic return failed", "a smaller step")
    force, moments = sums(code, metrics, reference, (old.position, layers.stress, moduli))
    shears = [WavedRow.G1, WavedRow.G2]
    force[:, :, shears] = body.shear[:, None, :] * (metrics - body.unstrained)[:, :, shears]
    by_field, hess = by_fields(shell.line, fields, force, moments, body.shear)
    if shell.wall.metal.flows:
        inward = shell.wall.layers.inward
        layers = layers._replace(position=settled(shell.wall.metal, inward, strain, layers.stress))
    push, swept = _pressure(body, fields)
    increasing = push if model.load.increasing.is_pressure else _edge(body)
    return WavedEvaluation(x, layers, body.nodal(by_field) + _hinge_force(body, x), increasing, hess, swept)


def residual(at: WavedEvaluation, load_factor: float) -> Array:
    """Out-of-balance nodal forces per radian, (size,) [N]; entries of held unknowns are reactions."""
    return at.internal - load_factor * at.increasing


def tangent(body: Waved, at: WavedEvaluation, load_factor: float) -> Array:
    """Band of the derivative of the residual, supports put in, with the moduli of the step, (size, width) [N/mm]."""
    hess = at.hess
    if body.model.load.follower:
        hess = hess - body.model.load.pressure(load_factor) * at.swept
    columns, kinds = body.made_of
    amplitudes = by_amplitudes(hess, body.rows, body.factors)
    per_element = len(hess) // body.model.shell.elements.mesh.count
    matrices = by_unknowns(amplitudes, body.shapes, columns, kinds, per_element)
    if body.hinges is not None:
        matrices += body.hinges
    return body.held.put(body.harmonics.layout.assemble(matrices))


def _pressure(body: Waved, fields: Array) -> tuple[Array, Array]:
    """Nodal forces (size,) of unit pressure and its second derivative at the points."""
    load, line = body.model.load, body.model.shell.line
    first, second = enclosed(line, fields if load.follower else np.zeros_like(fields))
    scale = (load.side / body.angles) * body.model.shell.elements.length
    return body.nodal(scale[:, None, None] * first), scale[:, None, None, None] * second


def _edge(body: Waved) -> Array:
    """Nodal forces (size,) of one unit of the axial force."""
    out = np.zeros(body.size)
    out[body.harmonics.own(0)] = body.model.edge_force
    return out


def _hinge_force(body: Waved, x: Array) -> Array | float:
    """Nodal forces that keep plastic hinges from becoming too short."""
    if body.hinges is None:
        return 0.0
    layout, moved = body.harmonics.layout, x - body.deviation
    return layout.assemble_vector(np.matmul(body.hinges, moved[layout.dofs][:, :, None])[:, :, 0])
