"""Limit points and bifurcations on a path, placed to a millionth of the load."""

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
PLACED = 1e-6  # of the load
BESIDE = 1e-4  # of the load, where the path itself is singular
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

    States closer together than `spacing`, a fraction of the highest pressure, are passed over; zero watches every one.
    """

    wave_numbers: Sequence[int]
    theory: str = "flow"
    spacing: float = 0.0
    settings: ArcLength = field(default_factory=ArcLength)


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


def unstable_waves(shell: Shell, metric: Metric, point: PathPoint, watch: Watch) -> list[int]:
    """Wave numbers in which a state is not stable.

    n = 0 is looked at where an elastic path still rises: there it means that the path of a perfect body has an
    axisymmetric branch. At a limit point it is singular anyway; with plasticity it would be so a little before, since
    the tangent of the path is that of finite steps.
    """
    operator = wave_operator(shell, point.at, point.pressure, watch.theory)
    rising = point.at.history is None and point.tangent.pressure > LEVEL * metric.pressure_scale
    return [n for n in watch.wave_numbers if (n > 0 or rising) and not is_stable(operator.at(shell, n))]


def find_bifurcation(shell: Shell, metric: Metric, points: Sequence[PathPoint], watch: Watch) -> Bifurcation | None:
    """First bifurcation along successive points; None when every watched state is stable in every wave number."""
    watched = _watched(points, watch.spacing)
    last_stable = 0
    for index in watched:
        waves = unstable_waves(shell, metric, points[index], watch)
        if waves:
            first, waves = _first_unstable(shell, metric, points, (last_stable, index), waves, watch)
            return _place(shell, metric, points[first - 1], points[first], waves, watch)
        last_stable = index
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
    shell: Shell,
    metric: Metric,
    points: Sequence[PathPoint],
    interval: tuple[int, int],
    waves: list[int],
    watch: Watch,
) -> tuple[int, list[int]]:
    """Halve the interval of states (stable, unstable) down to one step."""
    low, high = interval
    while high - low > 1:
        middle = (low + high) // 2
        found = unstable_waves(shell, metric, points[middle], watch)
        low, high, waves = (low, middle, found) if found else (middle, high, waves)
    return high, waves


def _place(
    shell: Shell, metric: Metric, stable: PathPoint, unstable: PathPoint, waves: list[int], watch: Watch
) -> Bifurcation:
    """Place the first zero eigenvalue within one step, over all waves that change in it, by a safeguarded secant.

    The interval is driven below a millionth of the load: with plasticity the eigenvalue jumps when a point starts or
    stops flowing, and the change of sign may be such a jump. On the path of a perfect body (a sphere, whose n = 0
    branches off with all the others) no state can be found at the bifurcation itself: closing in from the stable side
    then ends at a ten-thousandth.
    """
    low, high, ceiling = 0.0, unstable.step, unstable.step
    at_low = _eigenvalues(shell, stable, waves, watch.theory)
    at_high = _eigenvalues(shell, unstable, waves, watch.theory)
    settings = within_a_step(watch.settings)
    found, below = unstable, stable
    slope = abs(unstable.pressure - stable.pressure) / unstable.step
    for turn in range(80):
        guess = {n: low + (high - low) * at_low[n] / (at_low[n] - at_high[n]) for n in waves}
        first = min(waves, key=lambda n: guess[n])
        if (high - low) * slope <= PLACED * found.pressure:
            return Bifurcation(first, found, _mode(shell, found, first, watch.theory))
        if ceiling < high and (ceiling - low) * slope <= BESIDE * below.pressure:
            return Bifurcation(first, below, _mode(shell, below, first, watch.theory))
        top = min(high, ceiling)
        # Aim a hair beyond the guess, so that the interval closes from both sides.
        aim = guess[first] + 0.3 * PLACED * found.pressure / slope if turn % 3 else low + 0.5 * (top - low)
        step = min(max(aim, low + 1e-3 * (top - low)), top - 1e-3 * (top - low))
        point = advance(shell, metric, stable, step, settings, between(stable, unstable, step))
        if point is None:
            ceiling = step
            continue
        now = _eigenvalues(shell, point, waves, watch.theory)
        still = [n for n in waves if now[n] <= 0.0]
        if still:
            high, at_high, waves, found = step, now, still, point
        else:
            low, at_low, below = step, now, point
    raise SolveError(f"the bifurcation near {pressure_text(stable.pressure)} could not be placed", "a shorter step")


def _eigenvalues(shell: Shell, point: PathPoint, waves: Sequence[int], theory: str) -> dict[int, float]:
    """Eigenvalue nearest zero per wave number, made negative where the state is unstable in it."""
    operator = wave_operator(shell, point.at, point.pressure, theory)
    values = {}
    for n in waves:
        value, _ = nearest_zero(operator.at(shell, n))
        values[n] = np.copysign(value, 1.0 if is_stable(operator.at(shell, n)) else -1.0)
    return values


def _mode(shell: Shell, point: PathPoint, n: int, theory: str) -> Array:
    """Eigenvector of the eigenvalue nearest zero."""
    return nearest_zero(wave_operator(shell, point.at, point.pressure, theory).at(shell, n))[1]
