"""Residual, tangent and wave-number operators of a shell, per radian, in band storage."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.shell import kinematics
from buckle.shell.elements import Elements
from buckle.shell.kinematics import State
from buckle.shell.model import Shell
from buckle.shell.plasticity import PlasticState, Tangent
from buckle.shell.section import (
    Resultants,
    in_plane_stiffness,
    out_of_plane_stiffness,
    respond,
    stability_tangent,
)

Array = NDArray[np.float64]
PUSHED = "nothing holds the body along its axis, and its load does not balance itself"


@dataclass(frozen=True, eq=False)
class Evaluation:
    """Everything known at one displacement x: geometry, resultants, and nodal forces per radian."""

    x: Array
    state: State
    first: Array  # (points, 7, 5) first variation of the metrics
    resultants: Resultants
    internal: Array  # (size,) nodal forces of the stresses
    enclosed: Array  # (size,) nodal forces of unit pressure, with its side
    dead: Array  # (size,) constant nodal forces

    @property
    def history(self) -> PlasticState | None:
        """Plastic state of the layers."""
        return self.resultants.state


@dataclass(frozen=True, eq=False)
class WaveOperator:
    """Second variation for every wave number: K_n = k0 + n k1 + n^2 k2, bands (3, size, width)."""

    bands: Array

    def at(self, shell: Shell, n: int) -> Array:
        """Band of K_n with the supports of this wave number put in."""
        band: Array = n * self.bands[2]
        band += self.bands[1]
        band *= n
        band += self.bands[0]
        return shell.wave_held(n).put(band)


def evaluate(shell: Shell, x: Array, old: PlasticState | None = None) -> Evaluation:
    """Evaluate the shell at displacements x (size,), plastic from the history `old`."""
    elements = shell.elements
    q = _fields(elements, x)
    state = kinematics.deformed(elements.station, q)
    if shell.section.measure.finite:
        first = kinematics.first_variation(state)
        along, around, shear = state.metric
    else:
        reference = kinematics.deformed(elements.station, 0.0 * q)
        state, first = reference, kinematics.first_variation(reference)
        change = np.matmul(first, q[:, :, None])[:, :, 0]
        along, around = reference.metric[0] + change[:, :3], reference.metric[1] + change[:, 3:6]
        shear = change[:, 6]
    resultants = respond(shell.section, along, around, shear, old)
    force = np.matmul(resultants.by_metric[:, None, :], first)[:, 0, :]
    return Evaluation(
        x=x,
        state=state,
        first=first,
        resultants=resultants,
        internal=_nodal(shell, force) + _hinge_force(shell, x),
        enclosed=pressure_force(shell, state, x),
        dead=_edge_force(shell),
    )


def pressure_force(shell: Shell, state: State, x: Array) -> Array:
    """Nodal forces per radian of unit pressure, from the variation of the volume it sweeps."""
    follower = shell.load.follower and shell.section.measure.finite
    if not follower:
        state = kinematics.deformed(shell.elements.station, np.zeros((shell.elements.point_count, 5)))
    weighted = shell.elements.length[:, None] * kinematics.enclosed_variation(state)
    force = _nodal(shell, weighted)
    if not shell.load.end_thrust:
        for end in shell.supports.thrust_free_edges:
            radius = _edge_radius(shell, end, x if follower else np.zeros_like(x))
            axial = shell.elements.axisymmetric.values("w")[end]
            force[axial] -= (1 if end else -1) * 0.5 * radius**2
    return shell.load.side * force


def unbalanced(shell: Shell, at: Evaluation, pressure: float) -> bool:
    """Tell whether a body that nothing holds axially would be pushed along its axis: its load must balance itself."""
    if shell.supports.axially_held:
        return False
    axial = shell.elements.axisymmetric.values("w")
    force = float(np.sum((pressure * at.enclosed + at.dead)[axial]))
    scale = 0.5 * pressure * float(np.max(shell.elements.vertex_radius)) ** 2 + float(np.sum(np.abs(at.dead)))
    return abs(force) > 1e-6 * scale


def residual(at: Evaluation, pressure: float) -> Array:
    """Out-of-balance nodal forces per radian, (size,); entries of held unknowns are reactions."""
    return at.internal - pressure * at.enclosed - at.dead


def tangent(shell: Shell, at: Evaluation, pressure: float, moduli: Tangent | None = None) -> Array:
    """Band of the derivative of the residual (supports put in); `moduli` replaces the step-consistent ones."""
    stiff = in_plane_stiffness(shell.section, at.resultants, moduli)
    hess = np.matmul(at.first.transpose(0, 2, 1), np.matmul(stiff, at.first))
    if shell.section.measure.finite:
        hess += kinematics.second_variation(at.state, at.resultants.by_metric)
        if shell.load.follower:
            swept = kinematics.enclosed_second_variation(at.state)
            hess -= (shell.load.side * pressure * shell.elements.length)[:, None, None] * swept
    matrices = _element_matrices(shell.elements.axisymmetric_table, hess)
    if shell.hinge is not None:
        matrices += shell.hinge.axisymmetric
    band = shell.layout.assemble(matrices)
    _take_off_thrust(shell, band, at.x, pressure)
    return shell.held.put(band)


def wave_operator(
    shell: Shell, at: Evaluation, pressure: float, theory: str = "flow", onward: Array | None = None
) -> WaveOperator:
    """Second variation of the potential about a state, for all wave numbers at once.

    `onward` is the direction (size,) in which displacements go on along the path: it tells which points load.
    """
    rates = None if onward is None else np.matmul(at.first, _fields(shell.elements, onward)[:, :, None])[:, :, 0]
    moduli = stability_tangent(shell.section, at.resultants, theory, rates)
    inner = in_plane_stiffness(shell.section, at.resultants, moduli)
    outer = out_of_plane_stiffness(shell.section, at.resultants, moduli)
    material = _material_part(at.state, inner, outer)
    swept = (pressure * shell.load.side) if shell.load.follower else 0.0
    parts = _plus(material, geometric_part(shell, at.state, at.resultants.by_metric, swept))
    return _wave_bands(shell, parts, hinges=True)


def geometric_part(shell: Shell, state: State, force: Array, swept: float) -> tuple[Array, Array, Array]:
    """Stress and follower-pressure part of the wave operators at the points; `swept` is pressure times side."""
    k0, k1, k2 = kinematics.wave_second_variation(state, force)
    if swept:
        scale = (swept * shell.elements.length)[:, None, None]
        v0, v1 = kinematics.wave_enclosed_second_variation(state)
        k0, k1 = k0 - scale * v0, k1 - scale * v1
    return k0, k1, k2


def linear_wave_operators(shell: Shell, at: Evaluation, pressure: float) -> tuple[WaveOperator, WaveOperator]:
    """Elastic and initial-stress operators for linear bifurcation; `at` is the linear solution at the pressure."""
    moduli = at.resultants.layer.tangent
    inner = in_plane_stiffness(shell.section, at.resultants, moduli)
    outer = out_of_plane_stiffness(shell.section, at.resultants, moduli)
    elastic = _wave_bands(shell, _material_part(at.state, inner, outer))
    swept = pressure * shell.load.side if shell.load.follower else 0.0
    return elastic, _wave_bands(shell, geometric_part(shell, at.state, at.resultants.by_metric, swept))


def _material_part(state: State, inner: Array, outer: Array) -> tuple[Array, Array, Array]:
    in0, in1, out0, out1 = kinematics.wave_first_variation(state)
    a = np.concatenate([np.matmul(inner, in0), np.matmul(outer, out0)], axis=1)
    b = np.concatenate([np.matmul(inner, in1), np.matmul(outer, out1)], axis=1)
    m0, m1 = np.concatenate([in0, out0], axis=1), np.concatenate([in1, out1], axis=1)
    t0, t1 = m0.transpose(0, 2, 1), m1.transpose(0, 2, 1)
    cross = np.matmul(t0, b)
    return np.matmul(t0, a), cross + cross.transpose(0, 2, 1), np.matmul(t1, b)


def _plus(a: tuple[Array, ...], b: tuple[Array, ...]) -> tuple[Array, ...]:
    return tuple(x + y for x, y in zip(a, b, strict=True))


def _wave_bands(shell: Shell, parts: tuple[Array, ...], *, hinges: bool = False) -> WaveOperator:
    table, layout = shell.elements.wave_table, shell.wave_layout
    matrices = [_element_matrices(table, part) for part in parts]
    if hinges and shell.hinge is not None:
        matrices[0] += shell.hinge.wave
    return WaveOperator(np.stack([layout.assemble(one) for one in matrices]))


def _fields(elements: Elements, x: Array) -> Array:
    """Fields (points, 5) of the unknowns x."""
    fields: Array = np.matmul(elements.axisymmetric_table, x[elements.axisymmetric.dofs][:, :, None])
    return fields.reshape(-1, 5)


def _nodal(shell: Shell, force: Array) -> Array:
    """Nodal forces of forces (points, 5) by the fields."""
    table = shell.elements.axisymmetric_table
    per_element = np.matmul(force.reshape(len(table), 1, -1), table)[:, 0, :]
    return shell.layout.assemble_vector(per_element)


def _element_matrices(table: Array, hess: Array) -> Array:
    """Element matrices sum table^T hess table from (points, fields, fields)."""
    count, _, unknowns = table.shape
    fields = hess.shape[1]
    spread = np.matmul(hess, table.reshape(-1, fields, unknowns)).reshape(count, -1, unknowns)
    matrices: Array = np.matmul(table.transpose(0, 2, 1), spread)
    return matrices


def _hinge_force(shell: Shell, x: Array) -> Array | float:
    """Nodal forces that keep plastic hinges from becoming too short."""
    if shell.hinge is None:
        return 0.0
    return shell.layout.assemble_vector(np.matmul(shell.hinge.axisymmetric, x[shell.layout.dofs][:, :, None])[:, :, 0])


def _edge_radius(shell: Shell, end: int, x: Array) -> float:
    return float(shell.elements.vertex_radius[end] + x[shell.elements.axisymmetric.values("u")[end]])


def _edge_force(shell: Shell) -> Array:
    """Constant axial force at the outer edge per radian, along the wall (tension positive)."""
    force = np.zeros(shell.size)
    if shell.load.axial_force:
        axial = shell.elements.axisymmetric.values("w")[-1]
        force[axial] = np.sign(np.sin(shell.elements.end_heading(-1))) * shell.load.axial_force / (2.0 * np.pi)
    return force


def _take_off_thrust(shell: Shell, band: Array, x: Array, pressure: float) -> None:
    """Stiffness of the thrust that an open end does not carry (it follows the edge's radius)."""
    if shell.load.end_thrust or not shell.load.follower or not shell.section.measure.finite:
        return
    for end in shell.supports.thrust_free_edges:
        numbers = shell.elements.axisymmetric
        radial, axial = (int(numbers.values(name)[end]) for name in "uw")
        sign = (1 if end else -1) * shell.load.side
        band[radial, shell.layout.offset + axial - radial] += sign * pressure * _edge_radius(shell, end, x)
