"""Reasons why elastic formulas differ from what is computed.

From the formula to linear bifurcation, to the elastic path, to the elastic-plastic one: the steps multiply up to the
whole difference.
"""

import math
from collections.abc import Iterator

from buckle.formulas import cap
from buckle.formulas.base import Formula
from buckle.formulas.stand import rolling
from buckle.margins.again import (
    HEAD_ALONE,
    HELD_ROUND,
    Changes,
    changed,
    clamped_cap,
    more_waves,
    no_force,
    pressure,
    torisphere,
)
from buckle.margins.pair import Pair, cut_off
from buckle.margins.reason import GOOD_PART, LEAST, Reason, moved
from buckle.units import pressure_text

DENTS = "imperfections, which are in the bound and not in the shape computed"
IN_CURVE = "imperfections, which are in the curve and not in the shape computed"
LIKE = 0.2
"""By how much, in logarithms, a mechanism worked out by hand may be off what is computed and still lend it its name."""


def of_linear_formula(pair: Pair) -> Iterator[Reason]:
    """Yield what separates the formula of a linear bifurcation from linear bifurcation, path and yielding."""
    if pair.linear is not None and _matters(pair, pair.linear):
        yield from _of_linear_bifurcation(pair, pair.linear)
    yield from displacements(pair)
    yield from yielding(pair)


def of_nonlinear_formula(pair: Pair) -> Iterator[Reason]:
    """Yield what separates the theory of a perfect clamped or hinged cap from the elastic path of a body."""
    if pair.like == "GNA":
        yield from _of_edge(pair, pair.hand, pair.computed)


def of_lower_bound(pair: Pair) -> Iterator[Reason]:
    """Yield what separates a bound to imperfect elastic caps from a perfect body."""
    perfect = perfect_cap(pair.formula)
    if perfect is not None:
        yield moved(DENTS, pair.hand, perfect)
        if pair.elastic is not None:
            yield from _of_edge(pair, perfect, pair.elastic)
    yield from yielding(pair)


def displacements(pair: Pair) -> Iterator[Reason]:
    """Yield what displacements before buckling make of the linear bifurcation."""
    if pair.like in ("GNA", "GMNA") and pair.linear is not None and pair.elastic is not None:
        yield moved("displacements before buckling", pair.linear, pair.elastic)


def yielding(pair: Pair) -> Iterator[Reason]:
    """Yield what yielding makes of the elastic path, where metal yields and it makes the capacity less."""
    deepest = pair.outcome.yielded_at
    if pair.like != "GMNA" or not deepest or pair.elastic is None or pair.elastic <= pair.computed:
        return
    rolls = " (the stand rolls)" if stand_rolls(pair) else ""
    yield moved(f"yielding, deepest in the {deepest}{rolls}", pair.elastic, pair.computed)


def stand_rolls(pair: Pair) -> bool:
    """Tell whether a base fails by rolling of its stand.

    The formula's own governing mechanism is the stand's and not the dome's, its pressure is like the computed one, and
    the deepest yield is in the nose.
    """
    followed = next((each for each in pair.others if rolling.base_rolling.gave(each)), None)
    if followed is None or followed.value is None or not yields_in_stand(pair):
        return False
    near = abs(math.log(followed.value / pair.computed)) <= LIKE
    return near and followed.number("p_roll") < followed.number("p_snap")


def yields_in_stand(pair: Pair) -> bool:
    """Tell whether the deepest yield is in what the body stands on."""
    stand = pair.family.stand
    return bool(stand) and pair.outcome.yielded_at.startswith(stand)


def perfect_cap(bound: Formula) -> float | None:
    """Pressure [MPa] of the perfect clamped cap that a lower bound was worked out for; None beyond the tables."""
    found = [rule(**_cap_numbers(bound)).value for rule in (cap.clamped_bifurcation, cap.clamped_limit_point)]
    return min((value for value in found if value is not None), default=None)


