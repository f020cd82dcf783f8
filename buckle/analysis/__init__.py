"""Case in, outcome out: one analysis kind at a time."""

from buckle.analysis.imperfect import waves_outcome
from buckle.analysis.linear import bifurcation_outcome, stress_outcome
from buckle.analysis.nonlinear import path_outcome
from buckle.analysis.setup import KINDS, Extras, run_of
from buckle.analysis.worst import least
from buckle.case import Case
from buckle.case.models import PERFECT, ModeDeviation
from buckle.errors import SolveError
from buckle.results import Outcome, Status
from buckle.shell.composed import Composition

_OUTCOMES = {"LA": stress_outcome, "LBA": bifurcation_outcome}
"""Who runs a kind; all others follow a path."""

__all__ = ["KINDS", "run"]


def run(
    case: Case,
    kind: str,
    *,
    estimate_error: bool = True,
    lower_bracket: bool = True,
    pictures: bool = True,
    composed: Composition | None = None,
) -> Outcome:
    """Run one analysis of a case; a path that cannot be followed is an outcome with a status, not an exception.

    `estimate_error` adds coarser runs that say how far the governing pressure is from its numerical limit;
    `lower_bracket` the onset of plastic waves by deformation theory; `pictures` the path as a table and beyond its
    limit, sections, modes, strains along the meridian, and every wave number of LBA instead of the lowest alone.
    Batches may leave all three out. A `composed` shell is one of several metals, with a seam.
    """
    extras = Extras(estimate_error, lower_bracket, pictures)

    def one(body: Case, kind: str, extras: Extras) -> Outcome:
        return _one(body, kind, extras, composed)

    if kind in PERFECT and isinstance(case.deviation, ModeDeviation):
        outcome = _waves(case, kind, extras, case.deviation)
    else:
        outcome = least(case, kind, extras, one) if kind in PERFECT else one(case, kind, extras)
    return outcome.of(case.loads.increasing)


def _waves(case: Case, kind: str, extras: Extras, deviation: ModeDeviation) -> Outcome:
    """Follow the waves that begin on the path of the perfect body."""
    try:
        return waves_outcome(run_of(case, PERFECT[kind], extras), deviation.wave_number, deviation.amplitude)
    except SolveError as error:
        return Outcome(kind, Status.FAILED, error.reason, error.remedy, in_waves=True)


def _one(case: Case, kind: str, extras: Extras, composed: Composition | None) -> Outcome:
    """Run one analysis of one body."""
    try:
        return _OUTCOMES.get(kind, path_outcome)(run_of(case, kind, extras, composed))
    except SolveError as error:
        return Outcome(kind, Status.FAILED, error.reason, error.remedy)
