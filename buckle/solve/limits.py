"""Limit points on a path, placed to a millionth of the load."""

from buckle.errors import SolveError
from buckle.shell.model import Model
from buckle.solve.path import ArcLength, PathPoint, advance, between, within_a_step

LOCATED = 1e-6  # of the load
TURNS = 8


def locate_limit(model: Model, before: PathPoint, after: PathPoint, settings: ArcLength) -> PathPoint:
    """Find the highest state between two successive points, by the secant on the rate of the load, safeguarded.

    Where the load rises at rate a at one end of an interval and falls at rate b at the other, the highest is not more
    than min(a, b) times the interval above the better end: that bound is driven below a millionth of the load.
    """
    settings, before = within_a_step(settings), before.measured(after.metric)
    low, high = (0.0, before.tangent.load_factor), (after.step, after.tangent.load_factor)
    best = max(before, after, key=lambda point: point.load_factor)
    for turn in range(60):
        width = high[0] - low[0]
        if min(low[1], -high[1]) * width <= LOCATED * best.load_factor:
            return best
        secant = low[0] + width * low[1] / (low[1] - high[1])
        step = min(max(secant, low[0] + 0.02 * width), high[0] - 0.02 * width) if turn % 4 else low[0] + 0.5 * width
        point = advance(model, before, step, settings, between(before, after, step))
        if point is None:
            break
        best = max(best, point, key=lambda point: point.load_factor)
        end = (step, point.tangent.load_factor)
        low, high = (end, high) if end[1] > 0.0 else (low, end)
    raise SolveError(f"the limit near {model.load.text(best.load_factor)} could not be placed", "a shorter step")


def highest_between(model: Model, states: tuple[PathPoint, PathPoint, PathPoint], settings: ArcLength) -> PathPoint:
    """Find the highest state about the second of three successive ones, which is the highest of them.

    The parabola through three loads over the distance tells where to look and what is to be gained; where no state
    can be found the highest one known stands, since it lies on the path.
    """
    first, second, third = states
    settings = within_a_step(settings)
    low, top, high = (-second.step, first.load_factor), (0.0, second.load_factor), (third.step, third.load_factor)
    best = second
    for _ in range(TURNS):
        at, load_factor = _vertex(low, top, high)
        if load_factor - top[1] <= LOCATED * top[1]:
            return best
        before, after, step = (first, second, second.step + at) if at < 0.0 else (second, third, at)
        before = before.measured(after.metric)
        point = advance(model, before, step, settings, between(before, after, step))
        if point is None:
            return best
        new = (at, point.load_factor)
        if new[1] > top[1]:
            low, top, high, best = (low, new, top, point) if at < top[0] else (top, new, high, point)
        else:
            low, high = (new, high) if at < top[0] else (low, new)
    return best


def _vertex(low: tuple[float, float], top: tuple[float, float], high: tuple[float, float]) -> tuple[float, float]:
    """Where the parabola through three points, the second of which is the highest, has its top, and how high."""
    left, right = (top[1] - low[1]) / (top[0] - low[0]), (top[1] - high[1]) / (high[0] - top[0])
    bend = (left + right) / (high[0] - low[0])
    if bend <= 0.0:
        return top
    slope = (left * (high[0] - top[0]) - right * (top[0] - low[0])) / (high[0] - low[0])
    return top[0] + 0.5 * slope / bend, top[1] + 0.25 * slope * slope / bend
