"""Counts of a batch as they grow, and who hears of them."""

from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from time import monotonic

from buckle.batch.progress import BatchProgress
from buckle.store import Result, RowStatus

WITHOUT_VERDICT = (RowStatus.FAILED, RowStatus.DIED)


@dataclass
class Counts:
    """Designs by status, those kept from before, and the work that the others took [s]."""

    total: int
    report: Callable[[BatchProgress], None] = lambda progress: None
    counts: Counter[RowStatus] = field(default_factory=Counter)
    kept: int = 0
    solved: int = 0
    work: float = 0.0
    start: float = field(default_factory=monotonic)

    def keep(self, status: RowStatus) -> None:
        """Count a design that needs no work."""
        self.counts[status] += 1
        self.kept += 1
        self.report(self.progress)

    def add(self, result: Result) -> None:
        """Count a design that is done."""
        self.counts[result.status] += 1
        self.solved += result.seconds > 0.0
        self.work += result.seconds
        self.report(self.progress)

    @property
    def progress(self) -> BatchProgress:
        """Return the present state."""
        failed = sum(self.counts[status] for status in WITHOUT_VERDICT)
        return BatchProgress(self.total, self.counts.total(), self.kept, failed, monotonic() - self.start)
