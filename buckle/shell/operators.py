"""Residual, tangent and wave-number operators of a shell, per radian, in band storage."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.errors import SolveError
from buckle.meridian import Station
from buckle.shell import kinematics
from buckle.shell.composed import Spring
from buckle.shell.elements import Elements
from buckle.shell.kinematics import State
from buckle.shell.model import Load, Model, Shell
from buckle.shell.numbering import FieldRow
from buckle.shell.plasticity import PlasticState, Tangent
from buckle.shell.points import Answer, History, respond
from buckle.shell.respond import respond_by_zones
from buckle.shell.supports import Supports
from buckle.shell.wall import Resultants, in_plane_stiffness, out_of_plane_stiffness, stability_tangent

Array = NDArray[np.float64]
PUSHED = "nothing holds the body along its axis, and its load does not balance itself"
HOLD = "an edge that is held axially, a stand (supports.stand), or loads.end_thrust = true"


@dataclass(frozen=True, eq=False)
class Evaluation:
    """Everything known at one displacement x: resultants, and nodal forces per radian."""

    x: Array  # (size,) [mm, rad]
    q: Array  # (points, 5) [mm, -, rad, rad/mm] fields
    station: Station
    finite: bool
    resultants: Resultants
    hess: Array  # (points, 5, 5) energy [N mm] of the stresses by the fields, twice
    internal: Array  # (size,) [N] nodal forces of the stresses
    increasing: Array  # (size,) nodal forces of the load that increases at load factor 1 [N/MPa] or [N/N]
    constant: Array  # (size,) [N] nodal forces of the load that stays

    @property
    def history(self) -> PlasticState | None:
        """Plastic state of the layers."""
        return self.resultants.state

    @cached_property
    def state(self) -> State:
        """Geometry that stresses and variations are referred to: deformed, or unstrained in a linear analysis."""
        return kinematics.deformed(self.station, self.q if self.finite else 0.0 * self.q)

    @cached_property
    def first(self) -> Array:
        """First variation of the metrics, (points, 7, 5) [-, mm2]."""
        return kinematics.first_variation(self.state)


@dataclass(frozen=True, eq=False)
class WaveOperator:
    """Second variation for every wave number: K_n = k0 + n k1 + n^2 k2, bands (3, size, width)."""

    supports: Supports
    bands: Array  # (3, size, width) [N/mm]

    def at(self, n: int) -> Array:
        """Band of K_n with the supports of this wave number put in, (size, width) [N/mm]."""
        band: Array = n * self.bands[2]
        band += self.bands[1]
        band *= n
        band += self.bands[0]
        return self.supports.wave_held(n).put(band)


def evaluate(model: Model, x: Array, old: PlasticState | None = None) -> Evaluation:
    """Evaluate a model at displacements x (size,) [mm, rad], plastic from the history `old`.

    Raises SolveError where the geometry is impossible or the plastic return fails.
    """
    shell = model.shell
    q = fields_of(shell.elements, x)
    start = old or shell.wall.unstrained
    answer = _answer(shell, q, start)
    metric, tau = answer.metric, answer.tau
    state = None if old is None else PlasticState(*answer.history)
    increasing, constant = applied_forces(model, q, x)
    return Evaluation(
        x=x,
        q=q,
        station=shell.elements.station,
        finite=shell.wall.measure.finite,
        resultants=Resultants(answer.by_metric, (metric[0], metric[1]), (tau[0], tau[1]), start.position, state),
        hess=answer.hess,
        internal=_nodal(shell.elements, answer.force) + _hinge_force(shell, x) + _spring_force(shell, x),
        increasing=increasing,
        constant=constant,
    )


def answer_of(shell: Shell, x: Array) -> Answer:
    """What the points of a shell without history answer to displacements x (size,) [mm, rad]; raises SolveError."""
    return _answer(shell, fields_of(shell.elements, x), shell.wall.unstrained)


def _answer(shell: Shell, q: Array, start: PlasticState) -> Answer:
    history = History(start.strain, start.equivalent, start.stress, start.position, start.fresh)
    if shell.wall.zones:
        answer = respond_by_zones(shell, history, q)
    else:
        answer = respond(shell.line, shell.wall.layers, shell.wall.metal, history, q)
    if not answer.sound:
        raise SolveError("the wall crosses the axis or itself, or its plastic return failed", "a smaller step")
    return answer


def applied_forces(model: Model, q: Array, x: Array) -> tuple[Array, Array]:
    """Nodal forces per radian of the load that increases, at load factor 1, and of the load that stays.

    (size,) [N/MPa] or [N/N], and (size,) [N], at fields q (points, 5) and displacements x (size,) [mm, rad].
    """
    swept, edge = pressure_force(model, q, x), model.edge_force
    return (swept, edge) if model.load.increasing.is_pressure else (edge, model.load.constant_pressure * swept)


def pressure_force(model: Model, q: Array, x: Array) -> Array:
    """Nodal forces per radian of unit pressure, from the variation of the volume it sweeps.

    (size,) [N/MPa] at fields q (points, 5) [mm, -, rad, rad/mm] and displacements x (size,) [mm, rad].
    """
    elements, load = model.shell.elements, model.load
    if not (load.follower and model.shell.wall.measure.finite):
        q, x = np.zeros_like(q), np.zeros_like(x)
    force = _nodal(elements, elements.length[:, None] * kinematics.enclosed_variation(elements.station, q))
    if not load.end_thrust:
        for end in model.supports.thrust_free_edges:
            axial = elements.axisymmetric.values("w")[end]
            force[axial] -= (1 if end else -1) * 0.5 * _edge_radius(elements, end, x) ** 2
    return load.side * force


def unbalanced(model: Model, at: Evaluation, load_factor: float) -> bool:
    """Tell whether a body that nothing holds axially would be pushed along its axis: its load must balance itself."""
    if model.supports.axially_held:
        return False
    elements, load = model.shell.elements, model.load
    axial = elements.axisymmetric.values("w")
    force = float(np.sum((load_factor * at.increasing + at.constant)[axial]))
    swept = 0.5 * load.pressure(load_factor) * float(np.max(elements.vertex_radius)) ** 2
    scale = swept + abs(load.force(load_factor)) / (2.0 * np.pi)
    return abs(force) > 1e-6 * scale


def residual(at: Evaluation, load_factor: float) -> Array:
    """Out-of-balance nodal forces per radian, (size,) [N]; entries of held unknowns are reactions."""
    return at.internal - load_factor * at.increasing - at.constant


def tangent(model: Model, at: Evaluation, load_factor: float) -> Array:
    """Band of the derivative of the residual (supports put in), with the moduli of the step, (size, width) [N/mm]."""
    return _banded(model, at, load_factor, at.hess.copy())


def continuum_tangent(model: Model, at: Evaluation, load_factor: float, onward: Array | None = None) -> Array:
    """Band of the second variation of the potential in axisymmetric displacements, with the moduli of flow theory.

    `onward` is the direction (size,) in which displacements go on along the path: it tells which points load.
    The band (size, width) [N/mm].
    """
    wall = model.shell.wall
    moduli = stability_tangent(wall, at.resultants, "flow", _rates(model.shell, at, onward))
    stiff = in_plane_stiffness(wall, at.resultants, moduli)
    hess = np.matmul(at.first.transpose(0, 2, 1), np.matmul(stiff, at.first))
    if at.finite:
        hess += kinematics.second_variation(at.state, at.resultants.by_metric)
    return _banded(model, at, load_factor, hess)


def stress_work(shell: Shell, at: Evaluation, mode: Array) -> float:
    """Work [N mm] of the stresses in the second variation along a mode (size,) [mm, rad]: negative by compression."""
    fields = fields_of(shell.elements, mode)
    by_stress = kinematics.second_variation(at.state, at.resultants.by_metric)
    return float(np.sum(fields * np.matmul(by_stress, fields[:, :, None])[:, :, 0]))


def _banded(model: Model, at: Evaluation, load_factor: float, hess: Array) -> Array:
    """Band of a derivative by the fields, less that of the pressure's forces."""
    elements, hinge, pressure = model.shell.elements, model.shell.hinge, model.load.pressure(load_factor)
    if at.finite and model.load.follower:
        swept = model.load.side * pressure * elements.length
        xz, rho = kinematics.enclosed_slopes(at.station, at.q)
        hess[:, FieldRow.U, FieldRow.U] -= swept * xz
        hess[:, FieldRow.U, FieldRow.W_S] -= swept * rho
        hess[:, FieldRow.W_S, FieldRow.U] -= swept * rho
    matrices = _element_matrices(elements.axisymmetric_table, hess)
    if hinge is not None:
        matrices += hinge.axisymmetric
    band = elements.layout.assemble(matrices)
    if model.shell.spring is not None:
        model.shell.spring.put(band)
    _take_off_thrust(model, band, at.x, pressure)
    return model.supports.held.put(band)


