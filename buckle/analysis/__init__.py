"""Case in, outcome out: one analysis kind at a time."""

from collections.abc import Callable

from buckle.analysis.linear import bifurcation_outcome, stress_outcome
from buckle.analysis.nonlinear import path_outcome
from buckle.analysis.setup import KINDS
from buckle.case import Case
from buckle.errors import SolveError
from buckle.results import Outcome, Status

_RUNNERS: dict[str, Callable[[Case, bool], Outcome]] = {
    "LA": stress_outcome,
    "LBA": bifurcation_outcome,
    "MNA": lambda case, estimate: path_outcome(case, "MNA", estimate),
    "GNA": lambda case, estimate: path_outcome(case, "GNA", estimate),
    "GMNA": lambda case, estimate: path_outcome(case, "GMNA", estimate),
}

__all__ = ["KINDS", "run"]


def run(case: Case, kind: str, *, estimate_error: bool = True) -> Outcome:
    """Run one analysis of a case; a path that cannot be followed is an outcome with a status, not an exception.

    `estimate_error` adds coarser runs that say how far the governing pressure is from its numerical limit.
    """
    try:
        return _RUNNERS[kind](case, estimate_error)
    except SolveError as error:
        return Outcome(kind, Status.FAILED, error.reason, error.remedy)
