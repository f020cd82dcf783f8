"""Reasons why formulas of yielding bodies differ from what is computed.

Plastic limits, mechanisms, rules that join an elastic with a plastic pressure, and fits.
"""

import dataclasses
import math
from collections.abc import Iterator

import numpy as np

from buckle.formulas import capacity
from buckle.formulas.base import Formula
from buckle.formulas.head.plastic import plastic_waves
from buckle.formulas.stand import rolling
from buckle.margins.again import changed, pressure, torisphere
from buckle.margins.elastic import IN_CURVE, displacements, plain_dome, stand_rolls, yields_in_stand
from buckle.margins.pair import Pair, cut_off
from buckle.margins.reason import Reason, moved
from buckle.results import BIFURCATION, GROWTH_CEILING, LIMIT_POINT
from buckle.units import length_text

TRESCA_FIT = (1.02 * 1.06, 1.26 * 1.08)
"""What von Mises' limit by analysis is of the fit's value, least and most: both factors stand in the fit's source."""
HELD = ("clamped", "pinned")
"""Edges of a cap that cannot move outward, so that it may carry pressure as a membrane."""
FREE_AROUND = ("roller", "guided", "free")
"""Edges that may grow in radius."""
SENSIBLE = 0.1  # plastic strain up to which a law counts as hardening or not
HARDENS = 1.005  # times the yield stress, at that strain


def of_plastic_limit(pair: Pair) -> Iterator[Reason]:
    """Yield what separates a limit at small displacements of a simple body from that of the body, and from its path."""
    yield from _of_mechanism(pair)
    yield from _of_path(pair)


def of_interaction(pair: Pair) -> Iterator[Reason]:
    """Yield what the body's own pressures make of the sum of an elastic and a plastic one, and what the sum rounds."""
    elastic, plastic = pair.formula.number("p_el"), pair.formula.number("p_pl")
    if pair.linear is not None:
        words = "linear bifurcation of the body itself, not of a sphere"
        yield moved(words, _joined(elastic, plastic), _joined(pair.linear, plastic))
        elastic = pair.linear
        if pair.elastic is not None:
            words = "displacements before buckling"
            yield moved(words, _joined(elastic, plastic), _joined(pair.elastic, plastic))
            elastic = pair.elastic
    if pair.mechanism is None:
        return
    rolls = " (the stand rolls)" if stand_rolls(pair) else ""
    words = f"the plastic limit of the body itself, not of a sphere{rolls}"
    yield moved(words, _joined(elastic, plastic), _joined(elastic, pair.mechanism))
    if pair.elastic is not None:
        yield from _above_the_rule(pair, _joined(elastic, pair.mechanism), min(elastic, pair.mechanism))


def of_dome_curve(pair: Pair) -> Iterator[Reason]:
    """Yield what the imperfections in a dome's capacity curve make of it, and what the body's own pressures do."""
    elastic, plastic = pair.formula.number("p_el"), pair.formula.number("p_pl")
    perfect = _perfect_curve(elastic, plastic)
    yield moved(IN_CURVE, pair.hand, perfect)
    if not pair.family.dome:  # both pressures are its own
        yield from displacements(pair)
        return
    if pair.elastic is not None:
        words = "the elastic path of the body itself, not of a dome on its edge"
        yield moved(words, perfect, _perfect_curve(pair.elastic, plastic))
        if pair.mechanism is not None:
            before, after = (_perfect_curve(pair.elastic, each) for each in (plastic, pair.mechanism))
            yield moved("the plastic limit of the body itself, not of a dome on its edge", before, after)


def of_rolling(pair: Pair) -> Iterator[Reason]:
    """Yield what separates a rigid-plastic mechanism that is followed from an elastic-plastic path."""
    yield from waves_first(pair)
    if not rolling.base_rolling.gave(pair.formula) or pair.forced:
        return
    rolls = pair.formula.number("p_roll") < pair.formula.number("p_snap")
    if pair.event.kind == LIMIT_POINT and rolls and yields_in_stand(pair):
        yield Reason("elastic strain of the ring that rolls, which is rigid up to its yield in the formula", -1)
    path = pair.outcome.path
    if pair.event.kind == GROWTH_CEILING and path is not None and rolls:
        growth = float(path.growth[np.argmin(np.abs(path.load - pair.computed))])
        if pair.formula.number("travel") > growth:
            travel = length_text(pair.formula.number("travel"))
            yield Reason(f"the ceiling on growth, {length_text(growth)}: the formula's highest comes at {travel}", -1)


