"""Reasons why formulas of a cylinder pressed along its axis differ from what is computed."""

from collections.abc import Iterator

from buckle.margins.elastic import DENTS, displacements, yielding
from buckle.margins.pair import Pair
from buckle.margins.reason import Reason, moved


def of_pressed_wall(pair: Pair) -> Iterator[Reason]:
    """Yield what separates a formula of an axial force from the event that it stands beside."""
    answers = pair.formula.answers
    if answers == "plastic limit" and pair.like == "GMNA":
        yield moved("buckling, which comes before all of the wall yields", pair.mechanism or pair.hand, pair.computed)
        return
    if answers == "imperfect elastic buckling":
        yield Reason(DENTS, 1) if pair.linear is None else moved(DENTS, pair.hand, pair.linear)
    if answers in ("linear bifurcation", "imperfect elastic buckling"):
        yield from displacements(pair)
        yield from yielding(pair)