def wave_operator(
    model: Model, at: Evaluation, load_factor: float, theory: str = "flow", onward: Array | None = None
) -> WaveOperator:
    """Second variation of the potential about a state, for all wave numbers at once.

    `onward` is the direction (size,) in which displacements go on along the path: it tells which points load.
    Bands (3, size, width) [N/mm].
    """
    parts = _wave_parts(model, at, load_factor, theory, onward)
    return _wave_bands(model, parts, hinges=True, spring=model.shell.spring)


def _wave_parts(
    model: Model, at: Evaluation, load_factor: float, theory: str, onward: Array | None
) -> tuple[Array, ...]:
    """Second variation of the potential at the points, before it is put together, three (points, 10, 10)."""
    shell = model.shell
    moduli = stability_tangent(shell.wall, at.resultants, theory, _rates(shell, at, onward))
    material = _material_part(shell, at, moduli)
    return _plus(material, geometric_part(shell, at.state, at.resultants.by_metric, _swept(model.load, load_factor)))


@dataclass(frozen=True, eq=False)
class WaveEnergy:
    """The second variation in one mode, as a sum of what each wave number takes of it [N mm]."""

    parts: tuple[float, ...]

    def at(self, n: int) -> float:
        """Twice the energy of the mode with wave number n [N mm]."""
        return self.parts[0] + n * self.parts[1] + n * n * self.parts[2]


