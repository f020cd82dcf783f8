"""A case worked out: its outcomes, what is judged by them, and the exit code that follows; nothing is written."""

from collections.abc import Sequence
from contextlib import AbstractContextManager, nullcontext

from rich.console import Console

from buckle.analysis import run_and_follow
from buckle.analysis.followed import Followed
from buckle.case import Case
from buckle.commands.codes import MET, NOT_MET, UNFINISHED
from buckle.margins import Comparison, Judgement, Word, compare
from buckle.margins.judge import judge
from buckle.record.margins import verdict_fields
from buckle.record.quantities import Fields, record
from buckle.record.seal import analysis_time
from buckle.record.sensitivities import sensitivity_fields
from buckle.record.solved import Solved
from buckle.results import Outcome, Status
from buckle.sensitivity.all import derive, ends

Found = tuple[Outcome, Followed | None]
"""What an analysis found, and its path where it has one."""


def solve(case: Case, *, sensitivities: bool = False) -> Solved:
    """Analyse and judge a case; derive its sensitivities if they are asked for."""
    when = analysis_time()
    found = _followed(case)
    outcomes = [outcome for outcome, _ in found]
    judgement = judge(case, outcomes)
    verdict = {**verdict_fields(judgement), **(_derivatives(case, found, judgement) if sensitivities else {})}
    return Solved(case, when, outcomes, judgement, verdict, compare(case, record(case, outcomes, verdict)))


def analyse(case: Case) -> list[Outcome]:
    """Run the analyses of a case in order, with a line of progress on a terminal."""
    return [outcome for outcome, _ in _followed(case)]


def _followed(case: Case) -> list[Found]:
    found = []
    for kind in case.analyses.run:
        with progress(f"{case.title}: {kind}"):
            found.append(run_and_follow(case, kind))
    return found


def _derivatives(case: Case, found: Sequence[Found], judgement: Judgement) -> Fields:
    """Return what is recorded of the sensitivities of a case."""
    with progress(f"{case.title}: sensitivities"):
        made = derive(case, found)
    return sensitivity_fields(made, ends(case, judgement, made))


def progress(words: str) -> AbstractContextManager[object]:
    """Say what is at work as long as it is, if standard error is a terminal."""
    console = Console(stderr=True)
    return console.status(words) if console.is_terminal else nullcontext()


def exit_code(outcomes: Sequence[Outcome], judgement: Judgement, comparisons: Sequence[Comparison]) -> int:
    """0 all met; 1 a requirement or expectation missed or in doubt; 3 an analysis unfinished or nothing to judge by."""
    if any(outcome.status is Status.FAILED for outcome in outcomes):
        return UNFINISHED
    missed = not all(comparison.met for comparison in comparisons)
    return code_of(judgement.word, required=judgement.required, missed=missed)


def code_of(word: Word, *, required: bool, missed: bool) -> int:
    """Exit code of a verdict, of a case that requires something or nothing and may have missed what it expects."""
    if required and word is Word.NO_VERDICT:
        return UNFINISHED
    return NOT_MET if missed or (required and word is not Word.MET) else MET
