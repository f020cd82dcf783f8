"""Settings for all tests, and what leaves out of a command what a test does not look at.

Random examples are the same every time; BUCKLE_EXPLORE=1 draws new ones.
"""

import gc
import os
from collections.abc import Iterator

import pytest
from hypothesis import settings

from buckle.process import collect_rarely
from tests.helpers.threads import in_a_thread

collect_rarely()
settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.register_profile("explore", deadline=None)
settings.load_profile("explore" if os.environ.get("BUCKLE_EXPLORE") else "repeatable")


def pytest_collection_finish() -> None:
    """Leave what was collected, which stays, out of every later search for cycles."""
    gc.collect()
    gc.freeze()


@pytest.fixture
def without_pictures(monkeypatch: pytest.MonkeyPatch) -> None:
    """Runs draw nothing: pictures take four fifths of the time of a small one and have their own tests."""
    monkeypatch.setattr("buckle.report.files.figures", lambda *_: iter(()))
    monkeypatch.setattr("buckle.report.files.sheet_figures", lambda *_: iter(()))


@pytest.fixture
def in_threads() -> Iterator[None]:
    """`buckle sweep` works in a thread of this process: workers take a second each to start."""
    with in_a_thread():
        yield
