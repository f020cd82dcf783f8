"""The path of a solid as far as it is asked for, with its limits and the states at given travels."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from buckle.errors import PathEndError, SolveError
from buckle.solid.body import Body
from buckle.solid.newton import StalledError, Steps
from buckle.solid.numbering import Z
from buckle.solid.path import next_state, start
from buckle.solid.spans import SHORTER, Span, dip, highest, passing, span
from buckle.solid.state import State
from buckle.units import pressure_text

Array = NDArray[np.float64]
B = TypeVar("B", bound=Body)
SHALLOW = 1e-3
"""Pressure must fall by this fraction behind a limit: a shallower dip is within the error of mesh and steps."""


@dataclass(frozen=True)
class Until:
    """When a path has gone far enough: whichever comes first."""

    drop: float = 0.02  # fall of pressure below the highest so far, as a fraction of it
    travel: float = np.inf  # of the apex [mm]
    pressure: float = np.inf  # [MPa]
    passed: Callable[[State], bool] | None = None  # whatever else tells that a state has gone far enough

    def reached(self, body: Body, state: State, highest: float) -> bool:
        """Tell whether a state has gone far enough; `highest` is the highest pressure so far."""
        if state.pressure >= self.pressure or state.pressure < (1.0 - self.drop) * highest:
            return True
        if self.passed is not None and self.passed(state):
            return True
        return np.isfinite(self.travel) and travel(body, state) >= self.travel


@dataclass(frozen=True, eq=False)
class SolidPath(Generic[B]):
    """Successive states, the local maxima of pressure among them, and the error that ended the path, if one did."""

    solid: B
    steps: Steps
    states: tuple[State, ...]
    limits: tuple[State, ...]
    end: SolveError | None

    @property
    def limit(self) -> State | None:
        """First state at which pressure stops rising; None if none was met: `end` or the caller's `Until` says why."""
        return self.limits[0] if self.limits else None

    def up_to(self, state: State) -> "SolidPath[B]":
        """Return the path up to a state that was placed within a step of it."""
        before = tuple(each for each in self.states if each.arc < state.arc)
        limits = tuple(each for each in self.limits if each.arc <= state.arc)
        return SolidPath(self.solid, self.steps, (*before, state), limits, None)

    @cached_property
    def spans(self) -> tuple[Span, ...]:
        """Steps between successive states, cut at the limits."""
        return tuple(part for before, after in pairwise(self.states) for part in self._cut(before, after))

    def _cut(self, before: State, after: State) -> Iterator[Span]:
        step = span(self.solid, before, after, self.steps)
        for limit in self.limits:
            if before.arc < limit.arc < after.arc:
                yield step.below(limit)
                step = step.above(limit)
        yield step

    @cached_property
    def climb(self) -> tuple[Span, ...]:
        """Parts of the path along which pressure is higher than ever before: those that rising pressure passes through.

        Behind a limit that is passed they go on where the pressure of the limit is regained.
        """
        found, top = list[Span](), self.states[0].pressure
        for each in self.spans:
            if each.high.pressure > top:
                found.append(each if each.low.pressure >= top else each.above(passing(each, _pressure, top)))
                top = each.high.pressure
        return tuple(found)

    @property
    def rising(self) -> tuple[State, ...]:
        """States at which pressure is higher than ever before."""
        return (self.states[0], *(each.high for each in self.climb))

    @cached_property
    def pressures(self) -> Array:
        """Pressure of the states (states,) [MPa]."""
        return np.array([state.pressure for state in self.states])

    @cached_property
    def travels(self) -> Array:
        """Travel of the apex at the states (states,) [mm]; raises SolveError for a body without an apex."""
        return np.array([travel(self.solid, state) for state in self.states])

    def at_travel(self, value: float) -> State:
        """First state at which the apex has travelled so far [mm]; raises SolveError if it never does."""
        return self.at(lambda state: travel(self.solid, state), value, f"{value:.4g} mm of travel")

    def at_pressure(self, value: float) -> State:
        """First state at a pressure [MPa]; raises SolveError if the path never gets there."""
        return self.at(_pressure, value, pressure_text(value))

    def at(self, measure: Callable[[State], float], value: float, what: str) -> State:
        """First state at which a measure reaches a value; raises SolveError, which says `what`, if it never does."""
        for each in self.spans:
            if measure(each.low) < value <= measure(each.high):
                return passing(each, measure, value)
        raise self.end or PathEndError(f"the path of the solid ends before {what}", "following it further")


def _pressure(state: State) -> float:
    return state.pressure


def travel(body: Body, state: State) -> float:
    """Travel of the apex [mm] to the side that pressure pushes to; raises SolveError for a body without an apex."""
    if body.apex is None:
        raise SolveError("a body that does not reach the axis has no apex", "its pressures alone")
    outward = 1.0 if body.elements.s[body.apex] == 0.0 else -1.0  # the walk ends inward at an apex
    return -body.load.side * outward * float(body.moved(state.at.x)[body.apex, Z])


def solid_path(
    body: B,
    until: Until | None = None,
    steps: Steps | None = None,
    on_state: Callable[[State], None] | None = None,
) -> SolidPath[B]:
    """Follow the path from zero pressure; `on_state` is called with every state.

    Where no further state can be found, the path ends there and carries the error; raises SolveError where it cannot
    even start.
    """
    until, steps = until or Until(), steps or Steps()
    states, limits, end = [start(body)], list[State](), None
    top: _Top | None = None
    try:
        for state, new in _onward(body, states[0], steps):
            top = _higher(top, new, state)
            if top is not None and top.lowest < (1.0 - SHALLOW) * top.state.pressure:
                limits.append(top.state)
                top = None
            states.append(state)
            if on_state is not None:
                on_state(state)
            if until.reached(body, state, max(one.pressure for one in (*states, *limits))):
                break
    except SolveError as error:
        end = error
    return SolidPath(body, steps, tuple(states), tuple(limits), end)


@dataclass(frozen=True, eq=False)
class _Top:
    """A local maximum of pressure, and the lowest pressure that was met since."""

    state: State
    lowest: float


def _onward(body: Body, state: State, steps: Steps) -> Iterator[tuple[State, _Top | None]]:
    """Yield states after the start with the local maximum before each; raises SolveError when there is none further.

    A step within which states cannot be found where they are looked for is taken shorter.
    """
    step = steps.first
    for _ in range(steps.count):
        new, longer = next_state(body, state, step, steps)
        try:
            top = _top(span(body, state, new, steps))
        except StalledError:
            step = SHORTER * new.step
            if step < steps.shortest:
                raise
            continue
        yield new, top
        state, step = new, longer
    raise PathEndError(f"{steps.count} steps led up to {pressure_text(state.pressure)} and no further", "longer steps")


def _top(step: Span) -> _Top | None:
    """Local maximum of pressure in a step, if there is one."""
    topped = step.low.rising > 0.0 >= step.high.rising
    falling = step.high if topped else dip(step)
    return None if falling is None else _Top(highest(step.below(falling)), falling.pressure)


def _higher(top: _Top | None, new: _Top | None, state: State) -> _Top | None:
    """The higher of an earlier maximum and one of the last step; none if pressure at its end is higher than both."""
    if top is None or (new is not None and new.state.pressure > top.state.pressure):
        return new
    if state.pressure > top.state.pressure:
        return None
    return _Top(top.state, min(top.lowest, state.pressure))