def wave_energies(
    model: Model,
    at: Evaluation,
    load_factor: float,
    modes: Sequence[Array],
    theory: str = "flow",
    onward: Array | None = None,
) -> list[WaveEnergy]:
    """Second variation of the potential about a state in modes (size,) [mm, rad]: `wave_operator`, but no bands."""
    parts = _wave_parts(model, at, load_factor, theory, onward)
    return [_with_hinges(model, _energies(model.shell.elements, parts, mode), mode) for mode in modes]


def _with_hinges(model: Model, parts: tuple[float, ...], mode: Array) -> WaveEnergy:
    if model.shell.hinge is None:
        return WaveEnergy(parts)
    nodal = mode[model.shell.elements.wave.dofs]
    stiff = np.matmul(model.shell.hinge.wave, nodal[:, :, None])[:, :, 0]
    return WaveEnergy((parts[0] + float(np.sum(nodal * stiff)), *parts[1:]))


def linear_wave_energies(
    model: Model, at: Evaluation, load_factor: float, mode: Array
) -> tuple[WaveEnergy, WaveEnergy]:
    """Elastic and initial-stress part for linear bifurcation in a mode (size,) [mm, rad]."""
    shell = model.shell
    elastic = _material_part(shell, at, stability_tangent(shell.wall, at.resultants))
    stressed = geometric_part(shell, at.state, at.resultants.by_metric, _swept(model.load, load_factor))
    return WaveEnergy(_energies(shell.elements, elastic, mode)), WaveEnergy(_energies(shell.elements, stressed, mode))


def _energies(elements: Elements, parts: tuple[Array, ...], mode: Array) -> tuple[float, ...]:
    fields = np.matmul(elements.wave_table, mode[elements.wave.dofs][:, :, None]).reshape(len(parts[0]), -1)
    return tuple(float(np.sum(fields * np.matmul(part, fields[:, :, None])[:, :, 0])) for part in parts)


def geometric_part(shell: Shell, state: State, force: Array, swept: float) -> tuple[Array, Array, Array]:
    """Stress and follower-pressure part of the wave operators at the points; `swept` is pressure times side.

    k0, k1 and k2 (points, 10, 10) are energy [N mm] by fields, twice; force (points, 7) is energy by metrics [-, mm2].
    """
    k0, k1, k2 = kinematics.wave_second_variation(state, force)
    if swept:
        scale = (swept * shell.elements.length)[:, None, None]
        v0, v1 = kinematics.wave_enclosed_second_variation(state)
        k0, k1 = k0 - scale * v0, k1 - scale * v1
    return k0, k1, k2


def _swept(load: Load, load_factor: float) -> float:
    """Pressure times side where it follows the wall: a dead one has no second variation."""
    return load.pressure(load_factor) * load.side if load.follower else 0.0


