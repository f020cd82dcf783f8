"""How far a batch is, and at which rate it goes."""

from dataclasses import dataclass


@dataclass(frozen=True)
class BatchProgress:
    """Designs with a row, those of them kept from before, those without a verdict, and the seconds taken."""

    total: int
    done: int
    kept: int
    failed: int
    seconds: float

    @property
    def rate(self) -> float:
        """Return designs per second of this run."""
        return (self.done - self.kept) / self.seconds if self.seconds > 0.0 else 0.0

    @property
    def left(self) -> float | None:
        """Return the time left [s]; None as long as there is no rate."""
        return (self.total - self.done) / self.rate if self.rate > 0.0 else None

    @property
    def words(self) -> str:
        """Return failures, rate and time left as text."""
        left = "" if self.left is None else f", {time_text(self.left)} left"
        return f"{self.failed} failed, {self.rate:.1f}/s{left}"


def time_text(seconds: float) -> str:
    """Return a duration as people say it: 40 s, 12 min, 3.5 h."""
    if seconds < 99.5:
        return f"{seconds:.0f} s"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"
