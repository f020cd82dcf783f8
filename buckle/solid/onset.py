"""Onset of waves on the rising path of a solid: the lowest pressure at which some wave number is not stable.

Deformation theory is the less stable of the two, wave by wave and state by state, so that it tells where to look:
every state is watched by it in every third wave number, in turn, and looked at in all of them by the theory asked for
only where it finds something, there and at the two states before and after. An instability that comes and goes on the
way is seen if by deformation theory it lasts for two states in two neighbouring wave numbers, or for three in one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import is_stable, nearest_zero
from buckle.errors import SolveError
from buckle.solid.model import Solid
from buckle.solid.placing import TURNS, narrower, span
from buckle.solid.stability import Theory
from buckle.solid.state import State
from buckle.solid.trace import SolidPath
from buckle.solid.waves import wave_operator
from buckle.units import pressure_text

Array = NDArray[np.float64]
PLACED = 1e-4  # of the load
IN_TURN = 3


@dataclass(frozen=True, eq=False)
class Onset:
    """First state at which a wave can grow without more pressure."""

    wave_number: int
    state: State
    mode: Array  # (u_r cos, u_z cos, u_theta sin) of the nodes, (nodes, 3), of any size
    theory: Theory

    @property
    def pressure(self) -> float:
        """Pressure [MPa]."""
        return self.state.pressure


def find_onset(path: SolidPath, wave_numbers: Sequence[int], theory: Theory = "flow") -> Onset | None:
    """First onset of waves up to the first limit, placed to 1e-4 of the load; None if every state is stable in them.

    n = 0 is no wave: where it is not stable, pressure has its limit. Raises SolveError for an edge that nothing holds
    axially, whose thrust is not defined once it waves, and where the onset cannot be placed.
    """
    solid, states = path.solid, path.rising
    if "free" in solid.edges:
        raise SolveError("no waves of a solid with a free edge", "an edge that is held axially")
    waves = [n for n in wave_numbers if n > 0]
    alert, looked_at = -IN_TURN, 0
    for index in range(1, len(states)):
        some = waves if index == len(states) - 1 else [n for n in waves if n % IN_TURN == index % IN_TURN]
        if unstable_waves(solid, states[index], some, "deformation"):
            alert = index
        if index - alert >= IN_TURN:
            continue
        for close in range(max(looked_at, alert - IN_TURN) + 1, index + 1):
            found = unstable_waves(solid, states[close], waves, theory)
            if found:
                return _placed(path, states, close, (waves, found), theory)
        looked_at = index
    return None


def unstable_waves(solid: Solid, state: State, wave_numbers: Sequence[int], theory: Theory) -> list[int]:
    """Wave numbers in which a state is not stable."""
    if not wave_numbers:
        return []
    operator = wave_operator(solid, state, theory)
    return [n for n in wave_numbers if not is_stable(operator.at(n))]


def _placed(
    path: SolidPath, states: Sequence[State], index: int, waves: tuple[list[int], list[int]], theory: Theory
) -> Onset:
    """Onset before an unstable state: back to the first of its run, then halving the step that leads there."""
    solid, (watched, found) = path.solid, waves
    while before := unstable_waves(solid, states[index - 1], watched, theory):
        index, found = index - 1, before
        if index == 0:
            raise SolveError("the solid is not stable without pressure", "other supports")
    step, unstable = span(solid, states[index - 1], states[index], path.steps), [found]

    def passed(state: State) -> bool:
        still = unstable_waves(solid, state, unstable[-1], theory)
        if still:  # the state is going to be the high end of what is left
            unstable.append(still)
        return bool(still)

    for _ in range(TURNS):
        if abs(step.high.pressure - step.low.pressure) <= PLACED * step.high.pressure:
            return _onset(solid, step.high, unstable[-1], theory)
        step = narrower(step, 0.5, passed)
    where = pressure_text(step.high.pressure)
    raise SolveError(f"the onset of waves near {where} could not be placed", "shorter steps")


def _onset(solid: Solid, state: State, waves: list[int], theory: Theory) -> Onset:
    """Onset at a state with the least stable of the waves and its mode."""
    operator = wave_operator(solid, state, theory)
    pairs = {n: nearest_zero(operator.at(n)) for n in waves}
    first = min(pairs, key=lambda n: pairs[n][0])
    return Onset(first, state, solid.waved(pairs[first][1]), theory)
