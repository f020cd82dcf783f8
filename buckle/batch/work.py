"""The work of a worker, as its parent hands it over: the mechanics load there, so that a batch starts fast."""

from collections.abc import Sequence
from importlib import import_module
from types import ModuleType

from buckle.batch.task import Task
from buckle.store import Result


def ready() -> bool:
    """Load what the work needs and answer; a worker that can is one that has started."""
    return bool(_worker())


def solve_all(tasks: Sequence[Task]) -> list[Result]:
    """Return the results of a few designs in order."""
    results: list[Result] = _worker().solve_all(tasks)
    return results


def _worker() -> ModuleType:
    return import_module("buckle.batch.worker")
