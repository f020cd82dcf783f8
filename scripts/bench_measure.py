"""Timing and the rows of the table."""

import platform
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from importlib.metadata import version
from statistics import median


@dataclass(frozen=True)
class Times:
    """What repeats of one thing took [ms], and what the last of them answered."""

    ms: tuple[float, ...]
    answer: object

    @property
    def median(self) -> float:
        return median(self.ms)


@dataclass(frozen=True)
class Row:
    """One line of the table; ratio is median over median, with a goal in words and whether it is met."""

    what: str
    median_ms: float
    least_ms: float
    error_percent: float | None = None
    against: str = ""
    ratio: float | None = None
    goal: str = ""
    met: bool | None = None
    note: str = ""


def timed(work: Callable[[], object], repeats: int) -> Times:
    """Times of the repeats, after one that is not counted."""
    work()
    ms = []
    for _ in range(repeats):
        start = time.perf_counter()
        answer = work()
        ms.append(1e3 * (time.perf_counter() - start))
    return Times(tuple(ms), answer)


def row(what: str, times: Times, **more: object) -> Row:
    return Row(what, times.median, min(times.ms), **more)


def as_dict(row: Row) -> dict[str, object]:
    return asdict(row)


def versions() -> dict[str, str]:
    """What the numbers depend on, but for the processor."""
    packages = {name: version(name) for name in ("numpy", "scipy", "scikit-fem")}
    return {"python": platform.python_version(), **packages, "machine": platform.machine()}
