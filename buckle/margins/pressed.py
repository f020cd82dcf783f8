"""Reasons why formulas of a body pressed along its axis differ from what is computed."""

from collections.abc import Iterator

from buckle.formulas.capacity import resistance
from buckle.formulas.cylinder.capacity import axial_curve
from buckle.margins.again import changed, held_cone, pressure
from buckle.margins.elastic import DENTS, IN_CURVE, displacements, yielding
from buckle.margins.pair import Pair
from buckle.margins.reason import Reason, moved

BUCKLING = "buckling, which comes before all of the wall yields"
FOLDING = "the bends, which flatten and fold before they yield all through"


def of_pressed_wall(pair: Pair) -> Iterator[Reason]:
    """Yield what separates a formula of an axial force from the event that it stands beside."""
    answers, body = pair.formula.answers, pair.formula.body
    if answers == "plastic limit" and pair.like == "GMNA":
        yield moved(FOLDING if body == "crush" else BUCKLING, pair.mechanism or pair.hand, pair.computed)
        return
    if answers == "characteristic resistance":
        elastic, plastic = pair.formula.number("F_cr"), pair.formula.number("F_pl")
        perfect_curve = resistance(elastic, plastic, axial_curve(1.0)).value
        yield Reason(IN_CURVE, 1) if perfect_curve is None else moved(IN_CURVE, pair.hand, perfect_curve)
        return
    perfect = pair.linear if body != "cone" else pressure(changed(pair.case, held_cone(pair.case)), "LBA")
    if answers == "imperfect elastic buckling":
        yield Reason(DENTS, 1) if perfect is None else moved(DENTS, pair.hand, perfect)
    if answers in ("linear bifurcation", "imperfect elastic buckling"):
        if body == "cone" and perfect is not None and pair.linear is not None:
            yield moved("shoulder and throat, in the place of edges that hold the cone", perfect, pair.linear)
        yield from displacements(pair)
        yield from yielding(pair)
