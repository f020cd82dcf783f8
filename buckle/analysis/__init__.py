"""Case in, outcome out: one analysis kind at a time."""

from collections.abc import Callable

from buckle.analysis.linear import bifurcation_outcome, stress_outcome
from buckle.analysis.nonlinear import path_outcome
from buckle.analysis.setup import KINDS, Extras
from buckle.case import Case
from buckle.errors import SolveError
from buckle.results import Outcome, Status

_RUNNERS: dict[str, Callable[[Case, Extras], Outcome]] = {
    "LA": stress_outcome,
    "LBA": bifurcation_outcome,
    "MNA": lambda case, extras: path_outcome(case, "MNA", extras),
    "GNA": lambda case, extras: path_outcome(case, "GNA", extras),
    "GMNA": lambda case, extras: path_outcome(case, "GMNA", extras),
}

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
    try:
        return _RUNNERS[kind](case, Extras(estimate_error, lower_bracket, pictures))
    except SolveError as error:
        return Outcome(kind, Status.FAILED, error.reason, error.remedy)
