"""Onset of waves on the rising path of a solid: the lowest pressure at which some wave number is not stable.

Deformation theory is the less stable of the two, wave by wave and state by state, so that it tells where to look:
every state is watched by it in every third wave number, in turn, and looked at by the theory asked for only where it
finds something: in the waves about those found, there and at the two states before and after. An instability that comes
and goes on the way is seen if by deformation theory it lasts for two states in two neighbouring wave numbers, or for
three in one.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import is_stable, nearest_zero
from buckle.errors import SolveError
from buckle.solid.model import Solid
from buckle.solid.spans import TURNS, Span, narrower
from buckle.solid.stability import Theory
from buckle.solid.state import State
from buckle.solid.trace import SolidPath
from buckle.solid.waves import wave_operator
from buckle.units import pressure_text

Array = NDArray[np.float64]
LOCATED = 1e-4  # of the load
IN_TURN = 3


@dataclass(frozen=True, eq=False)
class Onset:
    """First state at which a wave can grow without more pressure."""

    wave_number: int
    state: State
    mode: Array  # (nodes, 3) [mm] (u_r cos, u_z cos, u_theta sin) of the nodes, of any size
    theory: Theory

    @property
    def pressure(self) -> float:
        """Pressure [MPa]."""
        return self.state.pressure


def find_onsets(path: SolidPath[Solid], wave_numbers: Sequence[int]) -> tuple[Onset | None, Onset | None]:
    """First onsets of waves by flow and by deformation theory; of an elastic solid, which has one, both are that."""
    lower = find_onset(path, wave_numbers, "deformation")
    if lower is None or not path.solid.metal.flows:
        return lower, lower
    return find_onset(path, wave_numbers, "flow", lower), lower


def find_onset(
    path: SolidPath[Solid], wave_numbers: Sequence[int], theory: Theory = "flow", lower: Onset | None = None
) -> Onset | None:
    """First onset of waves as pressure rises, placed to 1e-4 of the load; None if every state is stable in them.

    States below a `lower` onset by deformation theory need not be looked at. n = 0 is no wave: where it is not stable,
    pressure has its limit. Raises SolveError for an edge that nothing holds axially, whose thrust is not defined once
    it waves, and where the onset cannot be placed.
    """
    solid, climb = path.solid, path.climb
    if "free" in solid.edges:
        raise SolveError("no waves of a solid with a free edge", "an edge that is held axially")
    waves = [n for n in wave_numbers if n > 0]
    first = 0 if lower is None else next(at for at, leg in enumerate(climb) if leg.high.arc >= lower.state.arc)
    alert, seen, looked_at = -IN_TURN, list[int](), first - 1
    for index in range(first, len(climb)):
        some = waves if index == len(climb) - 1 else [n for n in waves if n % IN_TURN == index % IN_TURN]
        found = unstable_waves(solid, climb[index].high, some, "deformation")
        if found:
            alert, seen = index, found
        if index - alert >= IN_TURN:
            continue
        near = [n for n in waves if min(seen) - IN_TURN <= n <= max(seen) + IN_TURN]
        for close in range(max(looked_at, alert - IN_TURN) + 1, index + 1):
            if unstable_waves(solid, climb[close].high, near, theory):
                return _located(solid, climb[: close + 1], waves, theory)
        looked_at = index
    return None


def unstable_waves(solid: Solid, state: State, wave_numbers: Sequence[int], theory: Theory) -> list[int]:
    """Wave numbers in which a state is not stable."""
    if not wave_numbers:
        return []
    operator = wave_operator(solid, state, theory)
    return [n for n in wave_numbers if not is_stable(operator.at(n))]


def _located(solid: Solid, climb: Sequence[Span], waves: list[int], theory: Theory) -> Onset:
    """Onset before an unstable state: back to the first of its run, then halving the step that leads there."""
    at, step = len(climb) - 1, climb[-1]
    while before := unstable_waves(solid, step.low, waves, theory):
        if at == 0:
            raise SolveError("the solid is not stable without pressure", "other supports")
        last = climb[at - 1].high
        if step.low.arc > last.arc and not unstable_waves(solid, last, waves, theory):
            return _onset(solid, step.low, before, theory)  # behind a limit that is passed, at its pressure
        at, step = at - 1, climb[at - 1]
    unstable = [unstable_waves(solid, step.high, waves, theory)]

    def passed(state: State) -> bool:
        still = unstable_waves(solid, state, unstable[-1], theory)
        if still:  # the state is going to be the high end of what is left
            unstable.append(still)
        return bool(still)

    for _ in range(TURNS):
        if abs(step.high.pressure - step.low.pressure) <= LOCATED * step.high.pressure:
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
