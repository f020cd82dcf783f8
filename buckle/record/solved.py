"""A case that was worked out, as data: what its record and its files are made of."""

from collections.abc import Sequence
from dataclasses import dataclass

from buckle.case import Case
from buckle.margins import Comparison, Judgement
from buckle.record.margins import expectation_rows
from buckle.record.quantities import Fields, Record, record
from buckle.results import Outcome


@dataclass(frozen=True)
class Solved:
    """What a case came to, and when it was analysed."""

    case: Case
    when: str
    outcomes: Sequence[Outcome]
    judgement: Judgement
    verdict: Fields
    comparisons: Sequence[Comparison]

    @property
    def expectations(self) -> Sequence[Fields]:
        """What the case expects, as rows."""
        return expectation_rows(self.comparisons)

    @property
    def recorded(self) -> Record:
        """The record, not yet sealed."""
        return record(self.case, self.outcomes, self.verdict, self.expectations)
