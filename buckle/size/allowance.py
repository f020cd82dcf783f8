"""What tolerances take off each reserve: at the worst of every number, or at a stated share of all that are made."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

import numpy as np

from buckle.batch.asked import Designs
from buckle.case.tolerances import Tolerance
from buckle.case.values import value_in
from buckle.errors import CaseError
from buckle.results import Array
from buckle.size.problem import Problem
from buckle.size.trial import Trial, trial_of
from buckle.study.scores import score_of, values_at

WORST = "worst"


def check_tolerances(designs: Designs, problem: Problem) -> None:
    """Raise CaseError where [size] speaks of tolerances and the case has none, or of a share and one has no law."""
    how, known = problem.table.tolerances, designs.base.tolerances
    if how == "nominal":
        return
    if not known:
        raise CaseError(f"{designs.base.path}: tolerances: missing, and size.tolerances is {how!r}; allowed: a table")
    lawless = [each.key for each in known if not each.law and how != WORST]
    if lawless:
        words = f'has no law, by which a share of {how:g} could be told; allowed: a law, or size.tolerances = "worst"'
        raise CaseError(f"{designs.base.path}: tolerances.{lawless[0]}: {words}")


def allowances(designs: Designs, problem: Problem, x: Array) -> Mapping[str, float]:
    """Return {requirement: reserve that it must have more} at a point; nothing where tolerances do not count.

    Worst: the sum of what each number at its worse end takes off, and no less than all of them together do. A share: as
    many standard deviations of the reserve, by first order, as leave that share of a normal quantity below.
    """
    how, case = problem.table.tolerances, designs.base
    if how == "nominal":
        return {}
    if how == WORST:
        return _at_worst(designs, problem, x, case.tolerances)
    return _at_share(designs, problem, x, float(how))


def _at_worst(designs: Designs, problem: Problem, x: Array, known: Sequence[Tolerance]) -> Mapping[str, float]:
    inputs = problem.inputs(x)
    ends = [_moved(inputs, each, sign) for each in known for sign in (-each.minus, each.plus)]
    middle, *trials = _trials(designs, problem, [inputs, *ends])
    pairs = list(zip(trials[::2], trials[1::2], strict=True))
    corner = dict(inputs)
    for each, (low, high) in zip(known, pairs, strict=True):
        corner |= dict(_change(inputs, each, -each.minus if _least(low) < _least(high) else each.plus))
    at_corner = _trials(designs, problem, [corner])[0]
    taken = {name: sum(_drop(middle, pair, name) for pair in pairs) for name in middle.reserves}
    return {name: max(sum_, _fall(middle, at_corner, name)) for name, sum_ in taken.items()}


def _at_share(designs: Designs, problem: Problem, x: Array, share: float) -> Mapping[str, float]:
    case, inputs = designs.base, problem.inputs(x)
    unit = np.eye(len(case.tolerances))
    scores = [np.zeros(len(unit)), *(sign * row for row in unit for sign in (-1.0, 1.0))]
    rows = [_at_scores(inputs, case.tolerances, score) for score in scores]
    nominal, middle, *trials = _trials(designs, problem, [inputs, *rows])
    allowed = {}
    for name in nominal.reserves:
        reserves = [_reserve(each, name, middle.reserves.get(name, 0.0)) for each in trials]
        slopes = 0.5 * (np.array(reserves[1::2]) - np.array(reserves[::2]))
        spread = float(np.sqrt(slopes @ case.correlation @ slopes))
        allowed[name] = _fall(nominal, middle, name) + score_of(share) * spread
    return allowed


def _trials(designs: Designs, problem: Problem, inputs: Sequence[Mapping[str, Any]]) -> list[Trial]:
    results = designs.results(inputs)
    return [trial_of(one, each, lower_counts=problem.lower_counts) for one, each in zip(inputs, results, strict=True)]


def _moved(inputs: Mapping[str, Any], tolerance: Tolerance, by: float) -> dict[str, Any]:
    return {**inputs, **dict(_change(inputs, tolerance, by))}


def _change(inputs: Mapping[str, Any], tolerance: Tolerance, by: float) -> Iterator[tuple[str, float]]:
    """Yield the value of a number that is off by so much, from what the design has of it."""
    value = value_in(tolerance.key, inputs)
    yield tolerance.key, (tolerance.nominal if value is None else float(value)) + by


def _at_scores(inputs: Mapping[str, Any], known: Sequence[Tolerance], scores: Array) -> dict[str, Any]:
    made = dict(inputs)
    for each, score in zip(known, scores, strict=True):
        off = float(values_at(each, np.array([score]))[0]) - each.nominal
        made |= dict(_change(inputs, each, off))
    return made


def _least(trial: Trial) -> float:
    return -np.inf if trial.least is None else trial.least


def _reserve(trial: Trial, name: str, otherwise: float) -> float:
    """Return a reserve; of a design that has none it is nothing, so that much is allowed for it."""
    return trial.reserves.get(name, otherwise) if trial.judged else 0.0


def _fall(middle: Trial, other: Trial, name: str) -> float:
    return max(0.0, middle.reserves[name] - _reserve(other, name, middle.reserves[name]))


def _drop(middle: Trial, pair: tuple[Trial, Trial], name: str) -> float:
    return max(_fall(middle, each, name) for each in pair)
