"""What is handed to a worker process."""

from dataclasses import dataclass

from buckle.case import Case
from buckle.container.container import Container


@dataclass(frozen=True)
class Task:
    """One design to be solved."""

    number: int
    key: str
    case: Case | Container
    estimate_error: bool
    slopes: tuple[str, ...] = ()  # keys by which its reserves are to be derived
