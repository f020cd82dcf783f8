"""From outcomes to a verdict: which analysis decides, what governs, what is in doubt and what could not be judged."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from buckle.case import Case
from buckle.case.models import PERFECT, like
from buckle.formulas.base import Formula
from buckle.increasing import PUSH
from buckle.margins.beside import events_of, with_hand
from buckle.margins.cautions import cautions
from buckle.margins.doubts import doubts_of, is_within_error
from buckle.margins.hand import HandSet, hand_calculations, with_own
from buckle.margins.held import holding, too_warm
from buckle.margins.limits import LIMITS
from buckle.margins.margin import JUDGED, Margin, Verdict
from buckle.margins.movement import movement_margins
from buckle.margins.names import AXIAL_CRUSH, BY_DEFORMATION, is_passed, limit_state, onset
from buckle.margins.sufficient import lacks
from buckle.margins.verdict import Judgement, Word, word_of
from buckle.results import BIFURCATION, WIDEN, Event, Outcome, Status

FIDELITY = ("GMNIA", "GMNA", "GNIA", "GNA", "LBA", "MNA", "LA")
"""The analysis that decides is the first of these that was run, one that follows waves around left aside."""


def judge(
    case: Case, outcomes: Sequence[Outcome], hands: HandSet | None = None, *, explained: bool = True
) -> Judgement:
    """Make the margins of a case from its outcomes, beside the given hand calculations (all that answer, by default).

    The hand values decide nothing: a batch gives none, since the rolling of a stand takes as long as half its path.
    Why they differ from what is computed asks for paths and further analyses: unless `explained` it is not told.
    """
    by_kind = {outcome.kind: outcome for outcome in outcomes}
    decider = next((kind for kind in FIDELITY if kind in by_kind and kind != "LA" and not by_kind[kind].in_waves), "")
    hands = with_own(case, hand_calculations(case), by_kind) if hands is None else hands
    margins: list[Margin] = []
    for kind in FIDELITY:
        if kind in by_kind:
            decides = kind == decider or _judged_beside(by_kind[kind], decider)
            made = _of_outcome(case, by_kind[kind], decides and not lacks(case, kind))
            beside = _hands(hands, kind, by_kind)
            margins += [with_hand(case, margin, by_kind, beside, explained=explained) for margin in made]
    margins += movement_margins(
        case, decider, lacks(case, decider), by_kind, with_hands=bool(hands), explained=explained
    )
    if case.requirements.axial_force is not None and case.loads.increasing.is_pressure:
        reason = 'the axial force does not increase in this case (loads.increases = "axial_force"): it is asked apart'
        margins.append(Margin(AXIAL_CRUSH, "none", "", None, None, Verdict.NOT_RUN, reason=reason))
    margins = [replace(each, increasing=case.loads.increasing) for each in margins]
    missing = tuple(_missing(case, decider, by_kind))
    margins = _with_governing(margins, by_kind.get(decider))
    doubts = doubts_of(case, by_kind.get(decider), margins, by_kind.get(PERFECT.get(decider, "")))
    doubts += too_warm(case, margins)
    warnings = cautions(case, by_kind[decider]) if decider else ()
    if word_of([margin.verdict for margin in margins], doubts, missing) is Word.NO_VERDICT:
        margins = [replace(each, verdict=Verdict.NO_VERDICT) if each.verdict in JUDGED else each for each in margins]
    waves, asked = case.analyses.wave_numbers, (requires(case), demanded(case))
    judgement = Judgement(tuple(margins), decider, waves, doubts, missing, warnings, *asked)
    held = holding(case, judgement.margins, judgement.word)
    return replace(judgement, holding=held, increasing=case.loads.increasing)


def _judged_beside(outcome: Outcome, decider: str) -> bool:
    """Tell whether an analysis found a collapse with waves: judged beside their onset, which the perfect body has."""
    return outcome.in_waves and like(outcome.kind) == decider and outcome.capacity is not None


def _hands(hands: HandSet, kind: str, outcomes: Mapping[str, Outcome]) -> Sequence[Formula]:
    """The formulas beside an analysis; those of a deviated shape stand beside the perfect one if that was run."""
    return () if PERFECT.get(kind) in outcomes else hands.get(like(kind), ())


def requires(case: Case) -> bool:
    """Tell whether a case requires anything."""
    return any(getattr(case.requirements, key) is not None for key in ("pressure", "axial_force", *LIMITS))


def demanded(case: Case) -> float | None:
    """Return the load that must be carried, partial factor included; None where none is required."""
    required = case.required_load
    return None if required is None else case.requirements.partial_factor * required


def _of_outcome(case: Case, outcome: Outcome, decides: bool) -> list[Margin]:
    if outcome.kind == "LA":
        return _first_yield(case, outcome)
    found = events_of(outcome)
    if not found:
        return [_without_event(case, outcome, decides)]
    made = [_of_event(case, outcome, event, decides) for event in sorted(found, key=lambda event: event.load)]
    return made + _lower_bracket(case, outcome, decides)


def _of_event(case: Case, outcome: Outcome, event: Event, decides: bool) -> Margin:
    margin = Margin(
        limit_state=limit_state(case, event, outcome),
        method=outcome.kind,
        event=event.kind,
        capacity=event.load,
        demand=case.required_load,
        verdict=Verdict.FOR_COMPARISON,
        wave_number=event.wave_number if event.kind == BIFURCATION else None,
        error_percent=event.error_percent,
        partial_factor=case.requirements.partial_factor,
        reason=_note(case, outcome, event),
    )
    return judged(margin) if decides and not is_passed(event, outcome) else margin


def judged(margin: Margin) -> Margin:
    """Return a margin with the verdict that its reserve factor gives."""
    if margin.reserve is None:
        return replace(margin, verdict=Verdict.NO_REQUIREMENT)
    return replace(margin, verdict=Verdict.MET if margin.reserve >= 1.0 else Verdict.NOT_MET)


def _lower_bracket(case: Case, outcome: Outcome, decides: bool) -> list[Margin]:
    """The onset of waves by deformation theory, where it comes first: a doubt unless the case says which one counts."""
    lower, needs = outcome.deformation_bifurcation, case.requirements
    if lower is None or (outcome.bifurcation is not None and lower.load >= outcome.bifurcation.load):
        return []
    margin = Margin(
        limit_state=f"{onset(lower)}{BY_DEFORMATION}",
        method=outcome.kind,
        event=lower.kind,
        capacity=lower.load,
        demand=case.required_load,
        verdict=Verdict.FOR_COMPARISON,
        wave_number=lower.wave_number,
        partial_factor=needs.partial_factor,
        reason="a lower bracket: small waves may show from here on, look for them in the test",
    )
    if not decides or margin.reserve is None or needs.onset == "flow":
        accepted = "; the case lets the onset by flow theory count (requirements.onset)" if needs.onset else ""
        return [replace(margin, reason=margin.reason + accepted)]
    if needs.onset == "deformation":
        return [judged(margin)]
    doubtful = margin.reserve < 1.0 or is_within_error(margin)
    return [replace(margin, verdict=Verdict.DOUBT) if doubtful else margin]


def _without_event(case: Case, outcome: Outcome, decides: bool) -> Margin:
    """Path without an event: met if it was followed beyond the demand, unknown otherwise."""
    needs = case.requirements
    row = Margin(
        "no event found", outcome.kind, "", None, case.required_load, Verdict.FOR_COMPARISON, reason=outcome.reason
    )
    if outcome.status is not Status.FAILED and outcome.reached:
        row = replace(row, capacity=outcome.reached, at_least=True, partial_factor=needs.partial_factor)
    if not decides or case.required_load is None:
        return row if not decides else replace(row, verdict=Verdict.NO_REQUIREMENT)
    reaches = row.reserve is not None and row.reserve >= 1.0
    return replace(row, verdict=Verdict.MET if reaches else Verdict.NOT_FOUND)


def _first_yield(case: Case, outcome: Outcome) -> list[Margin]:
    if outcome.first_yield is None:
        return []
    row = Margin("first yield", "LA", "", outcome.first_yield, case.required_load, Verdict.FOR_COMPARISON)
    reason = "first yield is no capacity: metal that yields at one face goes on carrying load"
    return [replace(row, error_percent=outcome.first_yield_error, reason=reason)]


def _note(case: Case, outcome: Outcome, event: Event) -> str:
    notes = []
    if event.kind == BIFURCATION and like(outcome.kind) == "GMNA":
        pressed = "an onset, at which a wall pressed along its axis as a rule collapses"
        notes.append(pressed if case.loads.increasing == PUSH else "an onset: the body may still carry more")
    if outcome.kind == "MNA":
        notes.append(_mechanism(case, event))
    return "; ".join((*notes, *outcome.notes))


def _mechanism(case: Case, event: Event) -> str:
    """What a collapse at small displacements says, above all where it lies below the demand."""
    why = "no capacity of a thin body: displacements stiffen or weaken it"
    demand = case.required_load
    if demand is None or event.load >= demand:
        return why
    return (
        f"{why}; it lies below the demand, so that the body must carry by the change of shape that GMNA follows (EN "
        "1993-1-6:2007, 8.6 takes MNA for no more than the plastic reference resistance; from memory)"
    )


def _missing(case: Case, decider: str, outcomes: Mapping[str, Outcome]) -> Iterator[str]:
    """Yield why what is required cannot be judged."""
    for outcome in outcomes.values():
        if outcome.status is Status.FAILED:
            remedy = f"; try {outcome.remedy}" if outcome.remedy else ""
            yield f"{outcome.kind} failed: {outcome.reason}{remedy}"
    if not requires(case):
        yield "nothing is required (requirements)"
        return
    lack = lacks(case, decider)
    if lack:
        yield lack
    elif outcomes[decider].outside:
        some = ", ".join(str(n) for n in outcomes[decider].outside[:3])
        low, high = case.analyses.wave_numbers
        yield f"waves n = {low} to {high} were examined, and others have begun (n = {some}): {WIDEN}"


def _with_governing(margins: Sequence[Margin], decider: Outcome | None) -> list[Margin]:
    """Mark the margin that governs: the least reserve of all that is required; without a requirement the capacity."""
    least = min((each.reserve for each in margins if _counts(each) and each.reserve is not None), default=None)
    capacity = None if decider is None or decider.capacity is None else decider.capacity.load
    for at, each in enumerate(margins):
        of_capacity = each.method == (decider and decider.kind) and each.size is None and each.capacity == capacity
        of_capacity = of_capacity and each.verdict is not Verdict.FOR_COMPARISON
        if (of_capacity and each.capacity) if least is None else (_counts(each) and each.reserve == least):
            return [*margins[:at], replace(each, governs=True), *margins[at + 1 :]]
    return list(margins)


def _counts(margin: Margin) -> bool:
    """Tell whether a margin may govern: one that is judged, but not one that is a doubt only."""
    return margin.verdict in JUDGED and margin.verdict is not Verdict.DOUBT
