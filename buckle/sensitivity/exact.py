"""All derivatives of what an analysis tells of a case, under the names of results.json."""

import math
from collections.abc import Mapping, Sequence

import numpy as np

from buckle.analysis import run_and_follow
from buckle.analysis.followed import Followed
from buckle.analysis.nonlinear import follow
from buckle.analysis.setup import Extras, Run, run_of
from buckle.case import Case
from buckle.case.models import PERFECT
from buckle.errors import SolveError
from buckle.margins.judge import judge
from buckle.results import Outcome, Status
from buckle.sensitivity.linear import linear_slopes
from buckle.sensitivity.numbers import numbers
from buckle.sensitivity.path import path_slopes
from buckle.sensitivity.quantities import RESERVE, of_body, quantities
from buckle.sensitivity.sensitivity import Sensitivity
from buckle.sensitivity.slopes import TOGETHER, Slopes
from buckle.sensitivity.variants import Neighbours, deviating, neighbours_of

Rows = Mapping[str, tuple[Sensitivity, ...]]
LINEAR = ("LA", "LBA")
OWN_MODE = "a shape that deviates in a mode is not derived: the mode changes with the body, and how is left out"
SAME = 1e-9
"""By which a number that is told of the shape that was followed may differ from what was found of it."""
PLAIN = Extras(error=False, bracket=True, pictures=False)
"""What of an analysis its derivatives need."""


def exact(case: Case, kind: str, keys: Sequence[str] | None = None) -> Rows:
    """Derivatives by all numbers of a case, or those under the keys. Raises CaseError, SolveError."""
    near = neighbours(case, keys)
    if kind in PERFECT:
        return {**of_deviated(case, *run_and_follow(case, kind, PLAIN), near), **of_bodies(case, near)}
    run = run_of(case, kind, PLAIN)
    return derived(run, None if kind in LINEAR else follow(run), near)


def of_found(
    case: Case, outcome: Outcome, followed: Followed | None, near: Sequence[Neighbours], *, movements: bool = True
) -> Rows:
    """Derivatives of what an analysis has found, by the shape that it starts from. Raises SolveError.

    `followed` is its path; None where its kind has none.
    """
    if outcome.kind in PERFECT:
        return of_deviated(case, outcome, followed, near, movements=movements)
    if followed is None and outcome.status is Status.FAILED:
        raise SolveError(outcome.reason, outcome.remedy)
    run = run_of(case, outcome.kind, PLAIN) if followed is None else followed.run
    return of_perfect(run, followed, near, movements=movements)


def of_deviated(
    case: Case, outcome: Outcome, followed: Followed | None, near: Sequence[Neighbours], *, movements: bool = True
) -> Rows:
    """Derivatives of an analysis of a deviated shape, its deviation's own numbers among them. Raises SolveError.

    What carries least of a set is taken for the same member on all sides. What is told of another, which moves
    more, has no derivative.
    """
    if followed is None and outcome.status is Status.FAILED:
        raise SolveError(outcome.reason, outcome.remedy)
    if followed is None:
        raise SolveError(OWN_MODE, f"a dimple or a wave along the meridian, or {PERFECT[outcome.kind]}")
    member = next(each for each in case.deviated if each.meridian is followed.run.case.meridian)
    own = [deviating(each, case, member) for each in near]
    rows = of_analysis(followed.run, followed, own, movements=movements)
    said, its = (quantities(case, each.of(case.loads.increasing)) for each in (outcome, followed.outcome))
    of_another = {name for name in said.keys() & its.keys() if not math.isclose(said[name], its[name], rel_tol=SAME)}
    return {name: row for name, row in rows.items() if name not in of_another}


def neighbours(case: Case, keys: Sequence[str] | None = None) -> list[Neighbours]:
    """Return the bodies beside a case, by all of its numbers or those under the keys. Raises CaseError."""
    return [neighbours_of(case, number) for number in numbers(case, keys)]


def derived(run: Run, followed: Followed | None, near: Sequence[Neighbours], *, movements: bool = True) -> Rows:
    """Derivatives of a run whose path, where its kind has one, was followed, and of its body. Raises SolveError."""
    return {**of_perfect(run, followed, near, movements=movements), **of_bodies(run.case, near)}


def of_perfect(run: Run, followed: Followed | None, near: Sequence[Neighbours], *, movements: bool = True) -> Rows:
    """Derivatives of an analysis of the perfect shape, which no deviation counts for. Raises SolveError."""
    return of_analysis(run, followed, _perfect(near), movements=movements)


def _perfect(near: Sequence[Neighbours]) -> list[Neighbours]:
    return [each for each in near if not each.number.is_deviation]


def of_analysis(run: Run, followed: Followed | None, near: Sequence[Neighbours], *, movements: bool = True) -> Rows:
    """Derivatives of what an analysis alone tells of the body that it was made of. Raises SolveError."""
    if followed is not None and followed.outcome.status is Status.FAILED:
        raise SolveError(followed.outcome.reason, followed.outcome.remedy)
    slopes = linear_slopes(run, near) if followed is None else path_slopes(followed, near, movements=movements)
    found = _named(run, slopes)
    if followed is not None:
        found |= _reserve(run.case, followed.outcome.of(run.case.loads.increasing), slopes)
    return _recorded(found, near)


def of_bodies(case: Case, near: Sequence[Neighbours]) -> Rows:
    """Derivatives of mass and volume, which are those of the perfect shape."""
    near = _perfect(near)
    steps = np.array([each.step for each in near])
    sides = [each.below for each in near], [each.above for each in near]
    lower, upper = ([None if one is None else of_body(one) for one in side] for side in sides)
    out = {}
    for name, value in of_body(case).items():
        low, high = (np.array([np.nan if one is None else one[name] for one in side]) for side in (lower, upper))
        out[name] = Slopes(value, (value - low) / steps, (high - value) / steps)
    return _recorded(out, near)


def _recorded(found: Mapping[str, Slopes], near: Sequence[Neighbours]) -> Rows:
    of = [each.number for each in near]
    return {name: each.recorded(of) for name, each in found.items()}


def _named(run: Run, slopes: Mapping[str, Slopes]) -> dict[str, Slopes]:
    """Under the names of results.json and in their units."""
    load = run.case.loads.increasing
    unit = load.recorded(1.0)
    moves = {"growth", "stand_drop", "permanent_growth"}
    return {
        f"{name}_mm" if name in moves else f"{run.kind}.{name}_{load.key}": each if name in moves else each.times(unit)
        for name, each in slopes.items()
    }


def _reserve(case: Case, outcome: Outcome, slopes: Mapping[str, Slopes]) -> dict[str, Slopes]:
    """Derivatives of the least reserve factor: those of the load that it is judged by."""
    governing = judge(case, [outcome], {}).governing
    if governing is None or governing.reserve is None or not governing.capacity:
        return {}
    capacity = governing.capacity
    loads = {
        name: each for name, each in slopes.items() if name.endswith(("capacity", "reached", "bifurcation", "limit"))
    }
    near = min(loads.values(), key=lambda each: abs(each.value - capacity), default=None)
    if near is None or abs(near.value - capacity) > TOGETHER * capacity:
        return {}
    return {RESERVE: near.times(governing.reserve / near.value)}
