"""Direct differentiation along a path: from the derivatives of one state to those of the next, history included.

A state that a step found solves R(x, p; history, numbers) = 0 and keeps its distance along the path, or its load.
Differentiated, that is one more solution with the tangent of the step for each number:

    K dx - f dp = -dR at fixed x, p        <(dx, dp), direction of the path> = 0  (1 by the length of the step itself)

with the derivative of the history of the state before in dR. What the step leaves of history follows from dx.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import BandLU, factor
from buckle.errors import SolveError
from buckle.sensitivity.columns import Columns
from buckle.shell import kinematics
from buckle.shell.model import Model
from buckle.shell.numbering import FieldRow
from buckle.shell.operators import Evaluation, answer_of, fields_of, tangent
from buckle.shell.plasticity import PlasticState
from buckle.shell.points import History
from buckle.shell.rates import Flow, HistoryRates, no_history_rates, rates
from buckle.solve.path import PathPoint

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class StateRates:
    """Derivatives of a state by the columns."""

    x: Array  # (size, columns) [mm, rad]
    load: Array  # (columns,) [MPa] or [N]
    history: HistoryRates | None  # that the state leaves; None of an elastic one
    drift: Array | float = 0.0  # (points, layers, columns) of the drift of the layers' positions


@dataclass(frozen=True, eq=False)
class Link:
    """A state and the step that found it: along the path from another, or at a fixed load."""

    model: Model
    at: Evaluation
    load: float
    old: PlasticState | None  # the history that it started from; None of an elastic one
    start: PathPoint | None = None  # the state that a step along the path started from
    step: float = 0.0  # length of that
    last: bool = False  # whether the state moves with the length of the step

    @property
    def along(self) -> bool:
        """Whether the state keeps its distance rather than its load."""
        return self.start is not None


def link_of(model: Model, point: PathPoint, *, last: bool = False) -> Link:
    """Return the step that found a point of a path."""
    start = point.origin
    if start is None or not point.step:
        old = model.shell.wall.virgin if start is None else start.at.history
        return Link(model, point.at, point.load_factor, old)
    return Link(model, point.at, point.load_factor, start.history(point.step), start, point.step, last)


def first_rates(columns: Columns) -> StateRates:
    """Return the derivatives of what there is before the first step: none."""
    wall = columns.model.shell.wall
    history = no_history_rates(wall.weight.shape, columns.count) if wall.material.hardening else None
    return StateRates(np.zeros((columns.model.shell.size, columns.count)), np.zeros(columns.count), history)


def next_rates(columns: Columns, link: Link, before: StateRates) -> StateRates:
    """Return the derivatives of the state at the end of a step from those at its start. Raises SolveError."""
    model, at = link.model, link.at
    lu = factor(tangent(model, at, link.load))
    if lu is None:
        raise SolveError("a state has no derivative: its tangent is singular", "a shorter step")
    old_rates = old_rates_of(columns, link, before)
    step, q = _history(model, link), fields_of(model.shell.elements, at.x)
    turned = columns.turned(at.x[model.shell.elements.axisymmetric.dofs]).reshape(*q.shape, columns.count)
    flow = _flow(columns, step)
    body = (model.shell.line, model.shell.wall.layers, model.shell.wall.metal)
    changes = (columns.geometry, columns.metal)
    force, _ = rates(body, changes, (*step, flow), old_rates, (q, turned), True)
    right = -residual_rates(columns, link, force, turned)
    dx, dload = _solved(link, lu, right)
    if link.old is None:
        return StateRates(dx, dload, None)
    moved = np.matmul(model.shell.elements.axisymmetric_table, dx[model.shell.elements.axisymmetric.dofs])
    _, history = rates(body, changes, (*step, flow), old_rates, (q, turned + moved.reshape(turned.shape)), False)
    drift = 0.0
    if link.along:
        assert before.history is not None
        drift = (history.position - before.history.position) / link.step
    return StateRates(dx, dload, history, drift)


def residual_rates(columns: Columns, link: Link, force: Array, dq: Array) -> Array:
    """Derivatives of the residual (size, columns) [N] from those of the points' forces (points, 5, columns).

    dq (points, 5, columns) is how the fields change [mm, -, rad, rad/mm]; displacements are held.
    """
    model, at, elements = link.model, link.at, link.model.shell.elements
    table, pressed = elements.axisymmetric_table, model.load.side * model.load.pressure(link.load)
    swept, dswept = _swept(columns, at, dq, moves=at.finite and model.load.follower)
    total = np.matmul(at.first.transpose(0, 2, 1), at.resultants.by_metric[:, :, None])[:, :, 0] - pressed * swept
    count = len(table)
    per_field = (force - pressed * dswept).reshape(count, -1, columns.count)
    per_element = np.matmul(table.transpose(0, 2, 1), per_field) + columns.turned_back(total.reshape(count, -1))
    if columns.hinge is not None:
        per_element += columns.hinged(at.x[elements.axisymmetric.dofs])
    out = np.zeros((model.shell.size, columns.count))
    np.add.at(out, elements.axisymmetric.dofs, per_element)
    if not model.load.end_thrust:
        for end in model.supports.thrust_free_edges:
            axial, radial = (int(elements.axisymmetric.values(name)[end]) for name in "wu")
            moved = at.x[radial] if at.finite and model.load.follower else 0.0
            radius = float(elements.vertex_radius[end]) + moved
            out[axial] += (1 if end else -1) * pressed * radius * columns.edge_radius[end]
    return out


def _swept(columns: Columns, at: Evaluation, dq: Array, *, moves: bool) -> tuple[Array, Array]:
    """Forces (points, 5) by the fields of unit pressure on the left of the walk, and their derivatives by columns."""
    q, dq = (at.q, dq) if moves else (np.zeros_like(at.q), np.zeros_like(dq))
    length, (slope, rho) = columns.model.shell.elements.length, kinematics.enclosed_slopes(at.station, q)
    line = columns.geometry.line
    drho = line[0] + dq[:, FieldRow.U]
    dslope = np.cos(at.station.heading)[:, None] * line[1] + dq[:, FieldRow.W_S]
    out = np.zeros_like(dq)
    out[:, FieldRow.U] = (length * slope)[:, None] * drho + (length * rho)[:, None] * dslope
    out[:, FieldRow.U] += (rho * slope)[:, None] * columns.length
    out[:, FieldRow.W_S] = (length * rho)[:, None] * drho + (0.5 * rho * rho)[:, None] * columns.length
    return length[:, None] * kinematics.enclosed_variation(at.station, q), out


def _solved(link: Link, lu: BandLU, right: Array) -> tuple[Array, Array]:
    """Solve for the displacements and, where the distance is kept, the load."""
    supports, columns = link.model.supports, right.shape[1]
    if link.start is None:
        return lu.solve(supports.freed(right)), np.zeros(columns)
    rise = lu.solve(supports.freed(link.at.increasing))
    fall = lu.solve(supports.freed(right))
    metric, onward = link.start.metric, link.start.tangent
    weighted = metric.weights * onward.x
    per_load = float(weighted @ rise) + onward.load_factor / metric.load_scale**2
    wanted = np.zeros(columns)
    wanted[-1] = float(link.last)
    dload = (wanted - weighted @ fall) / per_load
    return fall + rise[:, None] * dload, dload


def old_rates_of(columns: Columns, link: Link, before: StateRates) -> HistoryRates:
    """Derivatives of the history that a step starts from, its layers where they are expected at its end."""
    if before.history is None:
        return no_history_rates(columns.model.shell.wall.weight.shape, columns.count)
    if link.start is None:
        return before.history
    position = before.history.position + link.step * before.drift
    if link.last:
        position = position.copy()
        position[:, :, -1] = link.start.drift
    return before.history._replace(position=position)


def _history(model: Model, link: Link) -> tuple[History, History]:
    """History at the start and at the end of a step; of an elastic body that of its layers alone."""
    if link.old is None:
        return _plain(model.shell.wall.unstrained), answer_of(model.shell, link.at.x).history
    assert link.at.history is not None
    return _plain(link.old), _plain(link.at.history)


def _plain(state: PlasticState) -> History:
    return History(state.strain, state.equivalent, state.stress, state.position, state.fresh)


def _flow(columns: Columns, step: tuple[History, History]) -> Flow:
    old, new = step
    law, none = columns.model.shell.wall.material.hardening, np.zeros_like(old.equivalent)
    if law is None:
        return Flow(none, none, np.zeros((*none.shape, columns.count)))
    before, slope = law.stress_and_slope(old.equivalent)[0], law.stress_and_slope(new.equivalent)[1]
    return Flow(before, np.ascontiguousarray(slope), columns.flow_stress(new.equivalent))


def shifted(at: Evaluation, by: StateRates, column: int, step: float) -> Evaluation:
    """Return a state moved by a step of a column, to first order: its displacements and plastic strain alone."""
    state = at.resultants.state
    if state is not None and by.history is not None:
        moved = np.maximum(state.equivalent + step * by.history.equivalent[:, :, column], 0.0)
        state = replace(state, equivalent=moved)
    return replace(at, x=at.x + step * by.x[:, column], resultants=replace(at.resultants, state=state))
