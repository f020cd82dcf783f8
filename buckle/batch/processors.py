"""Processors of this machine, and processes that use one each."""

import os
import signal
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager

from buckle.process import collect_rarely

ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
"""Read by the linear algebra when a process starts: workers that share the cores must not each take all of them."""

LOOK_EVERY = 0.5  # s
GRACE = 5.0
"""Seconds that a worker goes on after SIGTERM: a row takes tenths of one, a system that shuts down waits for ten."""


def available_processors() -> int:
    """Return how many processors this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def one_thread_each() -> Iterator[None]:
    """Set the environment that processes started in the block inherit: one thread of linear algebra each."""
    kept = {name: os.environ.get(name) for name in ONE_THREAD}
    os.environ.update(ONE_THREAD)
    try:
        yield
    finally:
        for name, value in kept.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


def serve(parent: int) -> None:
    """Begin the life of a worker: what ends its parent ends it too, and nothing at once that is sent to all.

    A terminal sends Ctrl-C, and a system that shuts down SIGTERM, to every process of a group; what then becomes of the
    work in hand is for the parent to say. But a pool that has lost a worker sends SIGTERM to the others and waits for
    their end. However the parent ended, a worker that it left behind would hold its output.
    """
    collect_rarely()
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.signal(signal.SIGTERM, lambda *_: _end_after(GRACE))
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_after(seconds: float) -> None:
    timer = threading.Timer(seconds, os._exit, (1,))
    timer.daemon = True
    timer.start()


def _end_with(parent: int) -> None:
    while os.getppid() == parent:
        time.sleep(LOOK_EVERY)
    os._exit(1)
