"""Limit points on a path, placed to a millionth of the load, and the first step in which waves become unstable."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import is_stable
from buckle.errors import SolveError
from buckle.shell.model import Shell
from buckle.shell.operators import wave_operator
from buckle.solve.path import ArcLength, PathPoint, advance, between, within_a_step
from buckle.solve.placing import Bifurcation, Step, place_bifurcation
from buckle.units import pressure_text

Array = NDArray[np.float64]
PLACED = 1e-6  # of the load
RISING = 0.03  # share of pressure in the path's unit tangent above which a path clearly rises
LEVEL = 1e-3  # share of pressure in the path's unit tangent below which a path counts as level


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


def locate_limit(shell: Shell, before: PathPoint, after: PathPoint, settings: ArcLength) -> PathPoint:
    """Find the highest state between two successive points, by the secant on the rate of pressure, safeguarded.

    Where pressure rises at rate a at one end of an interval and falls at rate b at the other, the highest is not more
    than min(a, b) times the interval above the better end: that bound is driven below a millionth of the load.
    """
    settings, before = within_a_step(settings), before.measured(after.metric)
    low, high = (0.0, before.tangent.pressure), (after.step, after.tangent.pressure)
    best = max(before, after, key=lambda point: point.pressure)
    for turn in range(60):
        width = high[0] - low[0]
        if min(low[1], -high[1]) * width <= PLACED * best.pressure:
            return best
        secant = low[0] + width * low[1] / (low[1] - high[1])
        step = min(max(secant, low[0] + 0.02 * width), high[0] - 0.02 * width) if turn % 4 else low[0] + 0.5 * width
        point = advance(shell, before, step, settings, between(before, after, step))
        if point is None:
            break
        best = max(best, point, key=lambda point: point.pressure)
        end = (step, point.tangent.pressure)
        low, high = (end, high) if end[1] > 0.0 else (low, end)
    raise SolveError(f"the limit near {pressure_text(best.pressure)} could not be placed", "a shorter step")


def unstable_waves(
    shell: Shell, point: PathPoint, watch: Watch, wave_numbers: Sequence[int] | None = None
) -> list[int]:
    """Wave numbers in which a state is not stable, of those given or of all that are watched.

    n = 0 is looked at where an elastic path still rises: there it means that the path of a perfect body has an
    axisymmetric branch. At a limit point it is singular anyway; with plasticity it would be so a little before, since
    the tangent of the path is that of finite steps.
    """
    operator = wave_operator(shell, point.at, point.pressure, watch.theory, point.tangent.x)
    rising = point.at.history is None and point.tangent.pressure > LEVEL * point.metric.pressure_scale
    looked_at = watch.wave_numbers if wave_numbers is None else wave_numbers
    return [n for n in looked_at if (n > 0 or rising) and not is_stable(operator.at(shell, n))]


@dataclass(frozen=True)
class Watched:
    """What came of watching a path: its first bifurcation, and the pressure from which plastic strain gathers."""

    bifurcation: Bifurcation | None = None
    gathering: float | None = None


def find_bifurcation(shell: Shell, points: Sequence[PathPoint], watch: Watch) -> Watched:
    """First bifurcation along successive points; none when none of the watched waves was found unstable."""
    chosen, gathering = _spaced(points, watch.spacing), None
    for turn, index in enumerate(chosen):
        some = watch.wave_numbers if index == chosen[-1] else watch.at_turn(turn)
        if not unstable_waves(shell, points[index], watch, some):
            continue
        if _gathers(shell, points[index]):
            gathering = gathering or points[index].pressure
            continue
        first, waves = _first_unstable(shell, points, index, watch)
        stable = points[first - 1].measured(points[first].metric)
        step = Step(shell, stable, points[first], watch.theory, within_a_step(watch.settings))
        return Watched(place_bifurcation(step, waves), gathering)
    return Watched(None, gathering)


def _gathers(shell: Shell, point: PathPoint) -> bool:
    """Tell whether plastic strain may gather in one place, whatever the wave number: a neck, not a wave.

    Then the axisymmetric state itself (n = 0) is not stable by flow theory although pressure still rises clearly. Metal
    that no longer hardens necks where it is stretched by membrane force or bending; how far depends on mesh and steps.
    """
    if point.at.history is None or point.tangent.pressure < RISING * point.metric.pressure_scale:
        return False
    operator = wave_operator(shell, point.at, point.pressure, "flow", point.tangent.x)
    return not is_stable(operator.at(shell, 0))


def _spaced(points: Sequence[PathPoint], fraction: float) -> list[int]:
    """Indices of the states to watch: spaced in pressure, the last one always."""
    spacing = fraction * max(point.pressure for point in points)
    chosen, last = [], 0.0
    for index, point in enumerate(points[1:], start=1):
        if abs(point.pressure - last) >= spacing or index == len(points) - 1:
            chosen.append(index)
            last = point.pressure
    return chosen


def _first_unstable(shell: Shell, points: Sequence[PathPoint], index: int, watch: Watch) -> tuple[int, list[int]]:
    """Go back from an unstable state as long as the state before it is unstable too; returns it and its waves."""
    waves = unstable_waves(shell, points[index], watch)
    while index > 1 and (before := unstable_waves(shell, points[index - 1], watch)):
        index, waves = index - 1, before
    if _gathers(shell, points[index]):
        where = pressure_text(points[index].pressure)
        raise SolveError(f"plastic strain gathers in one place near {where}, where waves begin too", "shorter steps")
    return index, waves
