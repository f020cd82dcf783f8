"""Case in, outcome out: one analysis kind at a time."""

from buckle.analysis.followed import Followed
from buckle.analysis.imperfect import waves_outcome
from buckle.analysis.linear import bifurcation_outcome, stress_outcome
from buckle.analysis.nonlinear import follow
from buckle.analysis.setup import KINDS, Extras, Run, run_of
from buckle.analysis.standard import along_outcome, modes_outcome
from buckle.analysis.worst import OneBody, least
from buckle.case import Case
from buckle.case.deviates import ModeDeviation, ModesDeviation
from buckle.case.models import PERFECT
from buckle.errors import SolveError
from buckle.results import Outcome, Status
from buckle.shell.composed import Composition

_OUTCOMES = {"LA": stress_outcome, "LBA": bifurcation_outcome}
"""Who runs a kind; all others follow a path."""

__all__ = ["KINDS", "run", "run_and_follow"]


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

    outcome = _deviated(case, kind, extras, one) if kind in PERFECT else one(case, kind, extras)
    return outcome.of(case.loads.increasing)


def run_and_follow(case: Case, kind: str, extras: Extras | None = None) -> tuple[Outcome, Followed | None]:
    """Run one analysis and return its path beside it, for what is derived from that.

    None where there is none, and of a shape that deviates in a mode. Of a set of deviated shapes it is that of the one
    that carries least, whose body is the meridian of the path's own case.
    """
    extras, last = extras or Extras(), None

    def one(body: Case, kind: str, extras: Extras) -> Outcome:
        nonlocal last  # the member that is told is the last to be run
        outcome, last = _found(run_of(body, kind, extras))
        return outcome

    outcome = _deviated(case, kind, extras, one) if kind in PERFECT else one(case, kind, extras)
    in_modes = isinstance(case.deviation, ModeDeviation | ModesDeviation)
    return outcome.of(case.loads.increasing), None if kind in PERFECT and in_modes else last


def _deviated(case: Case, kind: str, extras: Extras, one: OneBody) -> Outcome:
    """Run one analysis from the deviated shape of a case, or from a mode of the perfect one."""
    if not isinstance(case.deviation, ModeDeviation | ModesDeviation):
        return least(case, kind, extras, one)
    perfect = run_of(case, PERFECT[kind], extras)
    if isinstance(case.deviation, ModesDeviation):
        return modes_outcome(perfect, case.deviation, one)
    if case.deviation.without_waves:
        return along_outcome(perfect, case.deviation, one)
    try:
        return waves_outcome(perfect, case.deviation)
    except SolveError as error:
        return Outcome(kind, Status.FAILED, error.reason, error.remedy, in_waves=True)


def _one(case: Case, kind: str, extras: Extras, composed: Composition | None) -> Outcome:
    """Run one analysis of one body."""
    return _found(run_of(case, kind, extras, composed))[0]


def _found(asked: Run) -> tuple[Outcome, Followed | None]:
    try:
        if asked.kind in _OUTCOMES:
            return _OUTCOMES[asked.kind](asked), None
        followed = follow(asked)
    except SolveError as error:
        return Outcome(asked.kind, Status.FAILED, error.reason, error.remedy), None
    return followed.outcome, followed
