"""The verdict on a case: one word that follows from all margins, what governs, and every reason to doubt it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from enum import StrEnum

from buckle.increasing import PRESSURE, Increasing
from buckle.margins.holding import Holding
from buckle.margins.margin import JUDGED, OPEN, Margin, Verdict


class Word(StrEnum):
    """The answer."""

    MET = "met"
    DOUBT = "met with doubt"
    NOT_MET = "not met"
    NO_VERDICT = "no verdict"


def word_of(verdicts: Collection[str], doubts: Sequence[str], missing: Sequence[str]) -> Word:
    """Return the one word for the verdicts of all margins, the doubts about them and what could not be judged.

    What is missed is missed, whatever else is unknown; nothing is met as long as anything is unknown.
    """
    if Verdict.NOT_MET in verdicts:
        return Word.NOT_MET
    if missing or any(each in verdicts for each in OPEN) or not any(each in verdicts for each in JUDGED):
        return Word.NO_VERDICT
    return Word.DOUBT if doubts or Verdict.DOUBT in verdicts else Word.MET


def word_of_parts(words: Collection[Word]) -> Word:
    """Return the word on a whole: that of its worst part; nothing is met as long as anything is unknown."""
    order = (Word.NOT_MET, Word.NO_VERDICT, Word.DOUBT, Word.MET)
    return next((word for word in order if word in words), Word.NO_VERDICT)


@dataclass(frozen=True)
class Judgement:
    """All margins, the deciding ones first, and what follows from them."""

    margins: tuple[Margin, ...]
    decided_by: str  # analysis kind; empty when none can decide
    wave_numbers: tuple[int, ...]  # lowest and highest that were examined
    doubts: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()  # why something could not be judged
    cautions: tuple[str, ...] = ()
    required: bool = True  # whether anything is
    demand: float | None = None  # load that must be carried, partial factor included
    holding: Holding | None = None  # up to where the contents are held
    increasing: Increasing = PRESSURE  # of what demand and margins are sizes

    @property
    def word(self) -> Word:
        """The verdict."""
        return word_of([margin.verdict for margin in self.margins], self.doubts, self.missing)

    @property
    def governing(self) -> Margin | None:
        """The margin with the least reserve of all that is required; without a requirement that of the capacity."""
        return next((margin for margin in self.margins if margin.governs), None)

    @property
    def reserve(self) -> float | None:
        """The least reserve factor over all requirements that could be judged."""
        governing = self.governing
        return governing.reserve if governing is not None and governing.verdict in JUDGED else None

    @property
    def missed(self) -> tuple[Margin, ...]:
        """What is not met."""
        return tuple(margin for margin in self.margins if margin.verdict is Verdict.NOT_MET)

    @property
    def unjudged(self) -> tuple[str, ...]:
        """Why something could not be judged, each open margin among it."""
        known = "; ".join(self.missing)
        still = [margin for margin in self.margins if margin.verdict in OPEN and margin.reason not in known]
        return (*self.missing, *(f"{margin.limit_state}: {margin.reason}" for margin in still))
