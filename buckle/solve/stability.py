"""Limit points and bifurcations on a path, placed to a millionth of the load."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from buckle.errors import SolveError
from buckle.shell.model import Shell
from buckle.shell.operators import wave_operator
from buckle.solve.banded import is_stable, nearest_zero
from buckle.solve.path import ArcLength, Metric, PathPoint, advance, between
from buckle.units import pressure_text

Array = NDArray[np.float64]
PLACED = 1e-6  # of the load
WATCH_SPACING = 0.06  # of the highest pressure: how far apart the watched states lie


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
    """Which waves are watched, by which plastic theory ('flow' or 'deformation')."""

    wave_numbers: Sequence[int]
    theory: str = "flow"
    settings: ArcLength = field(default_factory=ArcLength)


def locate_limit(shell: Shell, metric: Metric, before: PathPoint, after: PathPoint, settings: ArcLength) -> PathPoint:
    """Find the highest state between two successive points, by the secant on the rate of pressure, safeguarded.

    Where pressure rises at rate a at one end of an interval and falls at rate b at the other, the highest is not more
    than min(a, b) times the interval above the better end: that bound is driven below a millionth of the load.
    """
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


def unstable_waves(shell: Shell, point: PathPoint, wave_numbers: Sequence[int], theory: str) -> list[int]:
    """Wave numbers (>= 1) in which a state is not stable."""
    operator = wave_operator(shell, point.at, point.pressure, theory)
    return [n for n in wave_numbers if n > 0 and not is_stable(operator.at(shell, n))]


def find_bifurcation(shell: Shell, metric: Metric, points: Sequence[PathPoint], watch: Watch) -> Bifurcation | None:
    """First bifurcation along successive points; None when every watched state is stable in every wave number."""
    watched = _watched(points)
    last_stable = 0
    for index in watched:
        waves = unstable_waves(shell, points[index], watch.wave_numbers, watch.theory)
        if waves:
            first, waves = _first_unstable(shell, points, (last_stable, index), waves, watch)
            return _place(shell, metric, points[first - 1], points[first], waves, watch)
        last_stable = index
    return None


def _watched(points: Sequence[PathPoint]) -> list[int]:
    """Indices of the states to watch: spaced in pressure, the last one always."""
    spacing = WATCH_SPACING * max(point.pressure for point in points)
    chosen, last = [], 0.0
    for index, point in enumerate(points[1:], start=1):
        if abs(point.pressure - last) >= spacing or index == len(points) - 1:
            chosen.append(index)
            last = point.pressure
    return chosen


def _first_unstable(
    shell: Shell, points: Sequence[PathPoint], between: tuple[int, int], waves: list[int], watch: Watch
) -> tuple[int, list[int]]:
    """Halve the interval of states (stable, unstable) down to one step."""
    low, high = between
    while high - low > 1:
        middle = (low + high) // 2
        found = unstable_waves(shell, points[middle], watch.wave_numbers, watch.theory)
        low, high, waves = (low, middle, found) if found else (middle, high, waves)
    return high, waves


def _place(
    shell: Shell, metric: Metric, stable: PathPoint, unstable: PathPoint, waves: list[int], watch: Watch
) -> Bifurcation:
    """Place the first zero eigenvalue within one step, over all waves that change in it, by a safeguarded secant.

    The interval is driven below a millionth of the load: with plasticity the eigenvalue jumps when a point starts or
    stops flowing, and the change of sign may be such a jump.
    """
    low, high = 0.0, unstable.step
    at_low = _eigenvalues(shell, stable, waves, watch.theory)
    at_high = _eigenvalues(shell, unstable, waves, watch.theory)
    found = unstable
    slope = abs(unstable.pressure - stable.pressure) / unstable.step
    for turn in range(80):
        guess = {n: low + (high - low) * at_low[n] / (at_low[n] - at_high[n]) for n in waves}
        first = min(waves, key=lambda n: guess[n])
        if (high - low) * slope <= PLACED * found.pressure:
            return Bifurcation(first, found, _mode(shell, found, first, watch.theory))
        width = high - low
        # Aim a hair beyond the guess, so that the interval closes from both sides.
        aim = guess[first] + 0.3 * PLACED * found.pressure / slope if turn % 3 else low + 0.5 * width
        step = min(max(aim, low + 1e-3 * width), high - 1e-3 * width)
        point = advance(shell, metric, stable, step, watch.settings, between(stable, unstable, step))
        if point is None:
            break
        now = _eigenvalues(shell, point, waves, watch.theory)
        still = [n for n in waves if now[n] <= 0.0]
        if still:
            high, at_high, waves, found = step, now, still, point
        else:
            low, at_low = step, now
    raise SolveError(f"the bifurcation near {pressure_text(stable.pressure)} could not be placed", "a shorter step")


def _eigenvalues(shell: Shell, point: PathPoint, waves: Sequence[int], theory: str) -> dict[int, float]:
    """Eigenvalue nearest zero per wave number, made negative where the state is unstable in it."""
    operator = wave_operator(shell, point.at, point.pressure, theory)
    values = {}
    for n in waves:
        band = operator.at(shell, n)
        values[n] = np.copysign(nearest_zero(band)[0], 1.0 if is_stable(band) else -1.0)
    return values


def _mode(shell: Shell, point: PathPoint, n: int, theory: str) -> Array:
    """Eigenvector of the eigenvalue nearest zero."""
    return nearest_zero(wave_operator(shell, point.at, point.pressure, theory).at(shell, n))[1]
