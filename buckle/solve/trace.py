"""The whole story of a path: to its first limit, a little beyond, and the reason why it ended."""

from dataclasses import dataclass

from buckle.errors import PathEndError, SolveError
from buckle.shell.model import Shell
from buckle.solve.path import ArcLength, PathPoint, advance, between, follow_path, within_a_step
from buckle.solve.stability import locate_limit


@dataclass(frozen=True)
class Beyond:
    """How far to follow the path past its first limit."""

    drop: float = 0.12  # of the limit pressure
    steps: int = 20


@dataclass(frozen=True, eq=False)
class Trace:
    """Successive states; `limit` is one of them, the first at which pressure stops rising."""

    shell: Shell
    points: tuple[PathPoint, ...]
    limit: PathPoint | None
    highest: PathPoint | None  # a later, higher limit on the part that was followed
    end: SolveError | None  # why no limit was found

    @property
    def rising(self) -> tuple[PathPoint, ...]:
        """States from the start up to and including the limit (all of them without one)."""
        if self.limit is None:
            return self.points
        return self.points[: self.points.index(self.limit) + 1]


def trace_path(shell: Shell, settings: ArcLength, beyond: Beyond | None = None, plateau: float = 0.0) -> Trace:
    """Follow the path to its first limit and `beyond` it.

    With `plateau` > 0 a path that levels off (a collapse mechanism at small strain) counts as at its limit once
    pressure rises by less than this fraction of the relative distance; at small strain it cannot fall but by round-off.
    """
    path = follow_path(shell, settings)
    points = [next(path)]
    limits: list[PathPoint] = []
    end: SolveError | None = None
    try:
        for point in path:
            topped = points[-1].tangent.pressure > 0.0 >= point.tangent.pressure
            if plateau == 0.0:
                falling = point if topped else _dip(shell, points[-1], point, settings)
                if falling is not None:
                    limits.append(locate_limit(shell, points[-1], falling, settings))
                    points.append(limits[-1])
            points.append(point)
            if not limits and plateau > 0.0 and (topped or _levelled(points, plateau)):
                limits.append(point)
            if limits and _far_enough(limits[0], points, beyond):
                break
    except SolveError as error:
        end = error
    first = limits[0] if limits else None
    later = [limit for limit in limits[1:] if first is not None and limit.pressure > first.pressure]
    highest = max(later, key=lambda limit: limit.pressure, default=None)
    return Trace(shell, tuple(points), first, highest, None if limits else end)


def _dip(shell: Shell, before: PathPoint, after: PathPoint, settings: ArcLength) -> PathPoint | None:
    """State within a step at which pressure falls although it rises at both ends; None where there is none.

    It is looked for where the cubic through both ends, with their rates, falls most.
    """
    before = before.measured(after.metric)
    a, b = before.tangent.pressure * after.step, after.tangent.pressure * after.step
    if a <= 0.0 or b <= 0.0:
        return None
    rise = after.pressure - before.pressure
    first, second = 6.0 * rise - 4.0 * a - 2.0 * b, 3.0 * (a + b) - 6.0 * rise  # rate: a + first f + second f^2
    if second <= 0.0 or a - first * first / (4.0 * second) >= 0.0:
        return None
    step = -0.5 * first / second * after.step
    inside = advance(shell, before, step, within_a_step(settings), between(before, after, step))
    return inside if inside is not None and inside.tangent.pressure <= 0.0 else None


def is_path_end(error: SolveError | None) -> bool:
    """Tell whether a path ended because nothing was found, rather than because it could not be followed."""
    return isinstance(error, PathEndError)


def _levelled(points: list[PathPoint], plateau: float) -> bool:
    """Tell whether d ln(pressure) / d ln(distance) is below the plateau: what is left to gain is about as much."""
    if len(points) < 3:
        return False
    before, last = points[-2], points[-1]
    return 0.0 <= last.pressure - before.pressure < plateau * last.pressure * last.step / last.arc


def _far_enough(limit: PathPoint, points: list[PathPoint], beyond: Beyond | None) -> bool:
    if beyond is None:
        return True
    past = len(points) - 1 - points.index(limit)
    return points[-1].pressure < (1.0 - beyond.drop) * limit.pressure or past >= beyond.steps
