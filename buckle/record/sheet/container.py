"""What stands on the sheet of a container, as frozen data made from its record and those of its parts."""

from collections.abc import Mapping
from dataclasses import dataclass

from buckle.margins import Word
from buckle.margins.wording import event_words
from buckle.record.container import First, firsts
from buckle.record.quantities import Fields
from buckle.record.reading import number_of, texts_of
from buckle.record.sheet.content import Sheet, sheet_of
from buckle.record.sheet.head import Head, head_of


@dataclass(frozen=True)
class ContainerSheet:
    """A container's sheet: the sentence it begins with, the sheet of each part, and the record of the whole.

    Numbers are in the units of the record; quantities in texts are marked (`buckle.marked`).
    """

    opening: str
    head: Head
    chapters: Mapping[str, Sheet]
    firsts: tuple[First, ...]
    reasons: tuple[str, ...]
    recorded: Fields

    @property
    def notes(self) -> tuple[str, ...]:
        """What is said of the whole beside its numbers."""
        filling = self.recorded.get("filling_note")
        return (*([str(filling)] if filling else []), *texts_of(self.recorded.get("joint.notes")))

    @property
    def word(self) -> Word:
        """The verdict."""
        return Word(str(self.recorded["verdict"]))


def container_sheet(recorded: Fields, records: Mapping[str, Fields], date: str, revision: str = "") -> ContainerSheet:
    """Return the sheet of a container's record and those of its parts."""
    found = tuple(firsts(records))
    return ContainerSheet(
        _opening(recorded, found),
        head_of(recorded, date, revision),
        {name: sheet_of(each, date, revision) for name, each in records.items()},
        found,
        texts_of(recorded.get("reasons")),
        recorded,
    )


def _opening(recorded: Fields, found: tuple[First, ...]) -> str:
    """Return the verdict, what governs it, and which part goes first under each load."""
    word = str(recorded["verdict"])
    why = [reason.partition(": ")[0] for reason in texts_of(recorded.get("reasons")) if f": {word}" in reason]
    because = f": {', '.join(why)}" if word != Word.MET and why else ""
    parts = [f"{word.upper()}{because}."]
    reserve = number_of(recorded.get("reserve_factor"))
    if reserve is not None:
        state = recorded.get("governing_limit_state")
        parts.append(f"Governing: {recorded['governing_part']}, {state}; reserve factor {reserve:.3f}.")
    for name in dict.fromkeys(each.margin.increasing.words for each in found):
        own = [each for each in found if each.margin.increasing.words == name]
        ends = [each for each in own if not each.margin.at_least] or own
        parts.append(f"Under {name} the {ends[0].part} goes first, {_at(ends[0])}.")
    return " ".join(parts)


def _at(first: First) -> str:
    margin = first.margin
    assert margin.capacity is not None
    beyond = "beyond " if margin.at_least else "at "
    words = ", ".join(
        each for each in (event_words(margin.event, margin.wave_number), margin.limit_state, margin.method) if each
    )
    return f"{beyond}{margin.increasing.text(margin.capacity)} ({words})"
