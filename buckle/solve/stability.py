"""Limit points and bifurcations on a path, placed to a small fraction of the load."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from buckle.errors import SolveError
from buckle.shell.model import Shell
from buckle.shell.operators import wave_operator
from buckle.solve.banded import is_stable, nearest_zero
from buckle.solve.path import ArcLength, Metric, PathPoint, advance, between, within_a_step
from buckle.units import pressure_text

Array = NDArray[np.float64]
PLACED = 1e-6  # of the load: a limit
ONSET = 1e-5  # of the load: a bifurcation
ROUGHLY = 1e-3  # of an eigenvalue: enough to aim by
BESIDE = 1e-4  # of the load, where the path itself is singular
NEARLY = 1e-3  # of the load: how far beyond that state the eigenvalue may vanish
LEVEL = 1e-3  # share of pressure in the path's unit tangent below which a path counts as level


@dataclass(frozen=True, eq=False)
class Bifurcation:
    """First state at which a wave of number n can grow without more pressure."""

    wave_number: int
    point: PathPoint
    mode: Array  # wave unknowns, of any size

    @property
    def pressure(self) -> float:
        """Pressure [MPa]."""
        return self.point.pressure


@dataclass(frozen=True)
class Watch:
    """Which waves are watched, by which plastic theory ('flow' or 'deformation'), and how closely.

    States closer together than `spacing`, a fraction of the highest pressure, are passed over. Each state is looked at
    in every third wave number, in turn: an instability that comes and goes on the way is several wave numbers wide
    when it lasts for less than three states. The last state is looked at in all of them.
    """

    wave_numbers: Sequence[int]
    theory: str = "flow"
    spacing: float = 0.03
    turns: int = 3
    settings: ArcLength = field(default_factory=ArcLength)

    def at_turn(self, turn: int) -> list[int]:
        """Wave numbers of a turn."""
        return [n for n in self.wave_numbers if n % self.turns == turn % self.turns]


def locate_limit(shell: Shell, metric: Metric, before: PathPoint, after: PathPoint, settings: ArcLength) -> PathPoint:
    """Find the highest state between two successive points, by the secant on the rate of pressure, safeguarded.

    Where pressure rises at rate a at one end of an interval and falls at rate b at the other, the highest is not more
    than min(a, b) times the interval above the better end: that bound is driven below a millionth of the load.
    """
    settings = within_a_step(settings)
    low, high = (0.0, before.tangent.pressure), (after.step, after.tangent.pressure)
    best = max(before, after, key=lambda point: point.pressure)
    for turn in range(60):
        width = high[0] - low[0]
        if min(low[1], -high[1]) * width <= PLACED * best.pressure:
            return best
        secant = low[0] + width * low[1] / (low[1] - high[1])
        step = min(max(secant, low[0] + 0.02 * width), high[0] - 0.02 * width) if turn % 4 else low[0] + 0.5 * width
        point = advance(shell, metric, before, step, settings, between(before, after, step))
        if point is None:
            break
        best = max(best, point, key=lambda point: point.pressure)
        end = (step, point.tangent.pressure)
        low, high = (end, high) if end[1] > 0.0 else (low, end)
    raise SolveError(f"the limit near {pressure_text(best.pressure)} could not be placed", "a shorter step")


def unstable_waves(
    shell: Shell, metric: Metric, point: PathPoint, watch: Watch, wave_numbers: Sequence[int] | None = None
) -> list[int]:
    """Wave numbers in which a state is not stable, of those given or of all that are watched.

    n = 0 is looked at where an elastic path still rises: there it means that the path of a perfect body has an
    axisymmetric branch. At a limit point it is singular anyway; with plasticity it would be so a little before, since
    the tangent of the path is that of finite steps.
    """
    operator = wave_operator(shell, point.at, point.pressure, watch.theory)
    rising = point.at.history is None and point.tangent.pressure > LEVEL * metric.pressure_scale
    looked_at = watch.wave_numbers if wave_numbers is None else wave_numbers
    return [n for n in looked_at if (n > 0 or rising) and not is_stable(operator.at(shell, n))]


def find_bifurcation(shell: Shell, metric: Metric, points: Sequence[PathPoint], watch: Watch) -> Bifurcation | None:
    """First bifurcation along successive points; None when none of the watched waves was found unstable."""
    watched = _watched(points, watch.spacing)
    for turn, index in enumerate(watched):
        some = watch.wave_numbers if index == watched[-1] else watch.at_turn(turn)
        if unstable_waves(shell, metric, points[index], watch, some):
            first, waves = _first_unstable(shell, metric, points, index, watch)
            return _place(shell, metric, points[first - 1], points[first], waves, watch)
    return None


def _watched(points: Sequence[PathPoint], fraction: float) -> list[int]:
    """Indices of the states to watch: spaced in pressure, the last one always."""
    spacing = fraction * max(point.pressure for point in points)
    chosen, last = [], 0.0
    for index, point in enumerate(points[1:], start=1):
        if abs(point.pressure - last) >= spacing or index == len(points) - 1:
            chosen.append(index)
            last = point.pressure
    return chosen


def _first_unstable(
    shell: Shell, metric: Metric, points: Sequence[PathPoint], index: int, watch: Watch
) -> tuple[int, list[int]]:
    """Go back from an unstable state as long as the state before it is unstable too; returns it and its waves."""
    waves = unstable_waves(shell, metric, points[index], watch)
    while index > 1 and (before := unstable_waves(shell, metric, points[index - 1], watch)):
        index, waves = index - 1, before
    return index, waves


def _place(
    shell: Shell, metric: Metric, stable: PathPoint, unstable: PathPoint, waves: list[int], watch: Watch
) -> Bifurcation:
    """Place the first zero eigenvalue within one step, over all waves that change in it, by a safeguarded secant.

    The interval is driven below a hundred-thousandth of the load: with plasticity the eigenvalue jumps when a point
    starts or stops flowing, and the change of sign may be such a jump. Each turn aims a little beyond the guess, seen
    from the nearer end, by as much as the guess is in doubt, so that the interval closes from both sides; where it has
    not been halved, the next turn halves it. On the path of a perfect body (a sphere, whose n = 0 branches off with
    all the others) no state can be found at the bifurcation itself: closing in from the stable side then ends at a
    ten-thousandth, if the eigenvalue is going to be zero there; where it is not, the path is broken and tells nothing.
    """
    low, high, ceiling = 0.0, unstable.step, unstable.step
    at_low = at_stable = _eigenpairs(shell, stable, waves, watch.theory)
    at_high = _eigenpairs(shell, unstable, waves, watch.theory)
    settings = within_a_step(watch.settings)
    found, below = unstable, stable
    slope = abs(unstable.pressure - stable.pressure) / unstable.step
    last, halve = None, False
    for _ in range(80):
        guess = {n: low + (high - low) * at_low[n][0] / (at_low[n][0] - at_high[n][0]) for n in waves}
        first = min(waves, key=lambda n: guess[n])
        if (high - low) * slope <= ONSET * found.pressure:
            return Bifurcation(first, found, at_high[first][1])
        if ceiling < high and (ceiling - low) * slope <= BESIDE * below.pressure:
            if (_zero(at_stable[first][0], at_low[first][0], low) - low) * slope > NEARLY * below.pressure:
                break
            return Bifurcation(first, below, at_low[first][1])
        top, width = min(high, ceiling), high - low
        reach = min(guess[first] - low, high - guess[first])
        doubt = 0.1 * reach if last is None else min(0.1 * reach, abs(guess[first] - last))
        beyond = doubt + 0.3 * ONSET * found.pressure / slope
        aim = guess[first] + (beyond if guess[first] - low < high - guess[first] else -beyond)
        step = 0.5 * (low + top) if halve else min(max(aim, low + 1e-3 * (top - low)), top - 1e-3 * (top - low))
        last = guess[first]
        point = advance(shell, metric, stable, step, settings, between(stable, unstable, step))
        if point is None:
            ceiling, halve = step, True
            continue
        now = _eigenpairs(shell, point, waves, watch.theory, at_high)
        still = [n for n in waves if now[n][0] <= 0.0]
        if still:
            high, at_high, waves, found = step, now, still, point
        else:
            low, at_low, below = step, now, point
        halve = high - low > 0.5 * width
    raise SolveError(f"the bifurcation near {pressure_text(stable.pressure)} could not be placed", "a shorter step")


def _zero(start: float, end: float, step: float) -> float:
    """Where a value that falls from `start` at nil to `end` at a step is going to be zero."""
    return step * start / (start - end) if end < start else np.inf


Eigenpairs = dict[int, tuple[float, Array]]


def _eigenpairs(
    shell: Shell, point: PathPoint, waves: Sequence[int], theory: str, start: Eigenpairs | None = None
) -> Eigenpairs:
    """Eigenvalue nearest zero per wave number, negative where the state is unstable in it, and its vector."""
    operator = wave_operator(shell, point.at, point.pressure, theory)
    return {n: nearest_zero(operator.at(shell, n), None if start is None else start[n][1], ROUGHLY) for n in waves}
