"""Where within one step of a path a wave becomes unstable."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import nearest_zero
from buckle.errors import SolveError
from buckle.shell.model import Model
from buckle.shell.operators import wave_operator
from buckle.solve.path import ArcLength, PathPoint, advance, between

Array = NDArray[np.float64]
Pairs = dict[int, tuple[float, Array]]
"""Eigenvalue nearest zero by wave number, negative where the state is unstable in it, and its vector."""

LOCATED = 1e-5  # of the load
BESIDE = 1e-4  # of the load: how close to states that cannot be found
NEARLY = 1e-3  # of the load: how wide a gap in the path may be
ROUGHLY = 1e-3  # of an eigenvalue: enough to aim by
TURNS = 80


@dataclass(frozen=True, eq=False)
class Bifurcation:
    """First state at which a wave of number n can grow without more load."""

    wave_number: int
    point: PathPoint
    mode: Array  # (size,) [mm, rad] of any size

    @property
    def load_factor(self) -> float:
        """Size of the load that increases [MPa] or [N]."""
        return self.point.load_factor


@dataclass(frozen=True, eq=False)
class Step:
    """A step of a path from a stable to an unstable state, both in one metric, with the plastic theory of the waves."""

    model: Model
    stable: PathPoint
    unstable: PathPoint
    theory: str
    settings: ArcLength

    @property
    def length(self) -> float:
        """Distance along the path."""
        return self.unstable.step

    @property
    def slope(self) -> float:
        """Change of load per distance [MPa] or [N]."""
        return abs(self.unstable.load_factor - self.stable.load_factor) / self.length

    def state(self, distance: float) -> PathPoint | None:
        """State at a distance from the stable end; None where none can be found."""
        guess = between(self.stable, self.unstable, distance)
        return advance(self.model, self.stable, distance, self.settings, guess)

    def pairs(self, point: PathPoint, waves: list[int], start: Pairs | None = None) -> Pairs:
        """Eigenpairs at a state, by inverse iteration from those of a state nearby. Vectors (size,) [mm, rad]."""
        operator = wave_operator(self.model, point.at, point.load_factor, self.theory, point.tangent.x)
        begin = {n: None if start is None else start[n][1] for n in waves}
        return {n: nearest_zero(operator.at(n), begin[n], ROUGHLY) for n in waves}


@dataclass(frozen=True, eq=False)
class End:
    """One end of the interval that holds the bifurcation."""

    distance: float
    point: PathPoint
    pairs: Pairs  # (size,) [mm, rad] vectors


def locate_bifurcation(step: Step, waves: list[int]) -> Bifurcation:
    """Place the first zero eigenvalue within a step, over all waves that change in it, by a safeguarded secant.

    The interval is driven below a hundred-thousandth of the load: with plasticity the eigenvalue jumps when a point
    starts or stops flowing, and the change of sign may be such a jump. Where states cannot be found the interval closes
    in on that gap from both sides. Raises SolveError if the gap is too wide to tell.
    """
    start = low = End(0.0, step.stable, step.pairs(step.stable, waves))
    high = End(step.length, step.unstable, step.pairs(step.unstable, waves))
    gap: tuple[float, float] | None = None
    last, halve = None, False
    for _ in range(TURNS):
        guess = {n: _crossing(low, high, n) for n in high.pairs}
        first = min(guess, key=lambda n: guess[n])
        load, width = high.point.load_factor, high.distance - low.distance
        if width * step.slope <= LOCATED * load:
            return Bifurcation(first, high.point, high.pairs[first][1])
        if gap is not None:
            below, above = gap[0] - low.distance, high.distance - gap[1]
            if max(below, above) * step.slope <= BESIDE * load:
                return _beside_gap(step, start, low, high, first)
            aim = low.distance + 0.5 * below if below > above else high.distance - 0.5 * above
        elif halve:
            aim = low.distance + 0.5 * width
        else:
            aim = _aim(low, high, guess[first], last, 0.3 * LOCATED * load / step.slope)
        last = guess[first]
        point = step.state(aim)
        if point is None:
            gap = (aim, aim) if gap is None else (min(aim, gap[0]), max(aim, gap[1]))
            continue
        pairs = step.pairs(point, list(high.pairs), high.pairs)
        unstable = {n: pair for n, pair in pairs.items() if pair[0] <= 0.0}
        if gap is not None and (aim < gap[0]) == bool(unstable):
            gap = None  # it lies outside the interval that is left
        low, high = (low, End(aim, point, unstable)) if unstable else (End(aim, point, pairs), high)
        halve = high.distance - low.distance > 0.5 * width
    raise _not_located(step)


def _crossing(low: End, high: End, n: int) -> float:
    """Distance at which the straight line through the eigenvalues of two ends is zero."""
    return low.distance + (high.distance - low.distance) * low.pairs[n][0] / (low.pairs[n][0] - high.pairs[n][0])


def _aim(low: End, high: End, guess: float, last: float | None, least: float) -> float:
    """Distance a little beyond the guess, seen from the nearer end, by as much as the guess is in doubt.

    The zero is then likely to lie between that end and the new state, so that the interval closes from both sides.
    """
    width, reach = high.distance - low.distance, min(guess - low.distance, high.distance - guess)
    doubt = 0.1 * reach if last is None else min(0.1 * reach, abs(guess - last))
    beyond = doubt + least
    aim = guess + (beyond if guess - low.distance < high.distance - guess else -beyond)
    return min(max(aim, low.distance + 1e-3 * width), high.distance - 1e-3 * width)


def _beside_gap(step: Step, start: End, low: End, high: End, first: int) -> Bifurcation:
    """Bifurcation at the last stable state before a gap in the path, if it is sure to lie in the gap.

    It does where the gap is narrow (a path that turns in a point) or where the eigenvalue is going to be zero in it: on
    the path of a perfect body, a sphere whose n = 0 branches off with all others, no state can be found at the
    bifurcation. Raises SolveError otherwise: the path is broken there and tells nothing.
    """
    narrow = (high.distance - low.distance) * step.slope <= NEARLY * low.point.load_factor
    at_start, at_low = start.pairs[first][0], low.pairs[first][0]
    ahead = low.distance * at_low / (at_start - at_low) if at_low < at_start else np.inf
    if not narrow and ahead * step.slope > NEARLY * low.point.load_factor:
        raise _not_located(step)
    return Bifurcation(first, low.point, low.pairs[first][1])


def _not_located(step: Step) -> SolveError:
    near = step.model.load.text(step.stable.load_factor)
    return SolveError(f"the bifurcation near {near} could not be placed", "a shorter step")