def of_head_waves(pair: Pair) -> Iterator[Reason]:
    """Yield what separates a fit to waves in the knuckle of ideally plastic perfect heads from a computed head."""
    if pair.event.kind != BIFURCATION:
        yield Reason("collapse, which comes before any waves", -1)
        return
    # Waves that have begun outside need not begin first: only where those found lie at an end of the range.
    if cut_off(pair.outcome) and pair.event.wave_number in pair.case.analyses.wave_numbers:
        yield Reason("waves outside the range examined, which begin before those computed", 1)
    yield from _hardening_of_fit(pair)


def of_head_tests(pair: Pair) -> Iterator[Reason]:
    """Yield what separates a bound to tests of heads with their imperfections from a perfect head."""
    if pair.event.kind == BIFURCATION:
        perfect = _perfect_head(pair.formula, pair.case.material.youngs_modulus)
        if perfect is not None:
            yield moved("imperfections of the heads tested, by the fit to perfect ones", pair.hand, perfect)
    yield from of_head_waves(pair)


def of_head_collapse(pair: Pair) -> Iterator[Reason]:
    """Yield what separates a fit to heads that yield all around without hardening from a computed head."""
    yield from waves_first(pair)
    yield from _hardening_of_fit(pair)


def waves_first(pair: Pair) -> Iterator[Reason]:
    """Yield waves that begin below the collapse which the formula speaks of."""
    collapse = pair.outcome.axisymmetric
    if pair.event.kind == BIFURCATION and collapse is not None:
        yield moved(f"waves, which begin first, at n = {pair.event.wave_number}", collapse.load, pair.computed)


def _of_mechanism(pair: Pair) -> Iterator[Reason]:
    """Yield what separates the simple body's plastic limit from the body's own."""
    mechanism, hand = pair.mechanism, pair.hand
    if pair.formula.body == "tube" and pair.forced:
        loaded, known = loaded_tube(pair), mechanism or pair.computed
        if loaded is not None and abs(loaded - known) < abs(hand - known):
            yield moved(f"the axial force of {pair.case.loads.axial_force:.4g} N", hand, loaded)
            hand = loaded
    if mechanism is None:
        return
    if pair.formula.body == "head":
        yield from _of_knuckle(pair, mechanism)
    elif words := _less_held(pair) if mechanism < hand else _more_held(pair):
        yield moved(words, hand, mechanism)


def _less_held(pair: Pair) -> str:
    """What gives, by the static theorem: a dome held at its edge carries at least the sphere's membrane pressure, and a
    panel with a hinge all around has the clamped plate's mechanism, whatever holds it; so what holds it carries less.
    """
    if pair.formula.body == "plate" and pair.family.panel and not pair.forced:
        return "what holds the panel, instead of a clamp"
    if pair.formula.body != "sphere" or not plain_dome(pair):
        return ""
    if not pair.family.dome_held_by:
        edge = pair.case.supports.outer_edge
        return "" if edge in HELD else f"an edge that moves outward ({edge}), which lets the membrane go"
    deepest = pair.outcomes["MNA"].yielded_at
    where = "" if deepest == pair.family.dome else f" (deepest yield in the {deepest})"
    return f"what holds the dome, which is not rigid{where}"


def _more_held(pair: Pair) -> str:
    """What adds to the simple body: an edge that does not move has to be bent and stretched with it."""
    if pair.formula.body == "sphere" and plain_dome(pair) and not pair.family.dome_held_by:
        return "a held edge, which must be bent as well" if pair.case.supports.outer_edge in HELD else ""
    if pair.formula.body == "tube" and not pair.forced:
        return "held ends, which must be bent as well"
    return ""


def _of_knuckle(pair: Pair, mechanism: float) -> Iterator[Reason]:
    """Yield what the fit leaves out, as its source says, and what an ellipse makes of it, computed again without."""
    if pair.forced:
        return
    limit = mechanism
    if pair.family.ellipse:
        other = torisphere(pair.case, pair.formula.number("L"), pair.formula.number("r"))
        found = pressure(changed(pair.case, other), "MNA")
        if found is None:
            return
        yield moved(f"{pair.family.ellipse} instead of the torisphere taken for it", found, mechanism)
        limit = found
    if TRESCA_FIT[0] <= limit / pair.hand <= TRESCA_FIT[1]:
        yield moved("a fit below Tresca's limit, and von Mises' above that", pair.hand, limit)


