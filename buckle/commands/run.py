"""The work behind `buckle run`: read all, then analyse, judge, print and write case by case."""

from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console

from buckle.analysis import run_and_follow
from buckle.analysis.followed import Followed
from buckle.case import Case, read_case
from buckle.commands.codes import MET, NOT_MET, UNFINISHED
from buckle.commands.output import check_writable, say, write_json
from buckle.errors import CaseError
from buckle.margins import Comparison, Judgement, Word, compare
from buckle.margins.judge import judge
from buckle.record.directory import check_target
from buckle.record.margins import expectation_rows, verdict_fields
from buckle.record.quantities import Fields, Record, record
from buckle.record.seal import analysis_time
from buckle.record.sensitivities import sensitivity_fields
from buckle.record.sheet.content import sheet_of
from buckle.record.sheet.head import sheet_date
from buckle.report.console import printed
from buckle.results import Outcome, Status
from buckle.sensitivity.all import derive, ends
from buckle.units import RECORDED, Units

Found = tuple[Outcome, Followed | None]
"""What an analysis found, and its path where it has one."""
Write = Callable[[Path, Case, Sequence[Outcome], Fields, Sequence[Fields], str], Record]
"""What leaves the files of a run (target, case, outcomes, verdict, expectations, time) and returns its record."""


@dataclass(frozen=True)
class Request:
    """What `buckle run` is asked for."""

    paths: Sequence[Path]
    out: Path
    json_file: str | None = None
    units: Units = RECORDED
    quiet: bool = False
    sensitivities: bool = False


def run_cases(request: Request, write: Write) -> int:
    """Run cases into out/NAME each and print their margins; returns the exit code. Raises CaseError before any work."""
    cases = read_all(request.paths)
    targets = [request.out / path.stem for path in request.paths]
    for target in targets:
        check_target(target.resolve())
    check_writable([request.json_file], [request.out, *targets])
    loud = not request.quiet and request.json_file != "-"
    codes, records = [], []
    for case, target in zip(cases, targets, strict=True):
        asked = request.sensitivities or bool(case.tolerances)
        made, code = run_into(target, case, request.units, write, loud=loud, sensitivities=asked)
        if loud:
            say(f"Results, tables and pictures: {target}\n")
        records.append(made)
        codes.append(code)
    write_json(request.json_file, records[0] if len(records) == 1 else records)
    return max(codes)


def run_into(
    target: Path, case: Case, units: Units, write: Write, *, loud: bool, sensitivities: bool = False
) -> tuple[Record, int]:
    """Run a case into a directory; returns its record and exit code, prints in a reader's units if `loud`.

    `sensitivities` are derived if they are asked for. Margins and verdict are printed before anything is written:
    pictures take longer than the answer.
    """
    when = analysis_time()
    found = follow_all(case)
    outcomes = [outcome for outcome, _ in found]
    judgement = judge(case, outcomes)
    verdict = verdict_fields(judgement)
    if sensitivities:
        verdict |= _derivatives(case, found, judgement)
    comparisons = compare(case, record(case, outcomes, verdict))
    expectations = expectation_rows(comparisons)
    if loud:
        say(printed(sheet_of(record(case, outcomes, verdict, expectations), sheet_date()), units))
    with _progress(f"{case.title}: pictures"):
        made = write(target, case, outcomes, verdict, expectations, when)
    return made, exit_code(outcomes, judgement, comparisons)


def read_all(paths: Sequence[Path]) -> list[Case]:
    """Read all cases before any is run; raises CaseError with the faults of all files, and for two of one name."""
    cases, problems = [], []
    for path in paths:
        try:
            cases.append(read_case(path))
        except CaseError as error:
            problems.append(str(error))
    names = [path.stem for path in paths]
    problems += [f"{name}: two case files of this name would share one results directory" for name in _twice(names)]
    if problems:
        raise CaseError("\n".join(problems))
    return cases


def _twice(names: Sequence[str]) -> list[str]:
    return sorted({name for name in names if names.count(name) > 1})


def _derivatives(case: Case, found: Sequence[Found], judgement: Judgement) -> Fields:
    """Return what is recorded of the sensitivities of a case."""
    with _progress(f"{case.title}: sensitivities"):
        made = derive(case, found)
    return sensitivity_fields(made, ends(case, judgement, made))


def analyse(case: Case) -> list[Outcome]:
    """Run the analyses of a case in order, with a line of progress on a terminal."""
    return [outcome for outcome, _ in follow_all(case)]


def follow_all(case: Case) -> list[Found]:
    """Return the same with the paths that were followed."""
    found = []
    for kind in case.analyses.run:
        with _progress(f"{case.title}: {kind}"):
            found.append(run_and_follow(case, kind))
    return found


def _progress(words: str) -> AbstractContextManager[object]:
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
