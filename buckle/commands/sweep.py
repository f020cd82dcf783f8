"""The work behind `buckle sweep` and `buckle table`; pictures and page are made by `sweep_pages`, behind it."""

import hashlib
import os
import shlex
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor
from contextlib import AbstractContextManager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path

from buckle.batch.code import DRAWING, code_sha256
from buckle.batch.counts import WITHOUT_VERDICT, Counts
from buckle.batch.entry import interrupts
from buckle.batch.identity import Identity
from buckle.batch.pool import WorkerPool, dask_cluster, processes
from buckle.batch.runner import run_study
from buckle.batch.summary import Forecast, sweep_record, table_record
from buckle.batch.task import Task
from buckle.commands.codes import MET, UNFINISHED
from buckle.commands.output import check_writable, say, write_json
from buckle.errors import CaseError
from buckle.record.seal import file_sha256
from buckle.report.batch.bar import progress_bar
from buckle.report.batch.text import forecast_text, sweep_text, table_text, unreadable_text
from buckle.store import Result, Store, Table
from buckle.study.reader import read_study
from buckle.study.study import Study
from buckle.units import RECORDED, Units

CSV = "results.csv"
SHOWN = 5


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
    units: Units = RECORDED
    quiet: bool = False

    @property
    def prints(self) -> bool:
        """Tell whether text goes to standard output."""
        return not self.quiet and self.json_file != "-"


@dataclass(frozen=True)
class Finished:
    """A finished batch; the fingerprint tells its rows, and the code that draws them, from all others."""

    study: Study
    table: Table
    fingerprint: str


def sweep_study(request: Request) -> tuple[int, Finished | None]:
    """Run a study into a directory; returns 0 if every design has a verdict or cannot be built, else 3.

    With it goes what pictures and page are still to be made of, if of anything. Raises CaseError before any work if the
    study is wrong, and when the directory cannot be written.
    """
    study = read_study(request.study)
    check_writable([request.json_file], [] if request.dry_run else [request.out])
    with _pool(request) as pool:
        return (_forecast(request, study, pool), None) if request.dry_run else _run(request, Identity(study), pool)


def _pool(request: Request) -> AbstractContextManager[WorkerPool]:
    return dask_cluster(request.address) if request.executor == "dask" else processes(request.jobs)


def _run(request: Request, identity: Identity, pool: WorkerPool) -> tuple[int, Finished | None]:
    study = identity.study
    with (
        Store(request.out, create=True) as store,
        progress_bar(study.count, quiet=request.quiet) as report,
        interrupts() as stopping,
    ):
        counts = Counts(study.count, report)
        unreadable = store.unreadable
        complete = run_study(identity, store, pool, counts, stopping)
        if complete:
            store.mended()
        finished = Finished(study, table := store.table(identity.digest), _fingerprint(identity, table, request))
        pages = store.pages(finished.fingerprint)
    _write_csv(table, request.out / CSV)
    resume = "" if complete else _resume(request)
    if request.prints:
        say(sweep_text(table, counts.progress, resume, unreadable))
        say(f"Results: {request.out / CSV}\n")
    write_json(request.json_file, sweep_record(table, counts.progress, resume, unreadable))
    judged = not any(counts.counts[status] for status in WITHOUT_VERDICT)
    current = bool(pages) and all(_is(request.out / name, sha256) for name, sha256 in pages.items())
    return MET if complete and judged else UNFINISHED, finished if complete and not current else None


def _fingerprint(identity: Identity, table: Table, request: Request) -> str:
    how = f"{request.units.pressure} {request.units.length} {' '.join(request.formats)}"
    text = hashlib.sha256(f"{identity.digest} {code_sha256(kinds=DRAWING)} {how} {table.title}\n".encode())
    for line in table.lines():
        text.update(line.encode())
    return text.hexdigest()


def _is(path: Path, sha256: str) -> bool:
    return path.is_file() and file_sha256(path) == sha256


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


def _forecast(request: Request, study: Study, pool: WorkerPool) -> int:
    """Tell how many designs there are, the first of them, and how long they will take, from timing three; keep none."""
    numbers = sorted({1, (study.count + 1) // 2, study.count})
    executor = pool.start()
    try:
        results = [each for number in numbers for each in _timed(study, number, pool, executor)]
    finally:
        pool.stop(executor)
    first = [{"design": each.number, **each.inputs} for each in islice(study.designs(), SHOWN)]
    mean = sum(each.seconds for each in results) / len(results) if results else None
    forecast = Forecast(study.title, study.count, len(results), mean, pool.jobs, first)
    if request.prints:
        say(forecast_text(forecast, request.units))
    write_json(request.json_file, forecast.record)
    return MET


def _timed(study: Study, number: int, pool: WorkerPool, executor: Executor) -> Iterator[Result]:
    """Yield the result of a design that can be built and does not kill its worker."""
    design = study.design(number)
    try:
        case = study.case(design)
    except CaseError:
        return
    try:
        yield from pool.submit(executor, [Task(number, "", case, study.estimate_error)]).result()
    except pool.deaths:
        return


def show_table(
    directory: Path, where: str | None, csv_file: Path | None, json_file: str | None, units: Units, *, quiet: bool
) -> int:
    """Print the rows of a batch for which an expression holds; returns 0.

    Raises CaseError for a directory without a batch, an expression that cannot be read, or a file that cannot be
    written.
    """
    with Store(directory) as store:
        whole, unreadable = store.table(), store.unreadable
    check_writable([csv_file, json_file])
    table = whole.where(where) if where else whole
    if csv_file is not None:
        table.read_in(units).to_csv(csv_file)
    if not quiet and json_file != "-":
        say(table_text(table, len(whole), units))
        if unreadable:
            say(f"{unreadable_text(unreadable)}\n")
    write_json(json_file, table_record(table, len(whole), where, unreadable))
    return MET