def _of_path(pair: Pair) -> Iterator[Reason]:
    """Yield what separates the plastic limit at small displacements from the elastic-plastic path."""
    collapse = pair.outcome.axisymmetric
    if pair.like != "GMNA" or pair.mechanism is None or collapse is None:
        return
    yield moved(_change(pair, raised=collapse.load > pair.mechanism), pair.mechanism, collapse.load)
    yield from waves_first(pair)


def _change(pair: Pair, *, raised: bool) -> str:
    """What a path adds to a limit at small displacements: hardening can only raise it.

    A membrane that nothing holds around has no other way up: as it grows, its pressure falls.
    """
    if not raised or not hardens(pair):
        return "displacements, which small ones leave out"
    edges = {pair.case.supports.start_edge, pair.case.supports.outer_edge} - {None}
    tube = pair.formula.body == "tube" and edges <= set(FREE_AROUND)
    if pair.case.loads.pressure_side == "inside" and (tube or pair.case.meridian.closed_at_end):
        return "hardening"
    return "hardening and displacements together"


def _above_the_rule(pair: Pair, rule: float, limit: float) -> Iterator[Reason]:
    """Yield why a body carries more than the rule makes of its own two pressures; why less is not known."""
    if pair.computed <= rule:
        return
    yield moved("the rule's rounding below both of its pressures", rule, min(pair.computed, limit))
    if pair.computed > limit == pair.mechanism:
        yield moved(_change(pair, raised=True), limit, pair.computed)


def _hardening_of_fit(pair: Pair) -> Iterator[Reason]:
    """Yield what the flow stress at the strain reached makes of a fit in the yield stress, without hardening."""
    law, strain = pair.case.material.hardening, pair.outcome.plastic_strain
    if law is None or strain is None or not hardens(pair):
        return
    flow = float(law.stress_and_slope(np.array([np.max(strain.equivalent[1])]))[0][0])
    if flow > law.yield_stress:
        yield moved(
            "hardening, by the flow stress at the middle of the wall", pair.hand, pair.hand * flow / law.yield_stress
        )


def hardens(pair: Pair) -> bool:
    """Tell whether the metal's flow stress rises."""
    law = pair.case.material.hardening
    return law is not None and float(law.stress_and_slope(np.array([SENSIBLE]))[0][0]) > HARDENS * law.yield_stress


def loaded_tube(pair: Pair) -> float | None:
    """Plastic limit of a tube with its axial force N [MPa]; None where the force alone yields it.

    Von Mises' condition for sigma_theta = p R / t and sigma_phi = N / (2 pi R t), p R / (2 t) more of a closed tube.
    Derived here.
    """
    radius, thickness, stress = (pair.formula.number(symbol) for symbol in ("R", "t", "sigma_y"))
    axial = pair.case.loads.axial_force / (2.0 * math.pi * radius * thickness)
    share = 0.5 if pair.case.loads.end_thrust else 0.0
    # (h)^2 - h (share h + axial) + (share h + axial)^2 = stress^2, h = p R / t
    two, one, none = 1.0 - share + share**2, axial * (2.0 * share - 1.0), axial**2 - stress**2
    if none >= 0.0:
        return None
    return (-one + math.sqrt(one**2 - 4.0 * two * none)) / (2.0 * two) * thickness / radius


def _perfect_head(tested: Formula, youngs_modulus: float) -> float | None:
    return plastic_waves(
        youngs_modulus=youngs_modulus,
        yield_stress=tested.number("sigma_y"),
        diameter=tested.number("D"),
        crown_radius=tested.number("L"),
        knuckle_radius=tested.number("r"),
        thickness=tested.number("t"),
    ).value


def _joined(elastic: float, plastic: float) -> float:
    value = capacity.two_term(elastic_pressure=elastic, plastic_pressure=plastic).value
    assert value is not None
    return value


def _perfect_curve(elastic: float, plastic: float) -> float:
    """The capacity curve of a dome with an imperfection factor of one [MPa]."""
    value = capacity.curve(
        elastic_pressure=elastic, plastic_pressure=plastic, **dataclasses.asdict(capacity.PERFECT_DOME)
    ).value
    assert value is not None
    return value
