"""Processors of this machine, and processes that use one each."""

import os
from collections.abc import Iterator
from contextlib import contextmanager

ONE_THREAD = dict.fromkeys(("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"), "1")
"""Read by the linear algebra when a process starts: workers that share the cores must not each take all of them."""


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
