"""Whether a record says of its analyses what follows from them: it is judged once more, from the loads that they found.

What a judgement rests on is believed (loads, movements, strains, notes: `outcomes`); margins with their hand values,
doubts, cautions, what is not judged, the verdict, capacities and errors must then be what it comes to.
"""

import math
from collections.abc import Iterator, Sequence

from buckle.analysis.certainty import FIRST_YIELD, estimate
from buckle.analysis.imperfect import wave_notes
from buckle.analysis.notes import STOPPED, passing
from buckle.case import Case
from buckle.case.models import like
from buckle.margins.judge import judge
from buckle.record.agreement import ROUNDING
from buckle.record.differences import SAME, differences
from buckle.record.margins import verdict_fields
from buckle.record.quantities import (
    Fields,
    event_fields,
    growth_fields,
    growth_source,
    linear_fields,
    plain_mapping,
    wave_fields,
)
from buckle.record.reading import number_of, rows_of
from buckle.results import Growth, Outcome, Status

AT = "bifurcation_at"
"""Where waves begin: its piece names a margin, its radius follows from nothing."""
GIVES = "its analyses come to"
LOOKED_FOR = 1e-6
"""Parts in one by which hand values may differ between machines: some are looked for, as roots and as least values."""
_FROM_ANALYSES = (
    "decided_by",
    "doubts",
    "not_judged",
    "strain_cautions",
    "verdict",
    "reserve_factor",
    "governing_limit_state",
)


def judged_disagreements(case: Case, recorded: Fields, outcomes: Sequence[Outcome]) -> Iterator[str]:
    """Yield what does not follow from the outcomes that a record tells."""
    for outcome in outcomes:
        yield from _kind_disagreements(recorded, outcome)
        yield from _error_disagreements(recorded, outcome)
        yield from _note_disagreements(outcome)
        yield from _missing_states(case, outcome, decider=growth_source(outcomes))
    moved = plain_mapping(growth_fields(case, outcomes))
    for key in (f"growth_at_{case.loads.increasing.unit}", "permanent_growth_mm"):
        yield from differences(key, moved.get(key), recorded.get(key), GIVES)
    rows = list(rows_of(recorded["margins"]))
    if not any(_on_the_edge(row.get("reserve_factor")) for row in rows):
        own = plain_mapping(verdict_fields(judge(case, outcomes, explained=False)))
        for key in _FROM_ANALYSES:
            yield from differences(key, own.get(key), recorded.get(key), GIVES)
        yield from _margin_disagreements(list(rows_of(own["margins"])), rows)


def _on_the_edge(reserve: object) -> bool:
    """Tell whether the last digit of a reserve factor, which bar and MPa round differently, makes the verdict."""
    number = number_of(reserve)
    return number is not None and math.isclose(number, 1.0, rel_tol=ROUNDING)


def _margin_disagreements(own: Sequence[Fields], rows: Sequence[Fields]) -> Iterator[str]:
    """Yield margins that are not what they come to.

    Why a hand value differs is not among it: that is told from paths and further analyses.
    """
    if len(own) != len(rows):
        yield f"margins: {len(rows)} rows, where {GIVES} {len(own)}"
        return
    for index, (one, row) in enumerate(zip(own, rows, strict=True)):
        hand = "beside" in one
        if hand and not one.get("reason"):
            one, row = ({**each, "reason": ""} for each in (one, row))
        yield from differences(f"margins[{index}]", one, row, GIVES, LOOKED_FOR if hand else SAME)


# One analysis ---------------------------------------------------------------------------------------------------------


def _kind_disagreements(recorded: Fields, outcome: Outcome) -> Iterator[str]:
    """Yield loads of an analysis that are not those of its events and waves."""
    waves = [wave_fields(outcome, path) for path in outcome.waves] if outcome.in_waves else None
    own = {**linear_fields(outcome), **event_fields(outcome), "waves": waves}
    known = plain_mapping(own)
    for key in own.keys() - {AT}:
        yield from differences(f"{outcome.kind}.{key}", known.get(key), recorded.get(f"{outcome.kind}.{key}"), GIVES)


def _error_disagreements(recorded: Fields, outcome: Outcome) -> Iterator[str]:
    """Yield an estimate of an error that is not that of the change with the discretisation it is made from."""
    capacity, changes = outcome.capacity, recorded.get(f"{outcome.kind}.convergence_percent")
    error = number_of(recorded.get(f"{outcome.kind}.numerical_error_percent"))
    numbers = list(map(number_of, changes.values())) if isinstance(changes, dict) else []
    known = [each for each in numbers if each is not None]
    if outcome.in_waves:
        made = sum(map(abs, known)) if error is not None else None
    else:
        event = FIRST_YIELD if capacity is None else capacity.kind
        made = estimate(like(outcome.kind), event, known[0]) if known else None
    yield from differences(f"{outcome.kind}.numerical_error_percent", made, error, GIVES)


def _note_disagreements(outcome: Outcome) -> Iterator[str]:
    """Yield notes that an analysis must have made and did not: of a stop, of a limit that is passed, of waves."""
    if outcome.status is Status.FAILED:
        return
    for said in _must_say(outcome):
        if not any(said in note for note in outcome.notes):
            yield f"{outcome.kind}.notes: do not say what its numbers do: {said}"


def _must_say(outcome: Outcome) -> Iterator[str]:
    """Yield what notes of an analysis say as its numbers have it."""
    peak, limit = outcome.peak, outcome.limit
    if peak is not None and peak.kind in STOPPED:
        yield STOPPED[peak.kind]
    if peak is not None and limit is not None and limit.load < peak.load:
        yield passing(outcome.increasing, limit.load)
    if outcome.waves:
        yield from wave_notes(outcome.increasing, outcome.waves)


def _missing_states(case: Case, outcome: Outcome, decider: Outcome | None) -> Iterator[str]:
    """Yield states whose movement an analysis tells, or says why not, and that a record lacks; and what they lack."""
    if outcome is not decider or outcome.status is Status.FAILED:
        return
    asked = {case.requirements.service_pressure, case.required_load} - {None}
    found = {each.load for each in outcome.growth}
    excused = sum(note.startswith("growth: ") for note in outcome.notes)
    moves = outcome.at_capacity is not None or outcome.capacity is None
    key = f"growth_at_{outcome.increasing.unit}"
    if found - asked or len(found) + excused != len(asked) or len(found) < len(outcome.growth):
        yield f"{key}: has not the loads that the case file asks for"
    at, capacity = outcome.at_capacity, outcome.capacity
    if at is not None and (capacity is None or not math.isclose(at.load, capacity.load, rel_tol=SAME)):
        yield f"{key}: the state at the capacity is at another load"
    if not moves and not any(note.startswith("movement: ") for note in outcome.notes):
        yield f"{key}: has not the state at the capacity"
    for each in (*outcome.growth, *([] if at is None else [at])):
        yield from _lacking(case, outcome, each, under_demand=each is not at)


def _lacking(case: Case, outcome: Outcome, each: Growth, *, under_demand: bool) -> Iterator[str]:
    """Yield what the analyses of metal that yields tell of every state, and this one lacks."""
    if like(outcome.kind) != "GMNA":
        return
    stays = under_demand and case.loads.increasing.is_pressure
    sizes = {"face_strain": each.face_strain, "middle_strain": each.middle_strain}
    for name, size in (sizes | ({"permanent_growth_mm": each.permanent} if stays else {})).items():
        if size is None:
            yield f"growth_at_{outcome.increasing.unit}: has no {name} at {outcome.increasing.text(each.load)}"
