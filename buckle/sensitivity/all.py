"""The derivatives of all analyses of a run, and what the tolerances of its case make of the least reserve."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from buckle.analysis.followed import Followed
from buckle.case import Case
from buckle.case.models import like
from buckle.case.tolerances import Tolerance
from buckle.errors import SolveError
from buckle.margins import Judgement, Margin
from buckle.margins.judge import FIDELITY
from buckle.margins.margin import JUDGED
from buckle.results import Outcome
from buckle.sensitivity.exact import Rows, neighbours, of_bodies, of_found
from buckle.sensitivity.quantities import of_body, of_outcome
from buckle.sensitivity.sensitivity import Sensitivity

LEFT_OUT = ("LA",)
"""First yield is no capacity, and twenty times as dear to derive as to find: `sensitivities` tells it when asked."""


@dataclass(frozen=True)
class End:
    """A tolerance, and the least reserve factor at both ends of it, to first order; None where there is no slope."""

    tolerance: Tolerance
    at_low: float | None
    at_high: float | None


@dataclass(frozen=True)
class Derived:
    """Derivatives by quantity, the values of the quantities, and why there are none of an analysis."""

    rows: Rows = field(default_factory=dict)
    values: Mapping[str, float] = field(default_factory=dict)
    failed: Mapping[str, str] = field(default_factory=dict)


def derive(case: Case, found: Sequence[tuple[Outcome, Followed | None]]) -> Derived:
    """Derivatives of everything that the analyses of a case found; of movements by the analysis that tells them."""
    near, values = neighbours(case), of_body(case)
    rows = dict(of_bodies(case, near))
    failed: dict[str, str] = {}
    kinds = [outcome.kind for outcome, _ in found]
    telling = next((kind for kind in FIDELITY if kind in kinds and like(kind) in ("GMNA", "GNA")), "")
    for outcome, followed in sorted(found, key=lambda pair: pair[0].kind == telling):  # its movements last
        values |= of_outcome(case, outcome)
        if outcome.kind in LEFT_OUT:
            continue
        try:
            rows |= of_found(case, outcome, followed, near, movements=outcome.kind == telling)
        except SolveError as error:
            failed[outcome.kind] = error.reason
    return Derived(rows, values, failed)


def ends(case: Case, judgement: Judgement, made: Derived) -> tuple[End, ...]:
    """The least reserve factor over all that is judged at both ends of every tolerance, all else as it is."""
    return tuple(
        End(each, _reserve(judgement, made, each, each.low), _reserve(judgement, made, each, each.high))
        for each in case.tolerances
    )


def _reserve(judgement: Judgement, made: Derived, tolerance: Tolerance, end: float) -> float | None:
    """Least reserve factor with a number at an end of its tolerance; None where one of them has no slope there."""
    judged = [margin for margin in judgement.margins if margin.verdict in JUDGED and margin.reserve is not None]
    reserves = [_moved(margin, made, tolerance, end) for margin in judged]
    known = [each for each in reserves if each is not None]
    return min(known) if known and len(known) == len(reserves) else None


def _moved(margin: Margin, made: Derived, tolerance: Tolerance, end: float) -> float | None:
    row = _row(margin, made, tolerance.key)
    if row is None or margin.reserve is None or margin.capacity is None:
        return None
    change = end - tolerance.nominal
    slope = (row.right if change > 0.0 else row.left) * change if change else 0.0
    capacity = margin.increasing.recorded(margin.capacity)
    return margin.reserve * (1.0 + slope / capacity) if math.isfinite(slope) else None


def _row(margin: Margin, made: Derived, key: str) -> Sensitivity | None:
    """The derivative by a number of the load that a margin is judged by: of its analysis, and of that size."""
    if margin.capacity is None:
        return None
    size = abs(margin.increasing.recorded(margin.capacity))
    own = {name: abs(value) for name, value in made.values.items() if name.startswith(f"{margin.method}.")}
    near = [name for name in own if name in made.rows and math.isclose(own[name], size, rel_tol=1e-6)]
    rows = (row for name in near for row in made.rows[name] if row.key == key)
    return next(rows, None)
