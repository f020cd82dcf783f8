"""Why a hand value and a computed one differ: the reasons that hold, by formula, or that none is known.

A reason is a number without and a number with it, from analyses that were run, from formulas, or from a cheap analysis
of the case changed in one thing. It is told only if it acts the way the two differ, and by a good part of how much.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from buckle.case import Case
from buckle.case.models import PERFECT, like
from buckle.formulas.base import Answers, Formula
from buckle.margins import elastic, plastic
from buckle.margins.pair import Pair
from buckle.margins.pressed import of_pressed_wall
from buckle.margins.reason import UNKNOWN, Reason, agree, explaining, moved, sentence
from buckle.results import Growth, Outcome
from buckle.shapes import FAMILIES


@dataclass(frozen=True)
class Causes:
    """What may separate a formula from what is computed, by what the formula answers.

    `uses` are the analyses beside its own that it is read off, `reads` the symbols of a formula without which it is
    not told: another body's formula that answers the same is then not explained.
    """

    of: Callable[[Pair], Iterable[Reason]]
    uses: tuple[str, ...] = ()
    reads: tuple[str, ...] = ()


_CAP = ("E", "nu", "R", "t", "phi")
_TWO_PRESSURES = ("p_el", "p_pl")

_CAUSES: Mapping[Answers, Causes] = {
    "linear bifurcation": Causes(elastic.of_linear_formula, ("LBA", "GNA")),
    "elastic waves": Causes(elastic.of_nonlinear_formula, reads=_CAP),
    "elastic limit point": Causes(elastic.of_nonlinear_formula, reads=_CAP),
    "imperfect elastic buckling": Causes(elastic.of_lower_bound, ("GNA",), _CAP),
    "plastic limit": Causes(plastic.of_plastic_limit, ("MNA",)),
    "interaction": Causes(plastic.of_interaction, ("LBA", "GNA", "MNA"), _TWO_PRESSURES),
    "characteristic resistance": Causes(plastic.of_dome_curve, ("GNA", "MNA"), _TWO_PRESSURES),
    "rolling": Causes(plastic.of_rolling),
    "plastic waves": Causes(plastic.of_head_waves),
    "imperfect plastic waves": Causes(plastic.of_head_tests),
    "plastic collapse": Causes(plastic.of_head_collapse),
}
PRESSED = Causes(of_pressed_wall, ("LBA", "GNA"))
"""The same of whatever answers an axial force."""
_SIMPLER = {"GNA": ("LBA",), "GMNA": ("LBA", "MNA", "GNA")}
"""Kinds of analysis that lead to a kind: what they find stands between a formula and that kind."""


def why(pair: Pair) -> str:
    """Say in one line why a formula's value differs from the event of an analysis."""
    unit = "MPa" if pair.case.loads.increasing.is_pressure else "N"
    said = sentence(reasons(pair), pair.hand, pair.computed, unit)
    return f"{said}{_would_tell(pair)}" if said == UNKNOWN else said


def reasons(pair: Pair) -> tuple[Reason, ...]:
    """Return the reasons why a formula's value differs from the event, the largest first; none if they agree."""
    causes = _causes(pair.formula) if pair.case.loads.increasing.is_pressure else PRESSED
    if causes is None or agree(pair.hand, pair.computed):
        return ()
    return explaining((*causes.of(pair), *_of_deviation(pair)), pair.hand, pair.computed, pair.doubt)


def _of_deviation(pair: Pair) -> Iterator[Reason]:
    """Yield what the deviation makes of the perfect shape, where both were computed."""
    perfect = pair.outcomes.get(PERFECT.get(pair.kind, ""))
    if perfect is not None and perfect.capacity is not None:
        yield moved("the deviation from the perfect shape", perfect.capacity.load, pair.computed)


def _causes(formula: Formula) -> Causes | None:
    """What may separate a formula from what is computed; None where nothing is known of such a one."""
    causes = _CAUSES.get(formula.answers)
    return causes if causes and set(causes.reads) <= formula.numbers.keys() else None


def _would_tell(pair: Pair) -> str:
    """Name the analyses that were not run and that reasons are read off."""
    causes = _causes(pair.formula)
    uses = causes.uses if causes else ()
    missing = [kind for kind in uses if kind in _SIMPLER.get(pair.like, ()) and kind not in pair.outcomes]
    return f" ({', '.join(missing)} not run)" if missing else ""


def why_it_bulges(case: Case, hand: Formula, found: Growth, kind: str, outcomes: Mapping[str, Outcome]) -> str:
    """Say why the centre of a panel or plate rises by another height than by hand."""
    if hand.value is None:
        return f"out of range: {hand.reason}"
    return sentence(bulge_reasons(case, hand, found, kind, outcomes), hand.value, found.loaded, "mm")


def bulge_reasons(
    case: Case, hand: Formula, found: Growth, kind: str, outcomes: Mapping[str, Outcome]
) -> tuple[Reason, ...]:
    """Return the reasons for it: what holds the panel moves, and the metal yields; both can only let it rise more."""
    assert hand.value is not None
    elastic_rise = _elastic_rise(found, outcomes)
    if elastic_rise is None or elastic_rise <= 0.0 or case.loads.axial_force != 0.0:
        return ()
    known = []
    if FAMILIES[case.family].panel and elastic_rise > hand.value:
        known.append(moved("what holds the panel turns and moves", hand.value, elastic_rise))
    if like(kind) == "GMNA" and outcomes[kind].yielded_at and found.loaded > elastic_rise:
        known.append(moved("yielding", elastic_rise, found.loaded))
    return explaining(known, hand.value, found.loaded)


def _elastic_rise(found: Growth, outcomes: Mapping[str, Outcome]) -> float | None:
    if "GNA" not in outcomes:
        return None
    return next((each.loaded for each in outcomes["GNA"].growth if each.load == found.load), None)
