"""Case in, outcome out: one analysis kind at a time."""

from buckle.analysis.followed import Followed
from buckle.analysis.linear import bifurcation_outcome, stress_outcome
from buckle.analysis.nonlinear import follow
from buckle.analysis.setup import KINDS, Extras, run_of
from buckle.analysis.worst import least
from buckle.case import Case
from buckle.case.models import PERFECT
from buckle.errors import SolveError
from buckle.results import Outcome, Status

_OUTCOMES = {"LA": stress_outcome, "LBA": bifurcation_outcome}
"""Who runs a kind; all others follow a path."""

__all__ = ["KINDS", "run", "run_and_follow"]


def run(
    case: Case, kind: str, *, estimate_error: bool = True, lower_bracket: bool = True, pictures: bool = True
) -> Outcome:
    """Run one analysis of a case; a path that cannot be followed is an outcome with a status, not an exception.

    `estimate_error` adds coarser runs that say how far the governing pressure is from its numerical limit;
    `lower_bracket` the onset of plastic waves by deformation theory; `pictures` the path as a table and beyond its
    limit, sections, modes, strains along the meridian, and every wave number of LBA instead of the lowest alone.
    Batches may leave all three out.
    """
    return run_and_follow(case, kind, Extras(estimate_error, lower_bracket, pictures))[0]


def run_and_follow(case: Case, kind: str, extras: Extras | None = None) -> tuple[Outcome, Followed | None]:
    """Run one analysis and return its path beside it, for what is derived from that.

    None where there is none, and of a deviated shape, which may be one of several.
    """
    if kind in PERFECT:
        return least(case, kind, extras or Extras(), _one).of(case.loads.increasing), None
    outcome, followed = _found(case, kind, extras)
    return outcome.of(case.loads.increasing), followed


def _one(case: Case, kind: str, extras: Extras) -> Outcome:
    """Run one analysis of one body."""
    return _found(case, kind, extras)[0]


def _found(case: Case, kind: str, extras: Extras | None) -> tuple[Outcome, Followed | None]:
    asked = run_of(case, kind, extras)
    try:
        if kind in _OUTCOMES:
            return _OUTCOMES[kind](asked), None
        followed = follow(asked)
    except SolveError as error:
        return Outcome(kind, Status.FAILED, error.reason, error.remedy), None
    return followed.outcome, followed
