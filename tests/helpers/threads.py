"""`buckle sweep` working in a thread of its own process: a worker process takes a second or two to start.

`python -m tests.helpers.threads sweep ...` is such a command as a process by itself.
"""

import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager, nullcontext
from unittest.mock import patch

from buckle.batch.pool import borrowed
from buckle.cli import main


@contextmanager
def in_a_thread() -> Iterator[None]:
    """Let every batch of a command be worked off by one thread."""
    with (
        ThreadPoolExecutor(1) as threads,
        patch("buckle.commands.sweep.processes", lambda jobs: nullcontext(borrowed(threads, jobs))),
    ):
        yield


if __name__ == "__main__":
    with in_a_thread():
        sys.exit(main())
