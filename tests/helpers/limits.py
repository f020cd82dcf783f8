"""Bounds of time that a test puts on work of this process."""

import signal
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def deadline(seconds: int) -> Iterator[None]:
    """Raise TimeoutError in the block when it takes longer [s of wall time]; main thread of a POSIX system only."""

    def late(*_: object) -> None:
        raise TimeoutError(f"took longer than {seconds} s")

    before = signal.signal(signal.SIGALRM, late)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)
