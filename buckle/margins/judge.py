"""From outcomes to margins: which analysis decides, which event governs, whether the requirements are met."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from buckle.case import Case
from buckle.margins.beside import bulge_beside, events_of, is_passed, with_hand
from buckle.margins.hand import HandSet, hand_calculations
from buckle.margins.margin import Margin, Verdict
from buckle.results import (
    BIFURCATION,
    GROWTH_CEILING,
    LIMIT_POINT,
    STRAIN_CEILING,
    WALLS_TOUCH,
    Event,
    Growth,
    Outcome,
    Status,
)
from buckle.units import pressure_text

FIDELITY = ("GMNA", "GNA", "LBA", "MNA", "LA")
"""The analysis that decides is the first of these that was run."""

_PLAIN = {
    LIMIT_POINT: "collapse",
    BIFURCATION: "onset of waves",
    GROWTH_CEILING: "movement up to its ceiling",
    STRAIN_CEILING: "plastic strain up to its ceiling",
    WALLS_TOUCH: "the wall touches itself",
}
_STATES = {
    "domed_base": _PLAIN
    | {
        LIMIT_POINT: "dome reversal",
        BIFURCATION: "onset of waves in the base",
        GROWTH_CEILING: "roll-out of the stand",
    },
    "recessed_end": _PLAIN
    | {
        LIMIT_POINT: "collapse of the end",
        BIFURCATION: "onset of waves in the countersink",
        GROWTH_CEILING: "roll-out of the countersink",
    },
}


@dataclass(frozen=True)
class Judgement:
    """All margins, the deciding ones first, and what follows from them."""

    margins: tuple[Margin, ...]
    decided_by: str  # analysis kind; empty when none can decide

    @property
    def governing(self) -> Margin | None:
        """Margin of the governing event of the deciding analysis."""
        return next((margin for margin in self.margins if margin.governs), None)

    @property
    def met(self) -> bool:
        """Whether no requirement is known to be missed."""
        return all(margin.verdict is not Verdict.NOT_MET for margin in self.margins)

    @property
    def complete(self) -> bool:
        """Whether every requirement could be judged."""
        return all(margin.verdict not in (Verdict.NOT_FOUND, Verdict.NOT_RUN) for margin in self.margins)


def judge(case: Case, outcomes: Sequence[Outcome], hands: HandSet | None = None) -> Judgement:
    """Make the margins of a case from its outcomes, beside the given hand calculations (all that answer, by default).

    The hand values decide nothing: a batch gives none, since the rolling of a stand takes as long as half its path.
    """
    by_kind = {outcome.kind: outcome for outcome in outcomes}
    decider = next((kind for kind in FIDELITY if kind in by_kind and kind != "LA"), "")
    hands = hand_calculations(case) if hands is None else hands
    margins: list[Margin] = []
    for kind in FIDELITY:
        if kind in by_kind:
            made = _of_outcome(case, by_kind[kind], kind == decider)
            margins += [with_hand(case, margin, by_kind, hands.get(kind, ())) for margin in made]
    margins += _growths(case, by_kind)
    if case.requirements.axial_force is not None:
        reason = "axial crush of the wall is not computed in this version"
        margins.append(Margin("axial crush", "none", "", None, None, "MPa", Verdict.NOT_RUN, reason=reason))
    return Judgement(tuple(margins), decider)


def _of_outcome(case: Case, outcome: Outcome, decides: bool) -> list[Margin]:
    demand = case.requirements.pressure
    if outcome.kind == "LA":
        return _first_yield(outcome, demand)
    events = events_of(outcome)
    if not events:
        return [_without_event(case, outcome, demand, decides)]
    governing = outcome.capacity
    return [
        Margin(
            limit_state=_state(case, event, outcome),
            method=outcome.kind,
            event=event.kind,
            capacity=event.pressure,
            demand=demand,
            unit="MPa",
            verdict=_verdict(event.pressure, demand, decides and not is_passed(event, outcome)),
            governs=decides and event is governing,
            wave_number=event.wave_number if event.kind == BIFURCATION else None,
            error_percent=event.error_percent,
            reason=_note(case, outcome, event),
        )
        for event in sorted(events, key=lambda event: event.pressure)
    ]


def _state(case: Case, event: Event, outcome: Outcome) -> str:
    kind = outcome.kind
    if is_passed(event, outcome):
        return "first limit point"
    if kind == "MNA":
        return "plastic mechanism at small displacements"
    name = _STATES.get(case.family, _PLAIN)[event.kind]
    elastic = {"LBA": ", elastic, linear", "GNA": ", elastic"}
    return name + elastic.get(kind, "")


def _verdict(capacity: float, demand: float | None, decides: bool) -> Verdict:
    if not decides:
        return Verdict.FOR_COMPARISON
    if demand is None:
        return Verdict.NO_REQUIREMENT
    return Verdict.MET if capacity >= demand else Verdict.NOT_MET


def _without_event(case: Case, outcome: Outcome, demand: float | None, decides: bool) -> Margin:
    """Path without an event: met if it was followed beyond the demand, unknown otherwise."""
    row = Margin("no event found", outcome.kind, "", None, demand, "MPa", Verdict.NOT_FOUND, reason=outcome.reason)
    if outcome.status is Status.FAILED:
        return row
    row = replace(row, capacity=outcome.reached or None, at_least=True, governs=decides)
    return replace(row, verdict=_verdict(outcome.reached, demand, decides))


def _first_yield(outcome: Outcome, demand: float | None) -> list[Margin]:
    if outcome.first_yield is None:
        return []
    reason = "first yield is no capacity: metal that yields at one face goes on carrying load"
    return [Margin("first yield", "LA", "", outcome.first_yield, demand, "MPa", Verdict.FOR_COMPARISON, reason=reason)]


def _note(case: Case, outcome: Outcome, event: Event) -> str:
    notes = []
    lower = outcome.deformation_bifurcation
    if event.kind == BIFURCATION and outcome.kind == "GMNA":
        notes.append("an onset: waves begin here, the body may still carry more")
    if lower is not None and event is (outcome.bifurcation or outcome.axisymmetric):
        notes.append(_lower_bracket(case, lower))
    if outcome.kind == "MNA":
        notes.append("no capacity of a thin body: displacements stiffen or weaken it")
    return "; ".join((*notes, *outcome.notes))


def _lower_bracket(case: Case, lower: Event) -> str:
    """Tell the deformation-theory onset, and what to do when it lies below what is demanded."""
    told = f"deformation theory puts the onset of waves at {pressure_text(lower.pressure)}, n = {lower.wave_number}"
    demand = case.requirements.pressure
    if demand is None or lower.pressure >= demand:
        return told
    return f"{told}, below the demand: small waves may show before it, look for them in the test"


def _growths(case: Case, outcomes: Mapping[str, Outcome]) -> list[Margin]:
    needs = case.requirements
    kind = next((kind for kind in ("GMNA", "GNA") if kind in outcomes), None)
    service = needs.service_pressure or needs.pressure
    if service is None or (kind is None and needs.growth is None and needs.permanent_growth is None):
        return []
    found = next((growth for growth in outcomes[kind].growth if growth.pressure == service), None) if kind else None
    rows = []
    if needs.growth is not None or found is not None:
        row = _growth("growth under pressure", kind, found, needs.growth, permanent=False)
        hand = () if kind is None or found is None else bulge_beside(case, found, kind, outcomes)
        rows.append(replace(row, hand=hand))
    if needs.permanent_growth is not None or (found is not None and found.permanent is not None):
        rows.append(_growth("growth that stays", kind, found, needs.permanent_growth, permanent=True))
    return rows


def _growth(state: str, kind: str | None, found: Growth | None, allowed: float | None, *, permanent: bool) -> Margin:
    size = None if found is None else (found.permanent if permanent else found.loaded)
    if size is None or found is None:
        verdict = Verdict.NO_REQUIREMENT if allowed is None else Verdict.NOT_FOUND
        return Margin(state, kind or "none", "", None, allowed, "mm", verdict, reason="no path reaches the pressure")
    verdict = Verdict.NO_REQUIREMENT if allowed is None else (Verdict.MET if size <= allowed else Verdict.NOT_MET)
    where = f"at {found.pressure * 10.0:.2f} bar" if not permanent else f"after {found.pressure * 10.0:.2f} bar"
    return Margin(state, kind or "none", where, size, allowed, "mm", verdict)
