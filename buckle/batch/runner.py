"""The loop of a batch: a bounded window of chunks in flight, every result stored as it comes, deaths isolated."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Executor, Future, wait
from dataclasses import dataclass, field

from buckle.batch.counts import Counts
from buckle.batch.identity import Identity
from buckle.batch.missing import missing_work
from buckle.batch.pool import WorkerPool
from buckle.batch.task import Task
from buckle.store import Result, RowStatus, Store

CHUNK_TIME = 0.5  # s of work in one chunk: long against its way to the worker, short for whoever waits
CHUNK_LARGEST = 50
WINDOW = 2  # chunks in flight for each worker: one at work, one waiting at the door
DEATH = "its worker process died: killed, or out of memory"


def run_study(identity: Identity, store: Store, pool: WorkerPool, counts: Counts, stopping: Callable[[], bool]) -> bool:
    """Work off the designs that the store lacks; tells whether all have their row. `stopping` lets those in flight end.

    A design that cannot be built or solved, and one whose worker dies, are rows with their reason; any other exception
    stops the batch at once. Raises CaseError if the store cannot be written, BuckleError if no worker starts.
    """
    store.begin(identity.about)
    dispatch = _Dispatch(store, pool, counts, stopping)
    try:
        dispatch.work(missing_work(identity, store, counts))
    finally:
        dispatch.close()
    return counts.progress.done == identity.study.count


@dataclass
class _Dispatch:
    """The workers, and which chunk each of their futures stands for."""

    store: Store
    pool: WorkerPool
    counts: Counts
    stopping: Callable[[], bool]
    executor: Executor | None = None  # started when there is work
    in_flight: dict[Future[list[Result]], list[Task]] = field(default_factory=dict)

    def work(self, coming: Iterator[Task | Result]) -> None:
        """Keep the window full until nothing comes or all is to stop, then wait for what is in flight."""
        more = True
        while more or self.in_flight:
            while more and len(self.in_flight) < WINDOW * self.pool.jobs:
                chunk = [] if self.stopping() else self._chunk(coming)
                more = bool(chunk)
                self._submit(chunk)
            if self.stopping():
                self.in_flight = {future: chunk for future, chunk in self.in_flight.items() if not future.cancel()}
            self._collect()

    def _chunk(self, coming: Iterator[Task | Result]) -> list[Task]:
        """Take as many designs as fill a chunk's time; those that cannot be built are stored on the way."""
        size, chunk, ended = self._size(), [], []
        for each in coming:
            if isinstance(each, Task):
                chunk.append(each)
            else:
                ended.append(each)
            if len(chunk) >= size or len(ended) >= CHUNK_LARGEST * WINDOW:
                break
        self._keep(ended)
        return chunk if chunk or not ended else self._chunk(coming)

    def _size(self) -> int:
        mean = self.counts.work / self.counts.solved if self.counts.solved else CHUNK_TIME
        return max(1, min(CHUNK_LARGEST, int(CHUNK_TIME / mean)))

    def _submit(self, chunk: list[Task]) -> None:
        if not chunk:
            return
        try:
            self.in_flight[self._hand_over(chunk)] = chunk
        except self.pool.deaths:
            self._isolate(chunk)

    def _collect(self) -> None:
        """Store what is done; the designs of chunks that a death took with it are tried again one by one."""
        suspects: list[Task] = []
        done = wait(self.in_flight, return_when=FIRST_COMPLETED).done
        for future in [each for each in self.in_flight if each in done]:  # of several, the one handed over first
            chunk = self.in_flight.pop(future)
            try:
                self._keep(future.result())
            except self.pool.deaths:
                suspects += chunk
        if suspects:
            self._isolate(suspects)

    def _isolate(self, suspects: Sequence[Task]) -> None:
        """Try designs one at a time with nothing beside them, so that the one that kills its worker is known."""
        self.close()
        for task in suspects:
            if self.stopping():
                return
            try:
                self._keep(self._hand_over([task]).result())
            except self.pool.deaths:
                self._keep([Result(task.key, RowStatus.DIED, DEATH)])
                self.close()

    def _hand_over(self, chunk: Sequence[Task]) -> Future[list[Result]]:
        if self.executor is None:
            self.executor = self.pool.start()
        return self.pool.submit(self.executor, chunk)

    def close(self) -> None:
        """Let the workers go; new ones are started when there is more work."""
        if self.executor is not None:
            self.pool.stop(self.executor)
        self.executor = None

    def _keep(self, results: Sequence[Result]) -> None:
        """Store first, report then: what was reported done is there."""
        if results:
            self.store.add(results)
            for result in results:
                self.counts.add(result)
