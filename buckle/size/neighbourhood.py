"""A check that owes nothing to slopes: many designs about the answer, of which none should be lighter and hold."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.stats import qmc

from buckle.batch.asked import Designs
from buckle.errors import CaseError
from buckle.results import Array
from buckle.size.sizing import Sized

REACH = 0.1
"""Of each interval, to either side."""
SHARE = 0.005
"""Lighter by less is no better design."""


@dataclass(frozen=True)
class Checked:
    """Of how many designs how many can be made, are lighter by more than a share, and meet everything as well."""

    count: int
    reach: float
    share: float
    unbuilt: int
    lighter: int
    better: tuple[Mapping[str, float], ...]


def checked(designs: Designs, sized: Sized, count: int) -> Checked:
    """Look at designs of Sobol's sequence about an answer; only those that are lighter need their analysis."""
    problem = sized.problem
    x = problem.point(sized.values)
    low, high = np.clip(x - REACH, 0.0, 1.0), np.clip(x + REACH, 0.0, 1.0)
    points = low + (high - low) * _even(len(x), count, problem.table.seed)
    masses = [_objective(designs, sized, point) for point in points]
    limit = (1.0 - SHARE) * sized.visit.objective
    lighter = [point for point, mass in zip(points, masses, strict=True) if mass is not None and mass < limit]
    trials = problem.trials(designs, lighter)
    better = [
        problem.values(point)
        for point, trial in zip(lighter, trials, strict=True)
        if trial.judged and float(problem.spare(trial, problem.names(trial)).min()) >= 0.0
    ]
    return Checked(count, REACH, SHARE, masses.count(None), len(lighter), tuple(better))


def _even(variables: int, count: int, seed: int) -> Array:
    """Return points that fill the unit box evenly; of Sobol's sequence, which is even at powers of two, the first."""
    power = int(np.ceil(np.log2(max(count, 2))))
    return np.asarray(qmc.Sobol(variables, rng=np.random.default_rng(seed)).random_base2(power))[:count]


def _objective(designs: Designs, sized: Sized, x: Array) -> float | None:
    try:
        return sized.problem.objective(designs.case(sized.problem.inputs(x)))
    except CaseError:
        return None
