"""The work behind `buckle run`: read all, then analyse, judge, print and write case by case."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from buckle.case import Case
from buckle.commands.container import WriteWhole, run_container_into
from buckle.commands.output import check_writable, say, write_json
from buckle.commands.solve import exit_code, progress, solve
from buckle.container.container import Container
from buckle.container.reader import read_input
from buckle.errors import CaseError
from buckle.record.directory import check_target
from buckle.record.quantities import Fields, Record
from buckle.record.sheet.content import sheet_of
from buckle.record.sheet.head import sheet_date
from buckle.report.console import printed
from buckle.results import Outcome
from buckle.units import RECORDED, Units

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
    jobs: int = 1  # processes at a time for the parts of a container
    sensitivities: bool = False


def run_cases(request: Request, write: Write, write_whole: WriteWhole) -> int:
    """Run cases into out/NAME each and print their margins; returns the exit code. Raises CaseError before any work."""
    inputs = read_all(request.paths)
    targets = [request.out / path.stem for path in request.paths]
    for target in targets:
        check_target(target.resolve())
    check_writable([request.json_file], [request.out, *targets])
    loud = not request.quiet and request.json_file != "-"
    codes, records = [], []
    for each, target in zip(inputs, targets, strict=True):
        if isinstance(each, Container):
            made, code = run_container_into(
                target,
                each,
                request.units,
                write_whole,
                loud=loud,
                jobs=request.jobs,
                sensitivities=request.sensitivities,
            )
        else:
            asked = request.sensitivities or bool(each.tolerances)
            made, code = run_into(target, each, request.units, write, loud=loud, sensitivities=asked)
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
    solved = solve(case, sensitivities=sensitivities)
    if loud:
        say(printed(sheet_of(solved.recorded, sheet_date()), units))
    with progress(f"{case.title}: pictures"):
        made = write(target, case, solved.outcomes, solved.verdict, solved.expectations, solved.when)
    return made, exit_code(solved.outcomes, solved.judgement, solved.comparisons)


def read_all(paths: Sequence[Path]) -> list[Case | Container]:
    """Read all files before any is run; raises CaseError with the faults of all, and for two of one name."""
    inputs, problems = [], []
    for path in paths:
        try:
            inputs.append(read_input(path))
        except CaseError as error:
            problems.append(str(error))
    names = [path.stem for path in paths]
    problems += [f"{name}: two case files of this name would share one results directory" for name in _twice(names)]
    if problems:
        raise CaseError("\n".join(problems))
    return inputs


def _twice(names: Sequence[str]) -> list[str]:
    return sorted({name for name in names if names.count(name) > 1})
