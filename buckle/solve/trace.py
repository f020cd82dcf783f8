"""The whole story of a path: to its limits, to what stops a body before, and the highest load on the way."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from buckle.errors import PathEndError, SolveError
from buckle.shell.model import Model, Shell
from buckle.solve.limits import highest_between, locate_limit
from buckle.solve.path import ArcLength, PathPoint, advance, between, follow_path, start_path, within_a_step

STOPPED = 1e-6  # how far from a stop a state may be, as a fraction of what the stop allows
NEARLY = 1e-4
"""The same where the stop is met so soon after a state that Newton finds none between: a step as short as what it
leaves undone. A tenth of a micron of a millimetre that may be moved."""
COLLAPSED = 0.5  # of the highest load: a path that has fallen so far is not followed to its stop
LOOKED_AT = 25  # usual steps at most that are followed beyond what decides
LONGER, ROUGHER = 2.0, 100.0
"""Times the usual steps, and times what Newton may leave undone, where a path falls and is followed only to see whether
it rises again."""


@dataclass(frozen=True)
class Stop:
    """Something beyond which a path is not followed: `excess` of a state is nil where it is met, positive beyond."""

    kind: str
    excess: Callable[[PathPoint], float]


@dataclass(frozen=True)
class Stops:
    """What stops a path, and whether a limit alone does.

    A limit is not the end of a body that may only have to move on a little to carry more: its path goes on to a stop.
    """

    stops: tuple[Stop, ...] = ()
    at_limit: bool = True


@dataclass(frozen=True)
class Beyond:
    """How far to follow the path past its end, for pictures."""

    drop: float = 0.12  # of the highest load


@dataclass(frozen=True, eq=False)
class Trace:
    """Successive states; limits and the state at the stop are among them."""

    model: Model
    points: tuple[PathPoint, ...]  # until the highest load is decided
    beyond: tuple[PathPoint, ...]  # for pictures
    limits: tuple[PathPoint, ...]  # where the load stops rising
    stopped: Stop | None  # the stop that was met, at the last of the points
    end: SolveError | None  # why the highest load is not decided

    @property
    def shell(self) -> Shell:
        """What deforms."""
        return self.model.shell

    @property
    def limit(self) -> PathPoint | None:
        """First limit."""
        return self.limits[0] if self.limits else None

    @property
    def highest(self) -> PathPoint:
        """The first state at the highest load."""
        return max(self.points, key=lambda point: point.load_factor)

    @property
    def rising(self) -> tuple[PathPoint, ...]:
        """States at which the load is higher than ever before: those that a test passes through as it rises."""
        kept: list[PathPoint] = [self.points[0]]
        for point in self.points[1:]:
            if point.load_factor > kept[-1].load_factor:
                kept.append(point)
        return tuple(kept)

    @property
    def steps(self) -> Iterator[tuple[PathPoint, PathPoint]]:
        """Each state with the one that its step started from: not a limit that was placed within that step."""
        for at, after in enumerate(self.points[1:], start=1):
            inside = at > 1 and self.points[at - 1].arc > after.arc - 0.999 * after.step
            yield self.points[at - 2 if inside else at - 1], after


@dataclass
class _Walk:
    """A trace in the making."""

    model: Model
    settings: ArcLength
    stops: Stops
    points: list[PathPoint]
    limits: list[PathPoint] = field(default_factory=list)
    stopped: Stop | None = None

    @property
    def decided(self) -> bool:
        """Whether nothing that is still to come can change the highest load."""
        if self.stopped is not None or not self.limits:
            return self.stopped is not None
        return self.stops.at_limit or self.points[-1].load_factor < COLLAPSED * max(p.load_factor for p in self.points)

    @property
    def falls(self) -> bool:
        """Whether the load falls."""
        return bool(self.limits) and self.points[-1].tangent.load_factor < 0.0

    def step(self, point: PathPoint) -> None:
        """Take in the next state, and what lies between it and those before."""
        before = self.points[-1]
        stop = None if self.stopped else _first_stop(self.model, (before, point), self.stops.stops, self.settings)
        if stop is not None:
            self.stopped, point = stop
        find = _limit_by_rates if point.at.history is None else _limit_by_loads
        self.points.append(point)
        found = find(self.model, self.points, self.settings)
        if found is not None:
            at, limit = found
            self.limits.append(limit)
            if limit is not self.points[at]:
                self.points.insert(at, limit)


def trace_path(model: Model, settings: ArcLength, stops: Stops | None = None, beyond: Beyond | None = None) -> Trace:
    """Follow the path until its highest load is decided, and `beyond` that."""
    walk = _Walk(model, settings, stops or Stops(), [start_path(model, settings)])
    end: SolveError | None = None
    try:
        _check_start(walk)
        while not walk.decided:
            _go_on(walk)
    except SolveError as error:
        end = error
    decided = len(walk.points)
    _look_beyond(walk, beyond)
    points, after = walk.points[:decided], walk.points[decided:]
    return Trace(model, tuple(points), tuple(after), tuple(walk.limits), walk.stopped, end)


def trace_plateau(model: Model, settings: ArcLength, plateau: float) -> Trace:
    """Follow a path of small strain until it levels off in a collapse mechanism, which counts as its limit.

    It has once the load rises by less than a fraction `plateau` of the relative distance; at small strain the load
    cannot fall but by round-off.
    """
    path = follow_path(model, settings)
    points = [next(path)]
    try:
        for point in path:
            points.append(point)
            if points[-2].tangent.load_factor > 0.0 >= point.tangent.load_factor or _levelled(points, plateau):
                return Trace(model, tuple(points), (), (point,), None, None)
    except SolveError as error:
        return Trace(model, tuple(points), (), (), None, error)
    raise AssertionError("a path ends with an error or not at all")


def is_path_end(error: SolveError | None) -> bool:
    """Tell whether a path ended because nothing was found, rather than because it could not be followed."""
    return isinstance(error, PathEndError)


def _check_start(walk: _Walk) -> None:
    met = [stop.kind for stop in walk.stops.stops if stop.excess(walk.points[0]) > 0.0]
    if met:
        raise SolveError(
            f"{met[0]}: before there is any {walk.model.load.increasing.words}", "another shape or a higher ceiling"
        )


def _go_on(walk: _Walk) -> None:
    """Follow the path until it is decided, or until its load begins or ceases to fall."""
    falls = walk.falls
    settings = _longer(walk.settings) if falls else walk.settings
    path = follow_path(walk.model, settings, walk.points[-1])
    next(path)
    for point in path:
        walk.step(point)
        if walk.decided or walk.falls != falls:
            return
        if len(walk.points) > settings.steps:
            raise PathEndError(f"{settings.steps} steps decide nothing", "a longer step (numerics.step)")


def _longer(settings: ArcLength) -> ArcLength:
    return replace(settings.scaled(LONGER), tolerance=ROUGHER * settings.tolerance)


def _look_beyond(walk: _Walk, beyond: Beyond | None) -> None:
    """Follow the path on, to its first limit if none was met before a stop, and as far as a picture wants.

    Where it cannot be followed that is all: nothing is decided there.
    """
    if not walk.limits and walk.stopped is None:
        return
    most = LOOKED_AT * ArcLength().turn / walk.settings.turn
    first, top = len(walk.points), max(point.load_factor for point in walk.points)
    path = follow_path(walk.model, _longer(walk.settings), walk.points[-1])
    next(path)
    try:
        for point in path:
            if not walk.limits:
                walk.step(point)
            elif beyond is None or walk.points[-1].load_factor < (1.0 - beyond.drop) * top:
                return
            else:
                walk.points.append(point)
            if len(walk.points) >= first + most:
                return
    except SolveError:
        return


def _first_stop(
    model: Model, step: tuple[PathPoint, PathPoint], stops: Sequence[Stop], settings: ArcLength
) -> tuple[Stop, PathPoint] | None:
    """The first stop that is met within a step and the state at it; that at the end of a step that falls."""
    before, after = step
    met = [stop for stop in stops if stop.excess(after) > 0.0]
    if met and after.load_factor < before.load_factor:
        return met[0], after
    located = [(stop, locate_stop(model, before, after, stop, settings)) for stop in met]
    return min(located, key=lambda pair: pair[1].step, default=None)


def first_beyond(trace: Trace, stop: Stop, settings: ArcLength, last: PathPoint | None = None) -> PathPoint | None:
    """The first state of a path, up to one of its own, that is at a stop; None where it does not come there.

    Raises SolveError.
    """
    for before, after in trace.steps:
        if stop.excess(before) < 0.0 <= stop.excess(after):
            return locate_stop(trace.model, before, after, stop, settings)
        if after is last:
            return None
    return None


def locate_stop(model: Model, before: PathPoint, after: PathPoint, stop: Stop, settings: ArcLength) -> PathPoint:
    """Find the state at a stop that lies between two successive points, by a safeguarded secant."""
    settings, start = within_a_step(settings), before.measured(after.metric)
    low, high, best = (0.0, stop.excess(before)), (after.step, stop.excess(after)), after
    for turn in range(40):
        if abs(high[1]) <= STOPPED:
            return best
        width = high[0] - low[0]
        share = low[1] / (low[1] - high[1])
        at = low[0] + width * (min(max(share, 0.02), 0.98) if turn % 3 < 2 else 0.5)
        point = advance(model, start, at, settings, between(start, after, at))
        if point is None:
            if high[1] <= NEARLY:
                return best
            break
        excess = stop.excess(point)
        if excess > -STOPPED:
            high, best = (at, excess), point
        else:
            low = (at, excess)
    raise SolveError(f"{stop.kind} near {model.load.text(best.load_factor)} could not be placed", "a shorter step")


def _limit_by_rates(model: Model, points: Sequence[PathPoint], settings: ArcLength) -> tuple[int, PathPoint] | None:
    """A limit in the last step of an elastic path, and where it belongs among the states."""
    before, after = points[-2:]
    topped = before.tangent.load_factor > 0.0 >= after.tangent.load_factor
    falling = after if topped else _dip(model, before, after, settings)
    if falling is None:
        return None
    limit = locate_limit(model, before, falling, settings)
    for at, end in ((len(points) - 2, before), (len(points) - 1, after)):
        if end.load_factor == limit.load_factor:
            return at, end
    return len(points) - 1, limit


def _limit_by_loads(model: Model, points: Sequence[PathPoint], settings: ArcLength) -> tuple[int, PathPoint] | None:
    """A limit about the last state but one of a plastic path, and where it belongs among the states.

    Rates do not tell there: they are those of a state's own step, in which its layers keep their places.
    """
    if len(points) < 3 or not points[-3].load_factor < points[-2].load_factor >= points[-1].load_factor:
        return None
    limit = highest_between(model, (points[-3], points[-2], points[-1]), settings)
    if limit is points[-2]:
        return len(points) - 2, limit
    return len(points) - (2 if limit.arc < points[-2].arc else 1), limit


def _dip(model: Model, before: PathPoint, after: PathPoint, settings: ArcLength) -> PathPoint | None:
    """State within a step at which the load falls although it rises at both ends; None where there is none.

    It is looked for where the cubic through both ends, with their rates, falls most.
    """
    before = before.measured(after.metric)
    a, b = before.tangent.load_factor * after.step, after.tangent.load_factor * after.step
    if a <= 0.0 or b <= 0.0:
        return None
    rise = after.load_factor - before.load_factor
    first, second = 6.0 * rise - 4.0 * a - 2.0 * b, 3.0 * (a + b) - 6.0 * rise  # rate: a + first f + second f^2
    if not 0.0 < -first < 2.0 * second or a - first * first / (4.0 * second) >= 0.0:
        return None
    step = -0.5 * first / second * after.step
    inside = advance(model, before, step, within_a_step(settings), between(before, after, step))
    return inside if inside is not None and inside.tangent.load_factor <= 0.0 else None


def _levelled(points: list[PathPoint], plateau: float) -> bool:
    """Tell whether d ln(load) / d ln(distance) is below the plateau: what is left to gain is about as much."""
    if len(points) < 3:
        return False
    before, last = points[-2], points[-1]
    return 0.0 <= last.load_factor - before.load_factor < plateau * last.load_factor * last.step / last.arc
