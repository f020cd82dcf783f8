"""The work behind `buckle sweep` and `buckle table`."""

import os
import shlex
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from contextlib import AbstractContextManager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from buckle.batch.crew import Crew, dask_cluster, processes
from buckle.batch.entry import interrupts
from buckle.batch.reader import read_study
from buckle.batch.runner import run_study
from buckle.batch.study import Study
from buckle.batch.tally import WITHOUT_VERDICT, Tally
from buckle.batch.worker import Task
from buckle.commands.codes import MET, UNFINISHED
from buckle.commands.output import say, write_json
from buckle.errors import CaseError
from buckle.report.batch.bar import progress_bar
from buckle.report.batch.explorer import Outline, outline, write_explorer
from buckle.report.batch.figures import write_figures
from buckle.report.batch.text import Forecast, forecast_text, sweep_record, sweep_text, table_record, table_text
from buckle.store import Result, RowStatus, Store, Table

CSV = "results.csv"
PAGE = "explorer.html"
SHOWN = 5
EXPLORED = 10_000  # designs that one page shows without becoming slow: it answers in a quarter of a second


@dataclass(frozen=True)
class Request:
    """What `buckle sweep` is asked for."""

    study: Path
    out: Path
    jobs: int | None = None
    executor: str = "processes"
    address: str | None = None
    dry_run: bool = False
    formats: Sequence[str] = ("svg",)  # of pictures
    json_file: str | None = None
    unit: str = "bar"
    quiet: bool = False


def sweep_study(request: Request) -> int:
    """Run a study into a directory; returns 0 if every design has a verdict or cannot be built, else 3.

    Raises CaseError before any work if the study is wrong, and when the directory cannot be written.
    """
    study = read_study(request.study)
    with _crew(request) as crew:
        return _forecast(request, study, crew) if request.dry_run else _run(request, study, crew)


def _crew(request: Request) -> AbstractContextManager[Crew]:
    return dask_cluster(request.address) if request.executor == "dask" else processes(request.jobs)


def _run(request: Request, study: Study, crew: Crew) -> int:
    with (
        Store(request.out, create=True) as store,
        progress_bar(study.count, quiet=request.quiet) as tell,
        interrupts() as stopping,
    ):
        tally = Tally(study.count, tell)
        complete = run_study(study, store, crew, tally, stopping)
        table = store.table(study.digest)
    _write_csv(table, request.out / CSV)
    resume = "" if complete else _resume(request)
    pictures = write_figures(table, request.out, request.formats) if complete else []
    if complete and study.count <= EXPLORED:
        write_explorer(request.out / PAGE, table, dict(_outlines(study, table)), request.unit)
    told = sweep_record(table, tally.progress, resume)
    if not request.quiet and request.json_file != "-":
        say(sweep_text(table, tally.progress, resume))
        page = f"; page: {request.out / PAGE}" if complete and study.count <= EXPLORED else ""
        say(f"Results: {request.out / CSV}; pictures: {len(pictures)} in {request.out}{page}\n")
    write_json(request.json_file, told)
    judged = not any(tally.counts[status] for status in WITHOUT_VERDICT)
    return MET if complete and judged else UNFINISHED


def _outlines(study: Study, table: Table) -> Iterator[tuple[int, Outline]]:
    """Yield the outline of every design that could be built, by number."""
    for row in table.rows:
        if row["status"] != RowStatus.NOT_BUILT:
            yield row["design"], outline(study.case(study.design(row["design"])).meridian)


def _resume(request: Request) -> str:
    jobs = f" --jobs {request.jobs}" if request.jobs else ""
    return f"buckle sweep {shlex.quote(str(request.study))} --out {shlex.quote(str(request.out))}{jobs}"


def _write_csv(table: Table, path: Path) -> None:
    """Put the table in place whole: a reader never sees half of it."""
    fresh = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        table.to_csv(fresh)
        os.replace(fresh, path)
    except OSError as error:
        raise CaseError(f"{path}: cannot be written: {error.strerror or error}") from error
    finally:
        fresh.unlink(missing_ok=True)


def _forecast(request: Request, study: Study, crew: Crew) -> int:
    """Tell how many designs there are, the first of them, and how long they will take, from timing three; keep none."""
    numbers = sorted({1, (study.count + 1) // 2, study.count})
    executor = crew.start()
    try:
        results = [each for number in numbers for each in _timed(study, number, crew, executor)]
    finally:
        crew.dismiss(executor)
    first = [{"design": each.number, **each.inputs} for each in islice(study.designs(), SHOWN)]
    mean = sum(each.seconds for each in results) / len(results) if results else None
    forecast = Forecast(study.title, study.count, len(results), mean, crew.jobs, first)
    if not request.quiet and request.json_file != "-":
        say(forecast_text(forecast))
    write_json(request.json_file, forecast.record)
    return MET


def _timed(study: Study, number: int, crew: Crew, executor: Executor) -> Iterator[Result]:
    """Yield the result of a design that can be built and does not kill its worker."""
    design = study.design(number)
    try:
        case = study.case(design)
    except CaseError:
        return
    try:
        yield from crew.submit(executor, [Task(number, "", case, study.estimate_error)]).result()
    except crew.deaths:
        return


def show_table(
    directory: Path, where: str | None, csv_file: Path | None, json_file: str | None, unit: str, *, quiet: bool
) -> int:
    """Print the rows of a batch for which an expression holds; returns 0.

    Raises CaseError for a directory without a batch, an expression that cannot be read, or a file that cannot be
    written.
    """
    with Store(directory) as store:
        whole = store.table()
    table = whole.where(where) if where else whole
    if csv_file is not None:
        table.to_csv(csv_file)
    if not quiet and json_file != "-":
        say(table_text(table, len(whole), unit))
    write_json(json_file, table_record(table, len(whole), where))
    return MET
