"""Who does the work: processes of this machine, or whatever speaks the interface of concurrent.futures.Executor."""

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from multiprocessing import get_context, resource_tracker

from buckle.batch.processors import available_processors, one_thread_each, serve
from buckle.batch.task import Task
from buckle.batch.work import ready, solve_all
from buckle.errors import BuckleError, CaseError
from buckle.store import Result

UNGUARDED = (
    "worker processes cannot start; a script that starts a batch must do so under "
    "`if __name__ == '__main__':`, since every worker reads the script again"
)
BROKEN = "the executor that was lent has lost its workers and cannot be used again; rows that are done are kept"
ANSWER_WITHIN = "10s"
"""How long the scheduler of a cluster may take to answer."""


@dataclass(frozen=True)
class WorkerPool:
    """How to get an executor, how many chunks it works on at a time, what a worker does, what its death looks like."""

    open: Callable[[], Executor]
    jobs: int
    deaths: tuple[type[BaseException], ...] = (BrokenExecutor,)
    lent: bool = False  # the executor is the caller's, to be left open
    solve: Callable[[Sequence[Task]], list[Result]] = solve_all

    def start(self) -> Executor:
        """Return an executor whose workers have answered. Raises BuckleError if they cannot start."""
        executor = self.open()
        try:
            with _interrupts_held():
                answer = executor.submit(ready)
            answer.result()
        except self.deaths as error:
            raise BuckleError(BROKEN if self.lent else UNGUARDED) from error
        return executor

    def submit(self, executor: Executor, tasks: Sequence[Task]) -> Future[list[Result]]:
        """Hand tasks to an executor, which may start a worker for them. Raises one of `deaths` if it is broken."""
        with _interrupts_held():
            return executor.submit(self.solve, tasks)

    def stop(self, executor: Executor) -> None:
        """End the workers; what they have not begun is dropped."""
        if not self.lent:
            executor.shutdown(cancel_futures=True)


@contextmanager
def processes(jobs: int | None = None) -> Iterator[WorkerPool]:
    """Lend a pool of processes with one thread of linear algebra each (None: one a processor)."""
    count = jobs or available_processors()
    context = get_context("spawn")  # the same everywhere; a fork would copy threads and locks of the parent
    with one_thread_each():
        yield WorkerPool(lambda: ProcessPoolExecutor(count, context, serve, (os.getpid(),)), count)


def borrowed(executor: Executor, jobs: int | None = None) -> WorkerPool:
    """Return a pool around an executor of the caller's."""
    return WorkerPool(lambda: executor, jobs or available_processors(), lent=True)


@contextmanager
def dask_cluster(address: str | None) -> Iterator[WorkerPool]:
    """Lend the workers of a dask scheduler. Raises CaseError without an address, without dask or without an answer."""
    if address is None:
        raise CaseError("--executor dask: needs --address; allowed: such as tcp://127.0.0.1:8786")
    try:
        distributed = import_module("distributed")
    except ImportError as error:
        raise CaseError("--executor dask: dask is not installed; try: pip install 'buckle[cluster]'") from error
    try:
        client = distributed.Client(address, timeout=ANSWER_WITHIN, set_as_default=False)
    except OSError as error:
        raise CaseError(f"--address {address}: no scheduler answers there") from error
    try:
        jobs = max(1, sum(client.nthreads().values()))
        executor = client.get_executor(pure=False)
        yield WorkerPool(lambda: executor, jobs, (BrokenExecutor, distributed.KilledWorker), lent=True)
    finally:
        client.close()


@contextmanager
def _interrupts_held() -> Iterator[None]:
    """Hold Ctrl-C back in what is started in the block, from its first moment on; Windows does not know this."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    resource_tracker.ensure_running()  # started later, in the block, it would let the signal through again
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
