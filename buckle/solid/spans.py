"""States within a step of a path: the highest one, and one at which a quantity has a given value."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import chain, islice, pairwise

import numpy as np

from buckle.errors import SolveError
from buckle.solid.body import Body
from buckle.solid.newton import StalledError, Steps, advance
from buckle.solid.path import go_on
from buckle.solid.state import State
from buckle.units import pressure_text

LOCATED = 1e-6  # of the quantity
TURNS = 60
SHORTER = 0.25  # of a step that leads to no state inside it


@dataclass(frozen=True, eq=False)
class Span:
    """An interval of a step: from the state where the step starts, between two states on it, `low` before `high`.

    Lengths along it are those from the start; the path may turn as it must there.
    """

    body: Body
    start: State
    low: State
    high: State
    steps: Steps

    @property
    def width(self) -> float:
        """Length of the interval."""
        return self.high.step - self.begin

    @property
    def begin(self) -> float:
        """Distance of `low` from the start."""
        return 0.0 if self.low is self.start else self.low.step

    def state(self, share: float) -> State:
        """State at a share of the interval, guessed by the cubic through both ends; raises StalledError."""
        f, low, high = share, self.low, self.high
        guess = low.at.plus(f * f * (3.0 - 2.0 * f), high.at.plus(-1.0, low.at))
        guess = guess.plus(f * (1.0 - f) ** 2 * self.width, low.onward)
        guess = guess.plus(f * f * (f - 1.0) * self.width, high.onward)
        steps = replace(self.steps, widest_turn=0.5 * np.pi)
        return advance(self.body, self.start, self.begin + share * self.width, steps, guess)

    def below(self, state: State) -> "Span":
        """Return the part before a state."""
        return replace(self, high=state)

    def above(self, state: State) -> "Span":
        """Return the part after a state."""
        return replace(self, low=state)


def span(body: Body, before: State, after: State, steps: Steps) -> Span:
    """Return the step between two successive states."""
    start = before.measured()
    return Span(body, start, start, after, steps)


def highest(span: Span) -> State:
    """Highest state of a span in which pressure rises at first and falls at last; raises StalledError.

    By the secant on the rate of pressure, kept inside: where it rises at rate a at one end of an interval and falls at
    rate b at the other, the highest is not more than min(a, b) times the interval above the better end.
    """
    for turn in range(TURNS):
        best = max(span.low, span.high, key=lambda state: state.pressure)
        rise, fall = span.low.rising, -span.high.rising
        if min(rise, fall) * span.width <= LOCATED * best.pressure:
            return best
        state = span.state(_share(rise, fall, turn))
        span = span.above(state) if state.rising > 0.0 else span.below(state)
    raise StalledError(f"the limit near {pressure_text(best.pressure)} could not be placed", "shorter steps")


def passing(span: Span, measure: Callable[[State], float], value: float) -> State:
    """State of a span at which a measure of the state, below the value at first and not below at last, reaches it."""
    small = LOCATED * max(abs(value), abs(measure(span.high)))
    for turn in range(TURNS):
        short, over = value - measure(span.low), measure(span.high) - value
        if over <= small:
            return span.high
        span = narrower(span, _share(short, over, turn), lambda state: measure(state) >= value)
    raise SolveError(f"no state could be placed near {pressure_text(span.low.pressure)}", "shorter steps")


def dip(span: Span) -> State | None:
    """State of a span at which pressure falls although it rises at both ends; None where there is none.

    It is looked for where the cubic through both ends, with their rates, falls most. Raises StalledError.
    """
    a, b = span.low.rising * span.width, span.high.rising * span.width
    if a <= 0.0 or b <= 0.0:
        return None
    rise = span.high.pressure - span.low.pressure
    first, second = 6.0 * rise - 4.0 * a - 2.0 * b, 3.0 * (a + b) - 6.0 * rise  # rate: a + first f + second f^2
    if not 0.0 < -first < 2.0 * second or a - first * first / (4.0 * second) >= 0.0:
        return None
    state = span.state(-0.5 * first / second)
    return state if state.rising <= 0.0 else None


def narrower(span: Span, share: float, passed: Callable[[State], bool]) -> Span:
    """Part of a span in which a state passes a mark: before or after its state at a share of it.

    Where no such state can be found, in one step from the start, the path is walked from the low end in shorter ones.
    """
    try:
        state = span.state(share)
    except StalledError:
        return _walked(span, passed)
    return span.below(state) if passed(state) else span.above(state)


def _walked(step: Span, passed: Callable[[State], bool]) -> Span:
    """Span between the first state of a walk in short steps that has passed the mark and the one before."""
    short = islice(go_on(step.body, step.low, SHORTER * step.width, step.steps), TURNS)
    for before, after in pairwise(chain([step.low], short)):
        if passed(after):
            return span(step.body, before, after, step.steps)
    raise SolveError(f"no state could be placed near {pressure_text(step.low.pressure)}", "shorter steps")


def _share(below: float, above: float, turn: int) -> float:
    """Share of an interval at which a value is likely to be nought, by how far it is so at both ends; half at times."""
    return min(max(below / (below + above), 0.02), 0.98) if turn % 4 < 3 else 0.5
