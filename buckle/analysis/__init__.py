"""Case in, outcome out: one analysis kind at a time."""

from buckle.analysis.linear import bifurcation_outcome, stress_outcome
from buckle.analysis.nonlinear import path_outcome
from buckle.analysis.setup import KINDS, Extras, run_of
from buckle.analysis.worst import least
from buckle.case import Case
from buckle.case.models import PERFECT
from buckle.errors import SolveError
from buckle.results import Outcome, Status

_OUTCOMES = {"LA": stress_outcome, "LBA": bifurcation_outcome}
"""Who runs a kind; all others follow a path."""

__all__ = ["KINDS", "run"]


def run(
    case: Case, kind: str, *, estimate_error: bool = True, lower_bracket: bool = True, pictures: bool = True
) -> Outcome:
    """Run one analysis of a case; a path that cannot be followed is an outcome with a status, not an exception.

    `estimate_error` adds coarser runs that say how far the governing pressure is from its numerical limit;
    `lower_bracket` the onset of plastic waves by deformation theory; `pictures` the path as a table and beyond its
    limit, sections, modes, strains along the meridian, and every wave number of LBA instead of the lowest alone.
    Batches may leave all three out.
    """
    extras = Extras(estimate_error, lower_bracket, pictures)
    outcome = least(case, kind, extras, _one) if kind in PERFECT else _one(case, kind, extras)
    return outcome.of(case.loads.increasing)


def _one(case: Case, kind: str, extras: Extras) -> Outcome:
    """Run one analysis of one body."""
    try:
        return _OUTCOMES.get(kind, path_outcome)(run_of(case, kind, extras))
    except SolveError as error:
        return Outcome(kind, Status.FAILED, error.reason, error.remedy)
