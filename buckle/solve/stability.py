"""The first step of a path in which waves become unstable, and whether plastic strain gathers before."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from buckle.bands.lapack import is_stable, lower_half, nearest_zero
from buckle.errors import SolveError
from buckle.shell.model import Model, Shell
from buckle.shell.operators import WaveOperator, continuum_tangent, stress_work, wave_operator
from buckle.solve.bifurcation import Bifurcation, Step, locate_bifurcation
from buckle.solve.path import ArcLength, PathPoint, buckled, within_a_step

RISING = 0.03  # share of load in the path's unit tangent above which a path clearly rises
LEVEL = 1e-3  # share of load in the path's unit tangent below which a path counts as level
CLEAR = 5e-3  # share of the highest load below which an instability is not that of the limit
MARGIN = 3  # wave numbers on either side of those that the lookout finds
BEYOND = 12  # wave numbers above the range that are looked at beside it
SHORTEST = 3.5
"""By the root of r/t: a cylinder pressed along its axis buckles in up to 0.9 of it, a thin knuckle in up to 3."""
EVERY = 1.05
USUAL = 30  # highest wave number that is looked at whatever the range
LOOKOUT = {"flow": "softened flow", "deformation": "deformation"}


@dataclass(frozen=True)
class Watch:
    """Which waves are watched, by which plastic theory ('flow' or 'deformation'), and how closely.

    A lookout passes over states closer together than `spacing`, a fraction of the highest load, and looks at each
    in every third wave number, in turn; at the last state in all of them. For flow theory its moduli are softened by a
    part of what deformation theory makes them softer: an instability then begins earlier, lasts longer and is wider,
    and where it is met flow theory itself looks at every state and wave number about it. States below the load
    `above` are passed over: what is known to be stable there, or is of no matter unless it lasts until then.
    """

    wave_numbers: Sequence[int]
    theory: str = "flow"
    spacing: float = 0.03
    turns: int = 3
    above: float = 0.0  # [MPa] or [N]
    beside: bool = True  # whether wave numbers outside the range are looked at too
    settings: ArcLength = field(default_factory=ArcLength)

    def at_turn(self, turn: int) -> list[int]:
        """Wave numbers of a turn."""
        return [n for n in self.wave_numbers if n % self.turns == turn % self.turns]


@dataclass(frozen=True)
class Watched:
    """What came of watching a path."""

    bifurcation: Bifurcation | None = None
    gathering: float | None = None  # load [MPa] or [N] from which on plastic strain gathers
    outside: tuple[int, ...] = ()  # wave numbers outside the range that are unstable where the watch ended


def find_bifurcation(model: Model, points: Sequence[PathPoint], watch: Watch) -> Watched:
    """First bifurcation along successive points; none when none of the watched waves was found unstable."""
    _check_start(model, points[0], watch)
    gathering, branch = _axisymmetric(model, points) if watch.theory == "flow" else (None, None)
    if 0 not in watch.wave_numbers:
        branch = None
    index = min((each for each in (_first_unstable(model, points, watch), branch) if each is not None), default=None)
    if index is None:
        return Watched(None, gathering, begun_outside(model, points, watch))
    waves = unstable_waves(model, points[index], watch.theory, watch.wave_numbers)
    waves = [0, *waves] if index == branch else waves
    stable = points[index - 1].measured(points[index].metric)
    step = Step(model, stable, points[index], watch.theory, within_a_step(watch.settings))
    found = locate_bifurcation(step, waves)
    return Watched(found, gathering, begun_outside(model, (*points[:index], found.point), watch))


def unstable_waves(model: Model, point: PathPoint, theory: str, wave_numbers: Sequence[int]) -> list[int]:
    """Wave numbers, of those given, in which a state is not stable by a theory.

    n = 0 is looked at where an elastic path still rises: there it means that the path of a perfect body has an
    axisymmetric branch. At a limit point it is singular anyway; with plasticity it would be so a little before.
    """
    operator = _operator(model, point, theory)
    rising = point.elastic and point.tangent.load_factor > LEVEL * point.metric.load_scale
    return [n for n in wave_numbers if (n > 0 or rising) and not is_stable(operator.at(n))]


def gathers(model: Model, point: PathPoint) -> bool:
    """Tell whether plastic strain may gather in one place, whatever the wave number: a neck, not a wave.

    Then the axisymmetric state itself is not stable by flow theory although the load still rises clearly, and that
    without work of compression, which buckles. Metal that no longer hardens necks where it is stretched by membrane
    force; how far depends on mesh and steps.
    """
    return not point.elastic and _work_of_branch(model, point) > 0.0


def _work_of_branch(model: Model, point: PathPoint) -> float:
    """Work of the stresses of a clearly rising plastic state in its unstable axisymmetric mode; nil if it has none."""
    if point.tangent.load_factor < RISING * point.metric.load_scale:
        return 0.0
    band = lower_half(continuum_tangent(model, point.at, point.load_factor, point.tangent.x))
    return 0.0 if is_stable(band.copy()) else stress_work(model.shell, point.at, nearest_zero(band)[1])


def _check_start(model: Model, start: PathPoint, watch: Watch) -> None:
    """Raise SolveError where the load that stays has made waves before there is any of the other."""
    waves = unstable_waves(model, start, watch.theory, watch.wave_numbers) if np.any(start.at.constant) else []
    if waves:
        raise buckled(model.load, f"in n = {waves[0]} waves")


def _operator(model: Model, point: PathPoint, theory: str) -> WaveOperator:
    return wave_operator(model, point.at, point.load_factor, theory, point.tangent.x)


def _axisymmetric(model: Model, points: Sequence[PathPoint]) -> tuple[float | None, int | None]:
    """Pressure at which plastic strain begins to gather, and index of the first plastic state beyond a branch.

    A sphere of metal that yields before it buckles has such a branch. Each state's own tangent tells where to look; a
    little below the highest load every plastic path is unstable by flow theory.
    """
    clear = (1.0 - CLEAR) * max(point.load_factor for point in points)
    gathering, branch = None, None
    for index, point in enumerate(points):
        if not point.indefinite or point.elastic or point.load_factor > clear:
            continue
        work = _work_of_branch(model, point)
        gathering = point.load_factor if work > 0.0 and gathering is None else gathering
        branch = index if work < 0.0 and branch is None else branch
    return gathering, branch


def _first_unstable(model: Model, points: Sequence[PathPoint], watch: Watch) -> int | None:
    """Index of the first state with waves, by the lookout and, where it sees any, by a close look.

    States at which strain gathers are passed over: all wave numbers are unstable there.
    """
    looked_at, elastic = max(_first_watched(points, watch) - 1, 0), points[-1].at.history is None
    for index, some in _turns(points, looked_at, watch):
        seen = unstable_waves(model, points[index], watch.theory if elastic else LOOKOUT[watch.theory], some)
        if seen:
            low, high = min(seen) - MARGIN, max(seen) + MARGIN
            near = [n for n in watch.wave_numbers if low <= n <= high]
            for close in range(looked_at + 1, index + 1):
                if unstable_waves(model, points[close], watch.theory, near) and not gathers(model, points[close]):
                    return _gone_back(model, points, close, watch)
        looked_at = index
    return None


def _first_watched(points: Sequence[PathPoint], watch: Watch) -> int:
    return next((index for index, point in enumerate(points) if point.load_factor >= watch.above), len(points) - 1)


def _turns(points: Sequence[PathPoint], start: int, watch: Watch) -> Iterator[tuple[int, Sequence[int]]]:
    """States of the lookout after a start, spaced in load, and their wave numbers; of the last one always all."""
    spacing, last, turn = watch.spacing * max(point.load_factor for point in points), points[start].load_factor, 0
    for index, point in enumerate(points[start + 1 :], start=start + 1):
        if index == len(points) - 1:
            yield index, watch.wave_numbers
        elif abs(point.load_factor - last) >= spacing:
            yield index, watch.at_turn(turn)
            last, turn = point.load_factor, turn + 1


def _gone_back(model: Model, points: Sequence[PathPoint], index: int, watch: Watch) -> int:
    """Go back from an unstable state as long as the state before it is unstable too, in whatever wave number."""
    while index > 1 and unstable_waves(model, points[index - 1], watch.theory, watch.wave_numbers):
        index -= 1
    if gathers(model, points[index]):
        where = model.load.text(points[index].load_factor)
        raise SolveError(f"plastic strain gathers in one place near {where}, where waves begin too", "shorter steps")
    return index


def outside(shell: Shell, wave_numbers: Sequence[int]) -> list[int]:
    """Wave numbers below and above a range that are looked at beside it.

    Above they are looked at up to the shortest waves that thin walls buckle in, every twentieth part of their number:
    those that can grow at a state are never so few that they would lie between.
    """
    low, high = min(wave_numbers), max(wave_numbers)
    above = [*range(high + 1, max(high, USUAL) + 1 + BEYOND)]
    station = shell.elements.station
    shortest = SHORTEST * float(np.sqrt(np.max(station.r / station.thickness)))
    while above[-1] < shortest:
        above.append(int(np.ceil(EVERY * above[-1])))
    return [*range(1, low), *above]


def begun_outside(model: Model, points: Sequence[PathPoint], watch: Watch) -> tuple[int, ...]:
    """Wave numbers outside the range of a watch in which the last state, or one before it, is not stable.

    Of a range that is as wide as usual the last state alone is looked at; of a narrower one, which may have been cut
    to leave waves out that come and go, states on the way too.
    """
    if not watch.beside:
        return ()
    others, usual = outside(model.shell, watch.wave_numbers), range(1, USUAL + 1)
    found = unstable_waves(model, points[-1], watch.theory, others)
    if found or {*usual} <= {*watch.wave_numbers}:
        return tuple(found)
    left_out = replace(watch, wave_numbers=[n for n in usual if n in others])
    for index, some in _turns(points, max(_first_watched(points, watch) - 1, 0), left_out):
        found = unstable_waves(model, points[index], watch.theory, some)
        if found and not gathers(model, points[index]):
            return tuple(found)
    return ()
