"""A path that was followed, of which run, and what has been made out about it so far."""

from dataclasses import dataclass, replace
from typing import Any

from buckle.analysis.setup import Run
from buckle.results import Outcome
from buckle.solve.bifurcation import Bifurcation
from buckle.solve.trace import Trace


@dataclass(frozen=True, eq=False)
class Followed:
    """A run, the path that came of it, and its outcome as far as it is known; onsets of waves by either theory."""

    run: Run
    trace: Trace
    outcome: Outcome
    onset: Bifurcation | None = None
    by_deformation: Bifurcation | None = None

    def adding(self, **found: Any) -> "Followed":
        """Return it with more found: fields of the outcome."""
        return replace(self, outcome=replace(self.outcome, **found))

    def noting(self, *notes: str) -> "Followed":
        """Return it with more notes."""
        return self.adding(notes=(*self.outcome.notes, *notes))
