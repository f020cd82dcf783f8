"""Central differences of whole runs: what exact derivatives are checked by.

The runs are those of a user but for the mesh, which keeps its elements: their number changes now and then as a body
does, by which a capacity jumps by about a hundred-thousandth, as much as a tenth of what a step of 1e-4 makes of it.
"""

import math
from collections.abc import Mapping, Sequence

from buckle.analysis.linear import bifurcation_outcome, stress_outcome
from buckle.analysis.nonlinear import path_outcome
from buckle.analysis.setup import Extras, Run, model_of, run_of
from buckle.case import Case
from buckle.errors import SolveError
from buckle.results import Status
from buckle.sensitivity.numbers import Number, numbers
from buckle.sensitivity.quantities import quantities
from buckle.sensitivity.sensitivity import Sensitivity
from buckle.sensitivity.variants import Body, neighbours_of, variant_of

STEP = 1e-3  # of a number
PLAIN = Extras(error=False, bracket=True, pictures=False)


def by_differences(
    case: Case, kind: str, keys: Sequence[str] | None = None, step: float = STEP
) -> Mapping[str, tuple[Sensitivity, ...]]:
    """Derivatives by whole runs with each number a step larger and a step smaller. Raises CaseError, SolveError."""
    run = run_of(case, kind, PLAIN)
    model = model_of(run)
    middle = _quantities(run, Body(case, model))
    if middle is None:
        raise SolveError(f"{kind} found nothing to derive", "another analysis")
    found: dict[str, list[Sensitivity]] = {name: [] for name in middle}
    for number in numbers(case, keys):
        variant = variant_of(run, model, neighbours_of(case, number, step))
        below, above = (_quantities(run, side) or {} for side in (variant.below, variant.above))
        for name, value in middle.items():
            size = variant.neighbours.step
            found[name].append(_difference(number, value, (below.get(name), above.get(name)), size))
    return {name: tuple(rows) for name, rows in found.items()}


def quantities_of(case: Case, kind: str) -> dict[str, float]:
    """Return everything that is derived of an analysis of a case; nothing where it fails."""
    run = run_of(case, kind, PLAIN)
    return _quantities(run, Body(case, model_of(run))) or {}


def _quantities(run: Run, body: Body | None) -> dict[str, float] | None:
    if body is None:
        return None
    case, model = body.case, body.model
    analyse = {"LA": stress_outcome, "LBA": bifurcation_outcome}.get(run.kind, path_outcome)
    try:
        outcome = analyse(Run(case, run.kind, run.level, run.extras, model=model)).of(case.loads.increasing)
    except SolveError:
        return None
    return None if outcome.status is Status.FAILED else quantities(case, outcome)


def _difference(number: Number, value: float, sides: tuple[float | None, float | None], size: float) -> Sensitivity:
    below, above = sides
    left = math.nan if below is None else (value - below) / size
    right = math.nan if above is None else (above - value) / size
    if below is None or above is None:
        reason = "on one side there is no such body, or nothing is found of it"
        return Sensitivity(number.key, number.value, math.nan, left, right, reason)
    return Sensitivity(number.key, number.value, 0.5 * (left + right), left, right)
