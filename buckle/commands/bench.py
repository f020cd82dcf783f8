"""The work behind `buckle bench`: benchmark cases rerun in parallel and held against what they expect."""

import os
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn

from buckle.analysis import run
from buckle.batch.processors import available_processors, one_thread_each, serve
from buckle.case import read_case
from buckle.commands.codes import MET, NOT_MET, UNFINISHED
from buckle.commands.output import check_writable, say, write_json
from buckle.errors import CaseError
from buckle.margins import compare
from buckle.margins.judge import judge
from buckle.record.margins import verdict_fields
from buckle.record.quantities import record
from buckle.report.bench.junit import write_junit
from buckle.report.bench.table import bench_record, bench_table
from buckle.report.bench.trial import Trial
from buckle.results import Outcome, Status
from buckle.shipped import BENCHMARKS, CASES
from buckle.units import RECORDED, Units

HERE = Path("cases/benchmarks")


@dataclass(frozen=True)
class Bench:
    """What to rerun and what to tell: a file or folder (None: cases/benchmarks), files to write, processes."""

    path: Path | None = None
    junit: Path | None = None
    json_file: str | None = None
    units: Units = RECORDED
    jobs: int | None = None
    quiet: bool = False


def run_benchmarks(bench: Bench) -> int:
    """Rerun benchmark cases, tell how they compare and return the exit code. Raises CaseError before any work."""
    root = bench.path or default_folder()
    paths, left_out = find_benchmarks(root)
    check_writable([bench.junit, bench.json_file])
    start = time.perf_counter()
    with _progress(len(paths)) as advance:
        trials = try_all(root, paths, bench.jobs or available_processors(), advance)
    seconds = time.perf_counter() - start
    if not bench.quiet and bench.json_file != "-":
        say(bench_table(trials, bench.units, seconds))
        if left_out:
            say("Left out, since they expect nothing: " + ", ".join(map(str, left_out)) + "\n")
    if bench.junit is not None:
        write_junit(bench.junit, trials, seconds)
    write_json(bench.json_file, bench_record(trials))
    return exit_code(trials)


def default_folder() -> Path:
    """Return cases/benchmarks of the current folder, else the package's own. Raises CaseError if neither exists."""
    for folder in (HERE, CASES and CASES / BENCHMARKS):
        if folder and folder.is_dir():
            return folder
    raise CaseError(f"{HERE}: no such folder here; allowed: the path of a benchmark case or of a folder of them")


def find_benchmarks(root: Path) -> tuple[list[Path], list[Path]]:
    """Return the case files at or below a path that expect something, and those that do not, both sorted.

    Raises CaseError with the faults of all files; also for a benchmark without expectations, and if nothing is left.
    """
    if not root.exists():
        raise CaseError(f"{root}: no such file or folder; allowed: a benchmark case or a folder of them")
    paths = sorted(root.rglob("*.toml")) if root.is_dir() else [root]
    found: list[Path] = []
    left_out: list[Path] = []
    problems: list[str] = []
    for path in paths:
        try:
            case = read_case(path)
        except CaseError as error:
            problems.append(str(error))
            continue
        if not case.expect and case.purpose == "benchmark":
            problems.append(f"{path}: is a benchmark without [[expect]]; allowed: at least one expectation")
        (found if case.expect else left_out).append(path)
    if problems:
        raise CaseError("\n".join(problems))
    if not found:
        raise CaseError(f"{root}: holds no case with [[expect]]; allowed: TOML files with expectations, any depth")
    return found, left_out


def try_all(root: Path, paths: Sequence[Path], jobs: int, advance: Callable[[], None]) -> list[Trial]:
    """Try every case, `jobs` at a time in processes of their own (one: in this process); in the order of the paths."""
    jobs = min(jobs, len(paths))
    if jobs == 1:
        return [_then(advance, try_case(root, path)) for path in paths]
    done: dict[Path, Trial] = {}
    try:
        for path, trial in _in_parallel(root, paths, jobs):
            done[path] = _then(advance, trial)
    except BrokenProcessPool:  # one of them was killed: what is left is tried one by one, to know which
        for path in [path for path in paths if path not in done]:
            done[path] = _then(advance, _try_alone(root, path))
    return [done[path] for path in paths]


def try_case(root: Path, path: Path) -> Trial:
    """Run the analyses of one case, without estimates of the numerical error, and compare."""
    start = time.perf_counter()
    case = read_case(path)
    outcomes = [run(case, kind, estimate_error=False, pictures=False) for kind in case.analyses.run]
    verdict = verdict_fields(judge(case, outcomes, {}))  # without hand values, which decide nothing
    compared = compare(case, record(case, outcomes, verdict))
    return Trial(case_name(root, path), case.title, time.perf_counter() - start, compared, unfinished(outcomes))


def case_name(root: Path, path: Path) -> str:
    """Return how a case is called: its path below the folder, without suffix."""
    return (path.relative_to(root) if path != root else Path(path.name)).with_suffix("").as_posix()


def unfinished(outcomes: Sequence[Outcome]) -> tuple[str, ...]:
    """Say which analyses did not finish and why."""
    failed = [outcome for outcome in outcomes if outcome.status is Status.FAILED]
    return tuple(f"{outcome.kind} did not finish: {outcome.reason}; try: {outcome.remedy}" for outcome in failed)


def exit_code(trials: Sequence[Trial]) -> int:
    """0 all expectations met; 1 one is missed; 3 an analysis did not finish."""
    if any(trial.unfinished for trial in trials):
        return UNFINISHED
    return MET if all(trial.met for trial in trials) else NOT_MET


def _then(advance: Callable[[], None], trial: Trial) -> Trial:
    advance()
    return trial


def _in_parallel(root: Path, paths: Sequence[Path], jobs: int) -> Iterator[tuple[Path, Trial]]:
    with one_thread_each(), ProcessPoolExecutor(jobs, get_context("spawn"), serve, (os.getpid(),)) as pool:
        futures = {pool.submit(try_case, root, path): path for path in paths}
        try:
            for future in as_completed(futures):
                yield futures[future], future.result()
        finally:
            pool.shutdown(cancel_futures=True)


def _try_alone(root: Path, path: Path) -> Trial:
    """Try one case in a process of its own; its death is an unfinished trial."""
    try:
        ((_, trial),) = _in_parallel(root, [path], 1)
    except BrokenProcessPool:
        case = read_case(path)
        nothing = compare(case, {})
        return Trial(
            case_name(root, path), case.title, 0.0, nothing, ("its process was killed: is there memory left?",)
        )
    return trial


@contextmanager
def _progress(count: int) -> Iterator[Callable[[], None]]:
    """Lend a function to call after each case; a bar on standard error if that is a terminal."""
    console = Console(stderr=True)
    columns = (TextColumn("benchmarks"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("", total=count)
        yield lambda: bar.advance(task)
