"""The life of a worker: it outlives what is sent to all for a while, and never its parent or its pool."""

import signal
import subprocess
import sys
import time

import pytest

SERVING = """
import os, sys, time
from buckle.batch import processors
processors.GRACE = 1.0
processors.serve(os.getppid())
print("ready", flush=True)
time.sleep(60.0)
"""


@pytest.fixture
def worker():
    process = subprocess.Popen([sys.executable, "-c", SERVING], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    assert process.stdout.readline() == "ready\n"
    yield process
    process.kill()
    process.wait()
    process.stdout.close()


def test_an_interrupt_is_for_the_parent(worker) -> None:
    worker.send_signal(signal.SIGINT)
    time.sleep(0.3)
    assert worker.poll() is None


def test_asked_to_end_it_has_time_for_the_work_in_hand_and_then_ends(worker) -> None:
    """A pool that has lost another worker sends this and waits for ever: one that did not end held up the batch."""
    worker.send_signal(signal.SIGTERM)
    time.sleep(0.3)
    assert worker.poll() is None
    assert worker.wait(timeout=20.0) == 1
