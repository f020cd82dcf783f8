"""One benchmark case that was tried."""

from dataclasses import dataclass

from buckle.margins import Comparison


@dataclass(frozen=True)
class Trial:
    """A case's name, title, time taken [s], its expectations compared, and which analyses did not finish."""

    name: str
    title: str
    seconds: float
    comparisons: tuple[Comparison, ...]
    unfinished: tuple[str, ...] = ()

    @property
    def met(self) -> bool:
        """Tell whether all analyses finished and every expectation is met."""
        return not self.unfinished and all(each.met for each in self.comparisons)

    @property
    def status(self) -> str:
        """Return 'met', 'missed' or 'unfinished'."""
        return "unfinished" if self.unfinished else "met" if self.met else "missed"
