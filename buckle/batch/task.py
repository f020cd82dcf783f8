"""What is handed to a worker process."""

from dataclasses import dataclass

from buckle.case import Case


@dataclass(frozen=True)
class Task:
    """One design to be solved."""

    number: int
    key: str
    case: Case
    estimate_error: bool
    slopes: tuple[str, ...] = ()  # keys by which its reserves are to be derived
