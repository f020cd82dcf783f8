"""The work behind `buckle run` of a container: its parts one after the other, then all of them in one table."""

from collections.abc import Callable, Mapping
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path

from buckle.analysis.joint import as_one_shell
from buckle.batch.processors import one_thread_each
from buckle.case import Case
from buckle.commands.codes import UNFINISHED
from buckle.commands.output import say
from buckle.commands.solve import code_of, exit_code, progress, solve
from buckle.container.container import Container
from buckle.container.tolerances import TABLE as TOLERANCES
from buckle.errors import BuckleError
from buckle.margins import Word
from buckle.record.container import container_record
from buckle.record.joint import joint_fields
from buckle.record.quantities import Fields, Record
from buckle.record.sheet.container import container_sheet
from buckle.record.sheet.head import sheet_date
from buckle.record.solved import Solved
from buckle.report.container.console import printed_container
from buckle.units import Units

WriteWhole = Callable[[Path, Container, Mapping[str, Solved], Mapping[str, str], Fields | None], Record]
"""What leaves the files of a container's run (target, container, parts, reasons of those that have none, one shell)."""


NOT_AT_ENDS = (
    "NOTE: [tolerances] of a container's file count in buckle shortfall and buckle size; the reserve at their ends is "
    "told of those alone that stand in the file of a part."
)


def run_container_into(
    target: Path,
    container: Container,
    units: Units,
    write: WriteWhole,
    *,
    loud: bool,
    jobs: int = 1,
    sensitivities: bool = False,
) -> tuple[Record, int]:
    """Run a container into a directory; returns its record and exit code, prints in a reader's units if `loud`.

    Parts are solved in `jobs` processes at a time. One that cannot be solved leaves the others their results. The
    `sensitivities` of all are derived if they are asked for; else of those whose own files have tolerances.
    """
    answers, joint = _answers(container, jobs, sensitivities=sensitivities)
    solved = {name: each for name, each in answers.items() if isinstance(each, Solved)}
    failed = {name: each for name, each in answers.items() if isinstance(each, str)}
    records = {name: each.recorded for name, each in solved.items()}
    recorded = container_record(container, records, failed, joint)
    if loud:
        say(printed_container(container_sheet(recorded, records, sheet_date()), units))
        if container.tables.get(TOLERANCES):
            say(NOT_AT_ENDS)
    with progress(f"{container.title}: pictures"):
        made = write(target, container, solved, failed, joint)
    codes = [exit_code(each.outcomes, each.judgement, each.comparisons) for each in solved.values()]
    return made, _code(made, codes, failed)


def _answers(container: Container, jobs: int, *, sensitivities: bool) -> tuple[dict[str, Solved | str], Fields | None]:
    """Return what every part came to, or why it came to nothing, and what all of them did as one shell."""
    cases = {each.name: each.case for each in container.loaded}
    answer = partial(_answer, sensitivities=sensitivities)
    if jobs == 1:
        return {name: answer(case) for name, case in cases.items()}, _joint(container)
    with one_thread_each(), ProcessPoolExecutor(jobs, get_context("spawn")) as pool:
        joint = pool.submit(_joint, container)  # it takes longest
        with progress(f"{container.title}: {len(cases)} analyses of parts"):
            return dict(zip(cases, pool.map(answer, cases.values()), strict=True)), joint.result()


def _answer(case: Case, *, sensitivities: bool) -> Solved | str:
    """Return what a part came to; in words why not, where it cannot be solved."""
    try:
        return solve(case, sensitivities=sensitivities or bool(case.tolerances))
    except BuckleError as error:
        return str(error)


def _joint(container: Container) -> Fields | None:
    """Return what the parts come to as one shell, where the file states its seam."""
    if container.seam is None:
        return None
    with progress(f"{container.title}: as one shell"):
        return joint_fields(as_one_shell(container), container.seam.rotational_stiffness)


def _code(recorded: Fields, codes: list[int], failed: Mapping[str, str]) -> int:
    """Exit code of the whole: that of its verdict, and no better than that of any part."""
    own = code_of(Word(str(recorded["verdict"])), required=bool(recorded["required"]), missed=False)
    return UNFINISHED if failed else max(own, *codes)
