"""The last steps of a search, and what each requirement costs: linear programs on the derivatives at a design."""

from dataclasses import dataclass

import numpy as np
from scipy.optimize import linprog, nnls

from buckle.results import Array
from buckle.size.optimise import Search, Slopes, Visit

STEPS = 8
REACH = 0.1
"""Of each interval: how far a step may go at first; half of that after one that is no better."""
STEPS_BACK = 3
NEAREST = 0.002
"""A reach below this is the end."""
TIGHT = 3e-3
"""A requirement or a bound is active within this share of its reserve, or of its interval."""


@dataclass(frozen=True)
class Prices:
    """What is least becomes more by this: for each requirement by a unit of its spare, for each bound by its interval.

    The price of a bound is positive where a wider interval would do better; `unexplained` is the share of the slope
    of what is least that no price makes up for: nil where the design is the best of its neighbourhood.
    """

    requirements: dict[str, float]
    bounds: dict[str, float]
    unexplained: float


def polished(search: Search, x: Array) -> Visit:
    """Return the best design that a few linear steps from a point lead to, back to where everything is met first."""
    best, reach = search.visit(x), REACH
    for _ in range(STEPS):
        step = _step(best, search.slopes(best.x), reach)
        if step is None:
            break
        found = search.visit(np.clip(best.x + step, 0.0, 1.0))
        if _better(found, best):
            if best.holds and best.objective - found.objective < 1e-4 * best.objective:
                return found
            nearly = found.holds or found.spare.min() > 0.5 * best.spare.min()
            reach *= 1.0 if nearly else 0.5
            best = found
        else:
            reach *= 0.5
        if reach < NEAREST:
            break
    return best if best.holds else _restored(search, best)


def _restored(search: Search, visit: Visit) -> Visit:
    """Return where the shortest steps lead by which all that is not met would be, by the derivatives."""
    for _ in range(STEPS_BACK):
        short = visit.spare < 0.0
        if visit.holds or not short.any():
            return visit
        step = np.linalg.pinv(search.slopes(visit.x).spare[short]) @ -visit.spare[short]
        found = search.visit(np.clip(visit.x + step, 0.0, 1.0))
        if not _better(found, visit):
            return visit
        visit = found
    return visit


def _better(found: Visit, best: Visit) -> bool:
    if found.holds != best.holds:
        return found.holds
    return found.objective < best.objective if found.holds else float(found.spare.min()) > float(best.spare.min())


def _step(visit: Visit, slopes: Slopes, reach: float) -> Array | None:
    """Return the step within a reach that is best by the derivatives and brings every spare back to nothing."""
    near = visit.spare < 1.0
    bounds = [(max(-reach, -at), min(reach, 1.0 - at)) for at in visit.x]
    found = linprog(slopes.objective, -slopes.spare[near], visit.spare[near], bounds=bounds, method="highs")
    if found.status == 0:
        return np.asarray(found.x)
    worst = int(np.argmin(visit.spare))  # out of reach: towards where the worst of them is met
    found = linprog(-slopes.spare[worst], bounds=bounds, method="highs")
    return np.asarray(found.x) if found.status == 0 else None


def _alike(one: Array, other: Array) -> bool:
    """Tell whether two requirements follow each other, as far as differences know."""
    return float(np.linalg.norm(one - other)) <= 0.1 * float(np.linalg.norm(other))


def prices_of(search: Search, visit: Visit) -> Prices:
    """Return the prices at a design: what makes up for the slope of what is least, as far as anything does.

    Of requirements that follow each other, such as an onset that stands for a capacity, the first has the price.
    """
    slopes, keys = search.slopes(visit.x), [each.key for each in search.problem.variables]
    named: dict[str, Array] = {}
    for at, name in enumerate(search.names):
        row = slopes.spare[at]
        if visit.spare[at] <= TIGHT and not any(_alike(row, other) for other in named.values()):
            named[name] = row
    sides = {key: 1.0 if x <= TIGHT else -1.0 for key, x in zip(keys, visit.x, strict=True) if min(x, 1.0 - x) <= TIGHT}
    rows = [*named.values(), *(side * np.eye(len(keys))[keys.index(key)] for key, side in sides.items())]
    if not rows:
        return Prices({}, {}, 1.0)
    shares, rest = nnls(np.array(rows).T, slopes.objective)
    return Prices(
        dict(zip(named, map(float, shares), strict=False)),
        dict(zip(sides, map(float, shares[len(named) :]), strict=True)),
        float(rest / np.linalg.norm(slopes.objective)),
    )
