"""What is handed to a worker process; the mechanics are loaded where the work is done, so that a batch starts fast."""

from collections.abc import Sequence
from dataclasses import dataclass
from importlib import import_module
from types import ModuleType

from buckle.case import Case
from buckle.store import Result


@dataclass(frozen=True)
class Task:
    """One design to be solved."""

    number: int
    key: str
    case: Case
    estimate_error: bool


def ready() -> bool:
    """Load what the work needs and answer; a worker that can is one that has started."""
    return bool(_worker())


def solve_all(tasks: Sequence[Task]) -> list[Result]:
    """Return the results of a few designs in order."""
    results: list[Result] = _worker().solve_all(tasks)
    return results


def _worker() -> ModuleType:
    return import_module("buckle.batch.worker")
