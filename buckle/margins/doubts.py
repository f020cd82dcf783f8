"""What stands between a met requirement and a verdict that can be signed."""

from collections.abc import Iterator, Sequence

from buckle.case import Case
from buckle.case.models import PERFECT, like
from buckle.margins.margin import JUDGED, Margin, Verdict
from buckle.results import Outcome, Status

UNESTIMATED = 1.0
"""Per cent that a reserve must be above 1 where no error was estimated: above 99 of 100 errors in `docs/errors.md`."""

NO_BRACKET = "the onset of waves by deformation theory, the lower bracket, is not known"

DENTED = 5.0
"""What a perfect wall carries along its axis, over what one with dents as deep as it is thick does: SP-8007 has 2.4 at
R/t = 280 and 4.5 at 1000, EN 1993-1-6 in its middle fabrication class 4.9 at 280 (from memory)."""
DENTS = (
    "dents no deeper than the wall is thick leave a perfect shape a fifth to a half of what is computed: a partial "
    f"factor covers them (requirements.partial_factor, {DENTED:g} for any)"
)
PERFECT_SHAPE, ONE_DEVIATION = "the shape is perfect, and", "the deviation is that of the case alone, and other"


def doubts_of(
    case: Case, decider: Outcome | None, margins: Sequence[Margin], perfect: Outcome | None = None
) -> tuple[str, ...]:
    """Return the doubts about requirements that are met, in words; none where nothing is met.

    `perfect` is what the same analysis found of the perfect shape, where the one that decides starts from another.
    """
    if decider is None or not any(margin.verdict is Verdict.MET for margin in margins):
        return ()
    return (*_doubts(case, decider, margins), *_of_unread(decider, margins), *_of_perfect(case, perfect))


def _doubts(case: Case, decider: Outcome, margins: Sequence[Margin]) -> Iterator[str]:
    for margin in margins:
        if margin.verdict is Verdict.DOUBT and margin.reserve is not None and margin.reserve < 1.0:
            yield f"{margin.limit_state}, lies below the demand, reserve factor {margin.reserve:.3f}"
    for margin in margins:
        if margin.verdict in (Verdict.MET, Verdict.DOUBT) and is_within_error(margin):
            yield _of_reserve(margin)
    needs = case.requirements
    required = case.required_load
    if required is None:
        return
    if not case.loads.increasing.is_pressure and needs.partial_factor < DENTED:
        deviates = any(margin.method in PERFECT and margin.verdict in JUDGED for margin in margins)
        yield f"{ONE_DEVIATION if deviates else PERFECT_SHAPE} {DENTS}"
    demand = needs.partial_factor * required
    known = decider.bracketed or decider.deformation_bifurcation is not None
    if like(decider.kind) == "GMNA" and needs.onset != "flow" and not known:
        yield NO_BRACKET
    if decider.gathering is not None and decider.gathering < demand:
        where = case.loads.increasing.text(decider.gathering)
        yield f"from {where} on, below the demand, plastic strain may gather in one place, as in a neck"
    if like(decider.kind) == "GMNA" and decider.status is Status.NO_LIMIT:
        yield "the path ended without an event, so that no error could be estimated"


def _of_unread(decider: Outcome, margins: Sequence[Margin]) -> Iterator[str]:
    """Yield a doubt where a shape of a set may move farther than those that are judged."""
    if decider.unread and any(margin.size and margin.verdict is Verdict.MET for margin in margins):
        yield f"how far every deviated shape of the set moves is not known: not of {decider.unread} of them"


def _of_perfect(case: Case, perfect: Outcome | None) -> Iterator[str]:
    """Yield a doubt where it is the deviation alone that makes a body carry what is required."""
    required = case.required_load
    if perfect is None or perfect.capacity is None or required is None:
        return
    if perfect.capacity.load < case.requirements.partial_factor * required:
        where = case.loads.increasing.text(perfect.capacity.load)
        yield f"the perfect shape carries {where} only, less than is required: the deviation stiffens the body"


def is_within_error(margin: Margin) -> bool:
    """Tell whether a reserve factor is at least 1, and no larger than what the numbers may be off by."""
    return margin.reserve is not None and 1.0 <= margin.reserve < certain_reserve(margin.error_percent)


def certain_reserve(error_percent: float | None) -> float:
    """Return the least reserve factor that is above 1 whatever a number is off by: its error, or what stands for it."""
    return 1.0 / (1.0 - 0.01 * (UNESTIMATED if error_percent is None else error_percent))


def _of_reserve(margin: Margin) -> str:
    error = margin.error_percent
    estimated = (
        f"may be off by, no error being estimated, {UNESTIMATED:.2g} %"
        if error is None
        else f"is estimated to be off by, {error:.2g} %"
    )
    return f"the reserve of {margin.limit_state} is no larger than what its number {estimated}"
