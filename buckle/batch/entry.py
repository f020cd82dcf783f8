"""`buckle.sweep`: a batch from Python, with or without a directory to keep it in."""

import signal
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import AbstractContextManager, contextmanager, nullcontext
from pathlib import Path
from tempfile import TemporaryDirectory
from types import FrameType
from typing import Any

from buckle.batch.counts import Counts
from buckle.batch.identity import Identity
from buckle.batch.pool import borrowed, processes
from buckle.batch.runner import run_study
from buckle.case import Case
from buckle.container.container import Container
from buckle.errors import CaseError
from buckle.store import Store, Table
from buckle.study.reader import read_study
from buckle.study.study import Study, vary


def sweep(
    what: Study | Case | Container | str | Path,
    keys: Mapping[str, Sequence[Any]] | None = None,
    *,
    out: str | Path | None = None,
    jobs: int | None = None,
    executor: Executor | None = None,
) -> Table:
    """Run a study, a study file, or a case with {key: values} in all combinations, and return the table of its results.

    With `out` the results are kept there and a second call does only what is missing. Work goes to `jobs` processes
    (None: one a processor) or to any executor of concurrent.futures. Raises CaseError for wrong input,
    KeyboardInterrupt on Ctrl-C once the designs in flight are stored.
    """
    identity = Identity(_study(what, keys))
    lending = nullcontext(borrowed(executor, jobs)) if executor else processes(jobs)
    keeping: AbstractContextManager[Any] = TemporaryDirectory(prefix="buckle-") if out is None else nullcontext(out)
    with keeping as directory, Store(directory, create=True) as store, lending as pool, interrupts() as stopping:
        if not run_study(identity, store, pool, Counts(identity.study.count), stopping):
            raise KeyboardInterrupt
        store.mended()
        return store.table(identity.digest)


def _study(what: Study | Case | Container | str | Path, keys: Mapping[str, Sequence[Any]] | None) -> Study:
    if isinstance(what, Case | Container):
        if not keys:
            raise CaseError("nothing varies; allowed: keys and their values, such as {'shape.gauge_mm': [0.24, 0.26]}")
        return vary(what, keys)
    if keys is not None:
        raise CaseError("a study says itself what varies; allowed: keys beside a case")
    return what if isinstance(what, Study) else read_study(what)


@contextmanager
def interrupts() -> Iterator[Callable[[], bool]]:
    """Lend a function that tells whether Ctrl-C was pressed or SIGTERM sent; once more, and it interrupts at once."""
    pressed = threading.Event()

    def note(number: int, frame: FrameType | None) -> None:
        if pressed.is_set():
            raise KeyboardInterrupt
        pressed.set()

    if threading.current_thread() is not threading.main_thread():  # only the main thread hears of signals
        yield pressed.is_set
        return
    before = {number: signal.signal(number, note) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield pressed.is_set
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
