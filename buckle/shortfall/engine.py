"""The reserves of a case at scores of what scatters: analyses, each kept in the store and never done twice."""

from collections.abc import Sequence

import numpy as np

from buckle.batch.asked import Designs
from buckle.batch.reserves import capacity_of
from buckle.case import Case
from buckle.case.tolerances import Tolerance
from buckle.container.container import Container
from buckle.errors import CaseError
from buckle.results import Array
from buckle.shortfall.distribution import ByRequirement, Distribution, Effort, distribution
from buckle.size.trial import Trial, lower_decides, required_of, trial_of
from buckle.study.scores import Scatter, scatter_of


def scatter_of_case(case: Case | Container) -> Scatter:
    """Return what scatters in a case or a container.

    Raises CaseError where it says of nothing, or not of everything, how it does.
    """
    if not case.tolerances:
        raise CaseError(f"{case.path}: tolerances: missing; allowed: a table [tolerances] with a law for each key")
    lawless = [each.key for each in case.tolerances if not each.law]
    if lawless:
        words = "\n".join(
            f"{case.path}: tolerances.{key}: has bounds and no law, by which nobody knows how many lie near them; "
            'allowed: law = "normal", "lognormal", "triangular", "uniform", "truncated" or "measured"'
            for key in lawless
        )
        raise CaseError(words)
    return scatter_of(case.tolerances, case.correlation)


def shortfall(designs: Designs, scatter: Scatter, asked: float, effort: Effort) -> tuple[Distribution, Trial]:
    """Return the distribution of the least reserve of a case, and the trial at the middle of all scores.

    Raises CaseError where that has no reserve.
    """
    lower = lower_decides(designs.base)
    middle = _trials(designs, scatter, np.zeros((1, len(scatter.keys))), lower)[0]
    if not middle.judged:
        raise CaseError(f"{designs.base.path}: the case has no reserve to scatter: {middle.reason}")
    required = required_of(middle, lower_counts=lower or _lower_in_parts(designs.base))
    names = tuple(name for name in required if name in middle.reserves or capacity_of(name) in middle.reserves)
    made = distribution(_reserves(designs, scatter, names, lower), names, len(scatter.keys), asked, effort)
    return made, middle


def _lower_in_parts(base: Case | Container) -> bool:
    """Tell whether the onset by deformation theory decides in any part of a container."""
    return isinstance(base, Container) and any(each.case.requirements.onset == "deformation" for each in base.loaded)


def _reserves(designs: Designs, scatter: Scatter, names: Sequence[str], lower: bool) -> ByRequirement:
    def reserves(u: Array) -> Array:
        return np.array([_row(trial, names) for trial in _trials(designs, scatter, u, lower)])

    return reserves


def _trials(designs: Designs, scatter: Scatter, u: Array, lower: bool) -> list[Trial]:
    inputs = scatter.inputs(u)
    results = designs.results(inputs)
    return [trial_of(one, each, lower_counts=lower) for one, each in zip(inputs, results, strict=True)]


def _row(trial: Trial, names: Sequence[str]) -> list[float]:
    """Return the reserves of a trial in order; where a path has no onset of waves its capacity's stands for it."""
    if not trial.judged:
        return [-np.inf] * len(names)
    return [trial.reserves[name if name in trial.reserves else capacity_of(name)] for name in names]


def widest(tolerance: Tolerance) -> str:
    """Say what a law tells of its ends: measured values and bounds end there."""
    unit = tolerance.key.rpartition("_")[2]
    ends = f"{tolerance.low:.6g} to {tolerance.high:.6g} {unit}"
    return f"{tolerance.law}, {ends}" + ("" if tolerance.bounded else " within three standard deviations")
