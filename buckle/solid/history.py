"""Plastic history in a multiplicative split, and a step of it that is second order in its length.

F = F_e F_p. Kept are C_p^-1 = F_p^-1 F_p^-T and the equivalent plastic strain; b_e = F C_p^-1 F^T is the elastic strain
that the metal answers to, and plastic flow of logarithmic strain d e_p makes it exp(ln b_e - 2 d e_p) in its own axes.

A step is a midpoint rule in two halves (derived here). At its start, history flows by half of the plastic strain that
is expected of the step, in the direction of flow at the start: that half is explicit, and known before the step. What
is then left flows back to the yield surface at the end, in the direction there: that half is implicit. The two
directions weigh a half each up to terms of the step, so that the error of a step is of third order and that of a path
of second (backward Euler: first, 0.6 % low on a domed base with forty steps). Where no more than the explicit half
would flow, a point keeps the plain history of its start: it begins to flow, stops, or unloads. Every point that flows
ends at yield.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.solid import tensors
from buckle.solid.algebra import Algebra, AxesKind, PrincipalAxes, algebra_of
from buckle.solid.metal import Answer, Metal, mises

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class History:
    """What every point remembers."""

    plastic: Array  # (4, points) [-] C_p^-1; (9, points) in space
    worked: Array  # (points,) [-] equivalent plastic strain

    @classmethod
    def virgin(cls, points: int, unit: Array = tensors.UNIT) -> "History":
        """History of some points before any flow; `unit` (components, 1) [-] is the unit tensor of the body."""
        return cls(np.repeat(unit, points, axis=1), np.zeros(points))


@dataclass(frozen=True, eq=False)
class Preflow:
    """The explicit half of a step: history after it, and how much has flowed, (points,)."""

    history: History
    grown: Array  # (points,) [-]

    def only(self, points: Flags | None, history: History) -> "Preflow":
        """Return the explicit half at some points alone, (points,), with the plain history at the others."""
        if points is None:
            return self
        plastic = np.where(points, self.history.plastic, history.plastic)
        worked = np.where(points, self.history.worked, history.worked)
        return Preflow(History(plastic, worked), np.where(points, self.grown, 0.0))


@dataclass(frozen=True, eq=False)
class Step:
    """Answer of all points to a gradient: where the implicit half started, principal axes and elastic strain of it."""

    start: History
    halved: Flags | None  # (points,) that took the explicit half; None where none was offered
    axes: PrincipalAxes
    strain: Array  # (3, points) [-] trial logarithmic strain
    answer: Answer


def elastic_strain(F: Array, history: History, within: Algebra[AxesKind]) -> tuple[Array, AxesKind]:
    """Logarithmic principal strains (3, points) [-] and axes of b_e at gradients F (rows, points) of some tensors."""
    b, axes = within.principal(within.carried(F, history.plastic))
    return 0.5 * np.log(b), axes


def preflow(F: Array, history: History, grown: Array) -> Preflow:
    """Flow by equivalent plastic strains `grown` in the direction of the state (F, history).

    F (5, points) [-], or (9, points) in space; grown (points,) [-].
    """
    strain, axes = elastic_strain(F, history, algebra_of(F))
    deviator = strain - strain.mean(axis=0)
    size = mises(deviator)
    flow = np.where(size > 0.0, 1.5 * grown / np.where(size > 0.0, size, 1.0), 0.0) * deviator
    return Preflow(_flowed(F, history, axes, strain - flow, grown), grown)


def take(metal: Metal, F: Array, history: History, before: Preflow | None = None, halved: Flags | None = None) -> Step:
    """Step from a history to gradients F (5, points), with the explicit half `before` where it belongs.

    That is where more than it is going to flow, or at the points `halved` if these are given.
    F [-], in space (9, points).
    """
    if before is not None:
        halved = _flow_on(metal, F, history, before) if halved is None else halved
        plastic = np.where(halved, before.history.plastic, history.plastic)
        history = History(plastic, np.where(halved, before.history.worked, history.worked))
    strain, axes = elastic_strain(F, history, algebra_of(F))
    return Step(history, halved, axes, strain, metal.answer(strain, history.worked))


def ended(metal: Metal, F: Array, step: Step) -> History:
    """History at the end of a step to gradients F, (5, points) [-]."""
    if not metal.flows:
        return step.start
    return _flowed(F, step.start, step.axes, step.strain - step.answer.flow, step.answer.grown)


def _flow_on(metal: Metal, F: Array, history: History, before: Preflow) -> Flags:
    """Points that would flow by more than the explicit half, so that something is left for the implicit one."""
    hardening = metal.material.hardening
    assert hardening is not None
    strain, _ = elastic_strain(F, history, algebra_of(F))
    shear = metal.material.shear_modulus
    trial = 2.0 * shear * mises(strain - strain.mean(axis=0))
    strength, _ = hardening.stress_and_slope(before.history.worked)
    more: Flags = (before.grown > 0.0) & (trial - 3.0 * shear * before.grown > strength)
    return more


def _flowed(F: Array, history: History, axes: PrincipalAxes, elastic: Array, grown: Array) -> History:
    """History whose elastic strain at F is `elastic` in the axes given."""
    b, worked = axes.assembled(np.exp(2.0 * elastic)), history.worked + grown
    within = algebra_of(F)
    return History(within.carried(within.inverse(F), b), worked)
