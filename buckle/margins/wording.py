"""The verdict in one sentence, the same wherever it is shown."""

from collections.abc import Sequence
from dataclasses import dataclass

from buckle.increasing import PRESSURE, Increasing
from buckle.margins.margin import Margin
from buckle.margins.verdict import Judgement, Word
from buckle.units import length_text


@dataclass(frozen=True)
class Governing:
    """The margin that governs, as the sentence needs it; loads in MPa or N, sizes in their unit ('mm' or '')."""

    limit_state: str
    event: str
    method: str
    capacity: float | None
    demand: float | None
    reserve: float | None
    partial_factor: float
    at_least: bool
    allowed: float | None
    unit: str
    increasing: Increasing = PRESSURE


@dataclass(frozen=True)
class Said:
    """A verdict as data: everything that its sentence is made of."""

    word: Word
    governing: Governing | None
    missed: tuple[str, ...]
    doubts: tuple[str, ...]
    missing: tuple[str, ...]
    wave_numbers: tuple[int, ...]


def said(judgement: Judgement) -> Said:
    """Return what a judgement says."""
    return Said(
        judgement.word,
        None if judgement.governing is None else governing_of(judgement.governing),
        tuple(margin.limit_state for margin in judgement.missed),
        judgement.doubts,
        judgement.unjudged,
        judgement.wave_numbers,
    )


def sentence(verdict: Said) -> str:
    """Return the verdict, why, and what governs by how much; quantities in it are marked."""
    because = {
        Word.MET: (),
        Word.DOUBT: verdict.doubts,
        Word.NOT_MET: verdict.missed,
        Word.NO_VERDICT: verdict.missing,
    }[verdict.word]
    why = f": {'; '.join(because)}" if because else ""
    first = f"{verdict.word.upper()}{why}."
    return first if verdict.governing is None else f"{first} {_governs(verdict, verdict.governing)}"


def event_words(event: str, wave_number: int | None) -> str:
    """Return an event with its number of waves."""
    return event if wave_number is None else f"{event}, n = {wave_number}"


def governing_of(margin: Margin) -> Governing:
    """Return what the sentence needs of the margin that governs."""
    return Governing(
        margin.limit_state,
        event_words(margin.event, margin.wave_number),
        margin.method,
        margin.capacity,
        margin.demand,
        margin.reserve,
        margin.partial_factor,
        margin.at_least,
        None if margin.size is None else margin.size.allowed,
        "" if margin.size is None else margin.size.unit,
        margin.increasing,
    )


def _governs(verdict: Said, line: Governing) -> str:
    parts = [_where(line)]
    if line.demand is not None:
        parts.append(f"demand {line.increasing.text(line.demand)}")
    if line.partial_factor != 1.0:
        parts.append(f"partial factor {line.partial_factor:g}")
    parts.append("no demand given" if line.reserve is None else f"reserve factor {line.reserve:.3f}")
    parts.append(_waves(verdict.wave_numbers))
    lead = "So far" if verdict.word is Word.NO_VERDICT and line.demand is not None else "Governing"
    return f"{lead}: {'; '.join(parts)}."


def _where(line: Governing) -> str:
    beyond = ("more than " if line.increasing.sense > 0.0 else "beyond ") if line.at_least else ""
    load = line.increasing
    at = f"no {load.words}" if line.capacity is None else f"{beyond}{load.text(line.capacity)}"
    if line.allowed is not None:
        allowed = length_text(line.allowed) if line.unit == "mm" else f"{line.allowed:.3g}"
        return f"{line.limit_state}, of which {allowed} is allowed, up to {at} ({line.method})"
    return f"{line.limit_state} at {at} ({', '.join(each for each in (line.event, line.method) if each)})"


def _waves(wave_numbers: Sequence[int]) -> str:
    if not wave_numbers:
        return "waves not examined"
    low, high = wave_numbers
    return f"waves n = {low} to {high} examined"