def linear_wave_operators(model: Model, at: Evaluation, load_factor: float) -> tuple[WaveOperator, WaveOperator]:
    """Elastic and initial-stress operators for linear bifurcation; `at` is the linear solution at the load factor."""
    shell = model.shell
    elastic = _material_part(shell, at, stability_tangent(shell.wall, at.resultants))
    stressed = geometric_part(shell, at.state, at.resultants.by_metric, _swept(model.load, load_factor))
    return _wave_bands(model, elastic, spring=shell.spring), _wave_bands(model, stressed)


def _material_part(shell: Shell, at: Evaluation, moduli: Tangent) -> tuple[Array, Array, Array]:
    """Part of the moduli in the wave operators at the points."""
    inner = in_plane_stiffness(shell.wall, at.resultants, moduli)
    outer = out_of_plane_stiffness(shell.wall, at.resultants, moduli)
    in0, in1, out0, out1 = kinematics.wave_first_variation(at.state)
    a = np.concatenate([np.matmul(inner, in0), np.matmul(outer, out0)], axis=1)
    b = np.concatenate([np.matmul(inner, in1), np.matmul(outer, out1)], axis=1)
    m0, m1 = np.concatenate([in0, out0], axis=1), np.concatenate([in1, out1], axis=1)
    t0, t1 = m0.transpose(0, 2, 1), m1.transpose(0, 2, 1)
    cross = np.matmul(t0, b)
    return np.matmul(t0, a), cross + cross.transpose(0, 2, 1), np.matmul(t1, b)


def _plus(a: tuple[Array, ...], b: tuple[Array, ...]) -> tuple[Array, ...]:
    return tuple(x + y for x, y in zip(a, b, strict=True))


def _wave_bands(
    model: Model, parts: tuple[Array, ...], *, hinges: bool = False, spring: Spring | None = None
) -> WaveOperator:
    elements, hinge = model.shell.elements, model.shell.hinge
    matrices = [_element_matrices(elements.wave_table, part) for part in parts]
    if hinges and hinge is not None:
        matrices[0] += hinge.wave
    bands = np.stack([elements.wave_layout.assemble(one) for one in matrices])
    if spring is not None:
        spring.put_wave(bands[0])
    return WaveOperator(model.supports, bands)


def _rates(shell: Shell, at: Evaluation, onward: Array | None) -> Array | None:
    """Rates of the metrics (points, 7) as displacements go on."""
    if onward is None:
        return None
    rates: Array = np.matmul(at.first, fields_of(shell.elements, onward)[:, :, None])[:, :, 0]
    return rates


def fields_of(elements: Elements, x: Array) -> Array:
    """Fields (points, 5) [mm, -, rad, rad/mm] of the unknowns x (size,) [mm, rad]."""
    fields: Array = np.matmul(elements.axisymmetric_table, x[elements.axisymmetric.dofs][:, :, None])
    return fields.reshape(-1, len(FieldRow))


def _nodal(elements: Elements, force: Array) -> Array:
    """Nodal forces of forces (points, 5) by the fields."""
    table = elements.axisymmetric_table
    per_element = np.matmul(force.reshape(len(table), 1, -1), table)[:, 0, :]
    return elements.layout.assemble_vector(per_element)


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
    layout = shell.elements.layout
    return layout.assemble_vector(np.matmul(shell.hinge.axisymmetric, x[layout.dofs][:, :, None])[:, :, 0])


def _spring_force(shell: Shell, x: Array) -> Array | float:
    """Nodal moments of a seam."""
    return 0.0 if shell.spring is None else shell.spring.force(x)


def _edge_radius(elements: Elements, end: int, x: Array) -> float:
    return float(elements.vertex_radius[end] + x[elements.axisymmetric.values("u")[end]])


def _take_off_thrust(model: Model, band: Array, x: Array, pressure: float) -> None:
    """Stiffness of the thrust that an open end does not carry (it follows the edge's radius)."""
    elements, load = model.shell.elements, model.load
    if load.end_thrust or not load.follower or not model.shell.wall.measure.finite:
        return
    for end in model.supports.thrust_free_edges:
        radial, axial = (int(elements.axisymmetric.values(name)[end]) for name in "uw")
        sign = (1 if end else -1) * load.side
        band[radial, elements.layout.offset + axial - radial] += sign * pressure * _edge_radius(elements, end, x)