def plain_dome(pair: Pair) -> bool:
    """Tell whether the dome, cap or crown is one piece of one radius and thickness, and no axial force acts."""
    dome = pair.family.dome
    first, *rest = pair.case.meridian.pieces
    whole = bool(dome) and first.name == dome and all(piece.name != dome for piece in rest)
    return whole and first.thickness[0] == first.thickness[1] and not pair.forced


def _matters(pair: Pair, linear: float) -> bool:
    """Tell whether linear bifurcation is so far from the formula that what lies between may explain a good part."""
    return abs(math.log(linear / pair.hand)) >= max(LEAST, GOOD_PART * abs(math.log(pair.computed / pair.hand)))


def _of_linear_bifurcation(pair: Pair, linear: float) -> Iterator[Reason]:
    """Undo one after the other what the formula does not know, until what is left no longer matters.

    The linear bifurcation is computed again after each.
    """
    case, now = pair.case, linear
    for words, changes in _undone(pair):
        other = changed(case, changes)
        found = pressure(other, "LBA")
        if other is None or found is None:
            return
        yield moved(words, found, now)
        case, now = other, found
        if not _matters(pair, now):
            return
    if pair.formula.body == "sphere" and plain_dome(pair) and not pair.family.dome_held_by:
        yield moved("an edge, which a complete sphere has not", pair.hand, now)


def _undone(pair: Pair) -> Iterator[tuple[str, Changes]]:
    case, family, first = pair.case, pair.family, pair.case.meridian.pieces[0]
    if pair.forced:
        yield f"the axial force of {case.loads.axial_force:.4g} N", no_force()
    if pair.formula.edge == "diaphragm" and _ends(pair) != {"diaphragm"}:
        yield "ends that do not turn and warp freely", HELD_ROUND
    if pair.formula.body == "sphere" and case.dimensions.get("cylinder_length"):
        yield "the cylinder behind the head, instead of a clamp", HEAD_ALONE
    if pair.formula.body == "sphere" and plain_dome(pair) and family.dome_held_by:
        alone = clamped_cap(1.0 / first.sharpest, first.sharpest * first.length, first.thickness[0])
        yield f"{family.dome_held_by}, instead of a clamp", alone
    if pair.formula.body == "head" and family.ellipse:
        other = torisphere(case, pair.formula.number("L"), pair.formula.number("r"))
        yield f"{family.ellipse} instead of the torisphere taken for it", other
    if cut_off(pair.outcomes["LBA"]):
        yield f"waves beyond n = {case.analyses.wave_numbers[1]}, which were not examined", more_waves(case)


def _ends(pair: Pair) -> set[str | None]:
    return {pair.case.supports.start_edge, pair.case.supports.outer_edge}


def _of_edge(pair: Pair, clamped: float, computed: float) -> Iterator[Reason]:
    """Yield what holds a plain dome otherwise than the clamp of the theory does, where it carries less for it.

    All else is the same: one radius and thickness, no axial force, no waves left out.
    """
    path = pair.elastic_outcome
    if path is None or not plain_dome(pair) or cut_off(path) or computed > clamped:
        return
    edge, held_by = pair.case.supports.outer_edge, pair.family.dome_held_by
    if held_by:
        yield moved(f"{held_by}, instead of a clamp{_below_hinged(pair, computed)}", clamped, computed)
    elif edge != pair.formula.edge:
        yield moved(f"an edge that is {edge}, not {pair.formula.edge}", clamped, computed)


def _below_hinged(pair: Pair, computed: float) -> str:
    """Tell where it lies beside an immovable hinge, if the hinged cap is in the tables."""
    hinged = cap.hinged_bifurcation(**_cap_numbers(pair.formula)).value
    if hinged is None:
        return ""
    return f" ({'below' if computed < hinged else 'above'} an immovable hinge, {pressure_text(hinged)})"


def _cap_numbers(formula: Formula) -> dict[str, float]:
    symbols = {"youngs_modulus": "E", "poissons_ratio": "nu", "radius": "R", "thickness": "t", "half_angle": "phi"}
    return {name: formula.number(symbol) for name, symbol in symbols.items()}
