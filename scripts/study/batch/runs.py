"""Runs of the study of batches: a population in, how it ended, how long it took and what memory it needed out."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from tempfile import TemporaryDirectory

from buckle.batch.counts import Counts
from buckle.batch.identity import Identity
from buckle.batch.pool import processes
from buckle.batch.progress import BatchProgress
from buckle.batch.runner import run_study
from buckle.report.batch.text import Cause, causes, counts
from buckle.store import Store
from buckle.study.reader import read_study
from scripts.paths import CASES

STUDIES = CASES / "studies"
POPULATIONS = (
    "population_reformed_bases",
    "population_straight_bases",
    "population_two_slope_ends",
    "population_one_slope_ends",
)
TIMED = (
    ("population_straight_bases", "GMNA", 1024),
    ("population_reformed_bases", "GMNA", 1024),
    ("population_straight_bases", "LBA", 1024),
    ("population_straight_bases", "GNA", 1024),
)
PAGES = Path("/proc/self/statm")  # resident pages of this process stand second, where there is such a file


@dataclass
class Memory:
    """Resident memory [MB] of this process by the number of designs done."""

    megabytes: dict[int, float] = field(default_factory=dict)

    def __call__(self, progress: BatchProgress) -> None:
        if PAGES.exists() and progress.done % 50 == 0:
            self.megabytes[progress.done] = int(PAGES.read_text().split()[1]) * 4096 / 1e6

    def between(self, low: float, high: float) -> float | None:
        """Largest value in a part of the run, told as shares of it."""
        last = max(self.megabytes, default=0)
        return max((size for done, size in self.megabytes.items() if low * last <= done <= high * last), default=None)


@dataclass(frozen=True)
class Run:
    """What became of a population."""

    title: str
    kind: str
    counts: dict[str, int]
    causes: Sequence[Cause]
    wall: float  # s, the start of the workers included
    work: float  # s, the time that the analyses took in the workers, added up
    memory: Memory

    @property
    def designs(self) -> int:
        return sum(self.counts.values())

    @property
    def analysed(self) -> int:
        return self.designs - self.counts.get("not built", 0)


def run(name: str, jobs: int, count: int = 256, kind: str = "GMNA") -> Run:
    """Run a population of cases/studies with another number of designs or another analysis."""
    text = (STUDIES / f"{name}.toml").read_text(encoding="utf-8")
    text = text.replace('base_case = "', f'analyses = ["{kind}"]\nbase_case = "{STUDIES.as_posix()}/')
    text = re.sub(r"count = \d+", f"count = {count}", text)
    with TemporaryDirectory() as folder:
        path = Path(folder) / "study.toml"
        path.write_text(text, encoding="utf-8")
        identity, memory = Identity(read_study(path)), Memory()
        with Store(Path(folder) / "out", create=True) as store, processes(jobs) as pool:
            made = Counts(identity.study.count, memory)
            run_study(identity, store, pool, made, lambda: False)
            table, seconds = store.table(identity.digest), made.progress.seconds
    return Run(identity.study.title.split(",")[0], kind, counts(table), causes(table), seconds, made.work, memory)
