"""Central differences of whole runs: what exact derivatives are checked by."""

import math
from collections.abc import Mapping, Sequence

from buckle.analysis import run
from buckle.case import Case, case_from_dict
from buckle.errors import CaseError, SolveError
from buckle.results import Status
from buckle.sensitivity.numbers import Number, numbers, tables_with
from buckle.sensitivity.quantities import quantities
from buckle.sensitivity.sensitivity import Sensitivity

STEP = 1e-3  # of a number
NIL = 0.1  # that a step is a part of where the number is nil, in the unit of its key: most keys are in mm or degrees


def by_differences(
    case: Case, kind: str, keys: Sequence[str] | None = None, step: float = STEP
) -> Mapping[str, tuple[Sensitivity, ...]]:
    """Derivatives by whole runs with each number a step larger and a step smaller."""
    middle = _quantities(case, kind)
    if middle is None:
        raise SolveError(f"{kind} found nothing to derive", "another analysis")
    found: dict[str, list[Sensitivity]] = {name: [] for name in middle}
    for number in numbers(case, keys):
        size = step * abs(number.value or NIL)
        above, below = (_quantities(changed(case, number, sign * size), kind) for sign in (1.0, -1.0))
        for name, value in middle.items():
            found[name].append(_difference(number, value, (below or {}).get(name), (above or {}).get(name), size))
    return {name: tuple(rows) for name, rows in found.items()}


def changed(case: Case, number: Number, by: float) -> Case | None:
    """Return the case with a number changed, in the unit of its key; None where there is no such body."""
    try:
        return case_from_dict(tables_with(case, number, number.value + by))
    except CaseError:
        return None


def _quantities(case: Case | None, kind: str) -> dict[str, float] | None:
    if case is None:
        return None
    outcome = run(case, kind, estimate_error=False, pictures=False)
    return None if outcome.status is Status.FAILED else quantities(case, outcome)


def _difference(number: Number, value: float, below: float | None, above: float | None, size: float) -> Sensitivity:
    left = math.nan if below is None else (value - below) / size
    right = math.nan if above is None else (above - value) / size
    if below is None or above is None:
        reason = "on one side there is no such body, or nothing is found of it"
        return Sensitivity(number.key, number.value, math.nan, left, right, reason)
    both = (above - below) / (2.0 * size)
    return Sensitivity(number.key, number.value, both, both, both)
