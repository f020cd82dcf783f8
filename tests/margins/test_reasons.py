"""Reasons from made outcomes: a reason stands only with its condition, its sense and its size; else 'not explained'."""

from dataclasses import replace

import numpy as np
import pytest

from buckle.case import Case, case_from_dict
from buckle.formulas.base import Formula
from buckle.formulas.registry import FORMULAS
from buckle.margins import again
from buckle.margins.explain import reasons, why
from buckle.margins.hand import hand_calculations
from buckle.margins.judge import judge
from buckle.margins.pair import Pair
from buckle.margins.plastic import loaded_tube
from buckle.margins.reason import AGAINST, UNKNOWN, Reason, explaining, moved, sentence
from buckle.results import (
    BIFURCATION,
    GROWTH_CEILING,
    LIMIT_POINT,
    WIDEN,
    Event,
    Growth,
    Outcome,
    PathStates,
    PlasticStrain,
    Status,
)
from tests.helpers.bodies import BASE, CAP, END, TORISPHERE, TUBE

METAL = {
    "youngs_modulus_GPa": 69.0,
    "poissons_ratio": 0.33,
    "yield_stress_MPa": 260.0,
    "hardening": {"law": "voce", "increment_MPa": 40.0, "rate": 40.0},
}


def body(shape: dict, *, side: str = "inside", edge: str = "clamped", **more: dict) -> Case:
    start = {"start_edge": "roller"} if shape["family"] == "cylinder" else {}
    return case_from_dict(
        {
            "material": METAL | more.pop("material", {}),
            "shape": shape,
            "supports": {"outer_edge": edge, **start},
            "loads": {"pressure_side": side, **more.pop("loads", {})},
            "analyses": {"run": ["LBA", "MNA", "GNA", "GMNA"], "wave_numbers": [0, 20]},
            **more,
        }
    )


def found(kind: str, pressure: float, n: int | None = None, **fields: object) -> Outcome:
    """An outcome whose capacity is a limit point, or a bifurcation into n waves."""
    event = Event(LIMIT_POINT, pressure) if n is None else Event(BIFURCATION, pressure, n)
    if kind == "LBA":
        return Outcome(kind, Status.SOLVED, critical=(Event(BIFURCATION, pressure, n or 0),), **fields)
    events = {"limit": event} if n is None else {"bifurcation": event}
    return replace(Outcome(kind, Status.SOLVED, **events), **fields)


def hand(case: Case, kind: str, name: str) -> Formula:
    return next(formula for formula in hand_calculations(case)[kind] if formula.name == name)


def pair(case: Case, kind: str, name: str, *outcomes: Outcome) -> Pair:
    by_kind = {outcome.kind: outcome for outcome in outcomes}
    event = by_kind[kind].capacity
    assert event is not None
    others = hand_calculations(case)[kind]
    return Pair(case, kind, event, hand(case, kind, name), by_kind, others)


# --- what a reason is


@pytest.mark.parametrize(
    ("reason", "explains"),
    [
        (moved("lowers by as much", 2.0, 1.0), True),
        (moved("lowers by a quarter of it", 2.0, 2.0 * 0.5**0.25 * 0.999), True),
        (moved("lowers by less than a quarter of it", 2.0, 2.0 * 0.5**0.24), False),
        (moved("raises", 1.0, 2.0), False),
        (Reason("lowers, by what is not known", -1), True),
        (Reason("raises, by what is not known", 1), False),
    ],
)
def test_a_reason_needs_the_sense_and_a_good_part_of_the_difference(reason: Reason, explains: bool) -> None:
    """The computed value is half of the value by hand."""
    assert reason.explains(2.0, 1.0) is explains


def test_a_reason_within_the_errors_of_the_analyses_is_none() -> None:
    little = moved("lowers by 3 %", 1.0, 0.97)
    assert little.explains(1.06, 1.0)
    assert not little.explains(1.06, 1.0, doubt=0.02)


def test_the_largest_is_said_first_and_what_is_more_than_the_difference_is_said_so() -> None:
    given = explaining(
        [Reason("c", -1), moved("a", 2.0, 1.8), moved("b", 1.8, 0.9), moved("up", 0.9, 1.0)], hand=2.0, computed=1.4
    )
    assert [reason.words for reason in given] == ["b", "a", "c"]
    assert (
        sentence(given, 2.0, 1.4, "MPa") == f"b: from [18 bar] to [9 bar]; a: from [20 bar] to [18 bar]; c; {AGAINST}"
    )
    assert sentence((), 2.0, 1.4, "MPa") == UNKNOWN
    assert explaining([Reason("c", -1)], hand=1.04, computed=1.0) == ()
    assert sentence((), 1.04, 1.0, "MPa") == "agree within 4.0 %"


# --- yielding


def test_yielding_is_no_reason_where_the_elastic_path_carries_as_much() -> None:
    """A cap whose elastic-plastic capacity is 0.998 of its elastic one, yielded or not."""
    case = body(CAP, side="outside")
    perfect = hand(case, "GNA", "cap.clamped_bifurcation").value
    assert perfect is not None
    elastic = found("GNA", perfect, 4)
    plastic = found("GMNA", 0.998 * perfect, 4, yielded_at="cap")
    given = why(pair(case, "GMNA", "cap.lower_bound", elastic, plastic))
    assert "yield" not in given
    assert given.startswith("imperfections")
    given = why(pair(case, "GMNA", "cap.lower_bound", elastic, found("GMNA", 0.05 * perfect, 4, yielded_at="cap")))
    assert given.startswith("yielding, deepest in the cap")


def test_without_the_elastic_path_yielding_is_not_claimed() -> None:
    case = body(BASE)
    linear, plastic = found("LBA", 2.3, 5), found("GMNA", 0.5, yielded_at="nose inner")
    alone = why(pair(case, "GMNA", "sphere.classical_pressure", linear, plastic))
    assert alone == f"{UNKNOWN} (GNA not run)"
    assert why(pair(case, "GMNA", "capacity.two_term", plastic)) == f"{UNKNOWN} (LBA, GNA, MNA not run)"
    beside = why(pair(case, "GMNA", "sphere.classical_pressure", linear, found("GNA", 1.2, 5), plastic))
    assert "yielding" in beside
    assert "displacements before buckling" in beside


def path(*rows: tuple[float, float]) -> PathStates:
    """States of a path by pressure and growth."""
    pressure, growth = np.array(rows).T
    none = np.zeros_like(pressure)
    return PathStates(pressure, growth, growth, none, none, none)


def test_up_to_a_ceiling_on_growth_the_elastic_path_counts_to_the_same_growth() -> None:
    """The elastic limit of 2 MPa comes after ten times the growth: at 5 mm elastic metal carries no more."""
    case = body(BASE)
    stopped = Event(GROWTH_CEILING, 0.7)
    states = path((0.0, 0.0), (0.5, 2.0), (0.7, 5.0))
    plastic = Outcome("GMNA", Status.SOLVED, peak=stopped, path=states, yielded_at="nose inner")
    soft = found("GNA", 2.0, path=path((0.0, 0.0), (0.7, 5.0), (2.0, 50.0)))
    stiff = found("GNA", 2.0, path=path((0.0, 0.0), (1.6, 5.0), (2.0, 50.0)))
    name = "sphere.classical_pressure"
    assert pair(case, "GMNA", name, soft, plastic).elastic == 0.7
    assert "yielding" not in why(pair(case, "GMNA", name, soft, plastic))
    assert "yielding" in why(pair(case, "GMNA", name, stiff, plastic))
    assert "yielding" not in why(pair(case, "GMNA", name, replace(stiff, path=None), plastic))


@pytest.mark.parametrize("kind", ["LBA", "GNA"])
def test_an_elastic_analysis_is_never_explained_by_yielding(kind: str) -> None:
    cylinder = {"family": "cylinder", "radius_mm": 100.0, "length_mm": 120.0, "thickness_mm": 1.0}
    for case in (body(BASE), body(cylinder, side="outside", edge="sleeve"), body(CAP, side="outside")):
        outcomes = [found(each, 0.3, 5, yielded_at="wall" if each == "GMNA" else "") for each in (kind, "GMNA")]
        in_range = [each for each in hand_calculations(case).get(kind, ()) if each.in_range]
        for formula in in_range:
            assert "yield" not in why(pair(case, kind, formula.name, *outcomes))


@pytest.mark.parametrize(("edge", "given"), [("clamped", False), ("pinned", True), ("guided", True)])
def test_an_edge_is_a_reason_beside_a_clamped_bound_if_it_is_not_clamped(edge: str, given: bool) -> None:
    case = body(CAP | {"half_angle_rad": 0.2}, side="outside", edge=edge)
    bound = hand(case, "GMNA", "cap.lower_bound").value
    assert bound is not None
    outcomes = found("GNA", 0.9 * bound, 4), found("GMNA", 0.89 * bound, 4)
    assert (f"an edge that is {edge}, not clamped" in why(pair(case, "GMNA", "cap.lower_bound", *outcomes))) is given


@pytest.mark.parametrize("edge", ["clamped", "pinned"])
def test_an_edge_that_is_the_formula_s_own_is_no_reason(edge: str) -> None:
    case = body(CAP | {"half_angle_rad": 0.2}, side="outside", edge=edge)
    name = f"cap.{'hinged' if edge == 'pinned' else 'clamped'}_bifurcation"
    value = hand(case, "GNA", name).value
    assert value is not None
    assert why(pair(case, "GNA", name, found("GNA", 0.8 * value, 4))) == UNKNOWN


# --- rolling


def rolling_pair(ratio: float, piece: str, **fields: object) -> Pair:
    case = body(BASE)
    value = hand(case, "GMNA", "stand.base_rolling").value
    assert value is not None
    return pair(case, "GMNA", "stand.base_rolling", found("GMNA", value / ratio, yielded_at=piece, **fields))


def test_a_rolling_value_below_the_computed_one_is_not_explained_by_elastic_strain() -> None:
    assert hand(body(BASE), "GMNA", "stand.base_rolling").number("p_roll") < hand(
        body(BASE), "GMNA", "stand.base_rolling"
    ).number("p_snap")
    assert "elastic strain" in why(rolling_pair(1.1, "nose inner"))
    assert why(rolling_pair(0.9, "nose inner")) == UNKNOWN
    assert why(rolling_pair(1.1, "dome")) == UNKNOWN


def test_waves_explain_a_rolling_value_by_how_far_they_begin_below_the_collapse() -> None:
    base = rolling_pair(1.1, "nose inner")
    waves = replace(base.outcome, bifurcation=Event(BIFURCATION, base.computed, 7), limit=Event(LIMIT_POINT, base.hand))
    given = reasons(replace(base, event=waves.bifurcation, outcomes={"GMNA": waves}))
    assert [(reason.words, reason.without) for reason in given] == [("waves, which begin first, at n = 7", base.hand)]
    above = replace(waves, limit=Event(LIMIT_POINT, 1.001 * base.computed))
    assert reasons(replace(base, event=above.bifurcation, outcomes={"GMNA": above})) == ()


def names_rolling(case: Case, piece: str, ratio: float = 1.0) -> bool:
    value = hand(case, "GMNA", "stand.base_rolling").value
    assert value is not None
    outcomes = found("LBA", 2.0, 5), found("GNA", 4.0, 5), found("GMNA", value / ratio, yielded_at=piece)
    given = why(pair(case, "GMNA", "sphere.classical_pressure", *outcomes))
    assert "yielding" in given
    return "rolls" in given


def test_rolling_is_named_where_formula_piece_and_pressure_say_so() -> None:
    case = body(BASE)
    assert names_rolling(case, "nose inner")
    assert not names_rolling(case, "dome corner")
    assert not names_rolling(case, "nose inner", ratio=1.5)


def test_a_base_governed_by_its_dome_is_not_said_to_roll() -> None:
    case = body(BASE | {"inner_leg_angle_deg": 0.0, "nose_radius_mm": 1.0, "dome_depth_mm": 10.5, "gauge_mm": 0.2})
    rolling = hand(case, "GMNA", "stand.base_rolling")
    assert rolling.number("p_snap") < rolling.number("p_roll")
    assert not names_rolling(case, "nose inner")


def test_an_end_that_yields_in_its_panel_is_not_said_to_unroll() -> None:
    case = body(END)
    elastic, linear = found("GNA", 4.0, 15), found("LBA", 2.0, 14)
    judged = judge(case, [linear, found("MNA", 0.07), elastic, found("GMNA", 0.9, yielded_at="panel")])
    given = [each.why for margin in judged.margins for each in margin.hand]
    assert given
    assert not any("roll" in each for each in given)


# --- plastic limits


def test_an_axial_force_and_not_hardening_lowers_the_limit_of_a_tube() -> None:
    """c^2 + 0.6 c + 0.36 = 1 on the ellipse of von Mises for sigma_phi = -0.6 sigma_y: c = 0.5544, open tube."""
    force = -0.6 * 260.0 * 2.0 * np.pi * 100.0
    case = body(TUBE, edge="free", loads={"axial_force_N": force, "end_thrust": False})
    computed = 0.5544 * 260.0 / 100.0
    made = pair(case, "MNA", "tube.open_limit", found("MNA", computed), found("GMNA", 1.01 * computed))
    assert loaded_tube(made) == pytest.approx(computed, rel=1e-4)
    given = reasons(made)
    assert [reason.words for reason in given] == [f"the axial force of {force:.4g} N"]
    plastic = pair(case, "GMNA", "tube.open_limit", *made.outcomes.values())
    assert [reason.words for reason in reasons(plastic)] == [f"the axial force of {force:.4g} N"]
    assert "hardening" not in why(plastic)


@pytest.mark.parametrize(("share", "words"), [(1.15, "hardening"), (0.85, "displacements, which small ones leave out")])
def test_hardening_explains_a_higher_limit_only(share: float, words: str) -> None:
    case = body(TUBE, edge="free", loads={"end_thrust": False})
    limit = hand(case, "MNA", "tube.open_limit").value
    assert limit is not None
    given = reasons(pair(case, "GMNA", "tube.open_limit", found("MNA", limit), found("GMNA", share * limit)))
    assert [reason.words for reason in given] == [words]


def test_metal_that_does_not_harden_is_not_explained_by_hardening() -> None:
    case = body(TUBE, edge="free", loads={"end_thrust": False}, material={"hardening": {"law": "none"}})
    limit = hand(case, "MNA", "tube.open_limit").value
    assert limit is not None
    given = why(pair(case, "GMNA", "tube.open_limit", found("MNA", limit), found("GMNA", 1.2 * limit)))
    assert "hardening" not in given


@pytest.mark.parametrize(("edge", "share", "known"), [("guided", 0.3, True), ("clamped", 0.3, False)])
def test_a_cap_below_its_membrane_limit_is_explained_by_an_edge_that_moves_outward(
    edge: str, share: float, known: bool
) -> None:
    """Held at its edge it carries at least the membrane's pressure, by the static theorem: less is not explained."""
    case = body(CAP, side="outside", edge=edge)
    squash = hand(case, "MNA", "sphere.squash_pressure").value
    assert squash is not None
    given = why(pair(case, "MNA", "sphere.squash_pressure", found("MNA", share * squash)))
    assert ("moves outward" in given) is known
    assert (given == UNKNOWN) is not known


def test_a_rule_of_two_pressures_rounds_what_a_perfect_body_does_not() -> None:
    case = body(CAP, side="outside")
    rule = hand(case, "GMNA", "capacity.two_term")
    elastic, squash = rule.number("p_el"), rule.number("p_pl")
    assert rule.value is not None
    kinds = found("LBA", elastic, 5), found("MNA", squash), found("GNA", elastic, 5)
    higher = found("GMNA", min(elastic, squash), 5)
    assert "rounding" in why(pair(case, "GMNA", "capacity.two_term", *kinds, higher))
    lower = found("GMNA", 0.8 * rule.value, 5)
    assert why(pair(case, "GMNA", "capacity.two_term", *kinds, lower)) == UNKNOWN


# --- heads


def strained(strain: float) -> PlasticStrain:
    one = np.zeros(3)
    return PlasticStrain(one, one, one, np.full((3, 3), strain))


def head_reasons(name: str, ratio: float, **fields: object) -> list[str]:
    case = body(TORISPHERE | {"thickness_mm": 1.5}, material={"youngs_modulus_GPa": 205.0})
    value = hand(case, "GMNA", name).value
    assert value is not None
    given = reasons(pair(case, "GMNA", name, found("GMNA", value / ratio, **fields)))
    return [reason.words.split(",")[0] for reason in given]


def test_reasons_of_fits_to_heads_have_conditions() -> None:
    fit = "head.plastic_waves"
    assert head_reasons(fit, 1.2) == ["collapse"]
    assert head_reasons(fit, 0.8) == []
    assert head_reasons(fit, 1.2, n=30) == []
    assert head_reasons(fit, 0.9, n=30, plastic_strain=strained(0.05)) == ["hardening"]
    assert head_reasons(fit, 1.1, n=30, plastic_strain=strained(0.05)) == []
    note = f"waves outside the range examined have begun by then, n = 41: {WIDEN}"
    assert head_reasons(fit, 0.8, n=20, notes=(note,)) == ["waves outside the range examined"]
    assert head_reasons(fit, 0.8, n=19, notes=(note,)) == []  # others have begun too, but not before
    assert head_reasons(fit, 0.8, n=20) == []
    assert head_reasons(fit, 1.2, n=20, notes=(note,)) == []
    collapse = Event(LIMIT_POINT, 3.0)
    assert head_reasons("head.axisymmetric_yielding", 1.3, n=30, limit=collapse) == ["waves"]
    assert head_reasons("head.axisymmetric_yielding", 0.7, n=30, limit=collapse) == []


# --- panels


def test_a_panel_rises_more_for_what_holds_it_and_for_yielding_each_by_its_own_part() -> None:
    case = body(END, requirements={"service_pressure_bar": 6.0})

    def why_grown(elastic: float | None, plastic: float) -> str:
        grown = Outcome("GMNA", Status.NO_LIMIT, growth=(Growth(0.6, plastic),), yielded_at="panel radius", reached=0.7)
        stiff = (
            [] if elastic is None else [Outcome("GNA", Status.NO_LIMIT, growth=(Growth(0.6, elastic),), reached=0.7)]
        )
        rows = judge(case, [*stiff, grown], hands={"GMNA": ()}).margins
        return next(margin.hand[0].why for margin in rows if margin.size is not None and margin.method == "GMNA")

    rise = (
        judge(case, [Outcome("GMNA", Status.NO_LIMIT, growth=(Growth(0.6, 1.0),))], hands={"GMNA": ()})
        .margins[-1]
        .hand[0]
        .value
    )
    assert rise is not None
    assert why_grown(1.5 * rise, 1.51 * rise).startswith("what holds the panel turns and moves")
    assert "yielding" not in why_grown(1.5 * rise, 1.51 * rise)
    assert why_grown(1.01 * rise, 1.5 * rise).startswith("yielding")
    assert why_grown(None, 1.5 * rise) == UNKNOWN
    assert why_grown(0.7 * rise, 0.7 * rise) == UNKNOWN
    assert why_grown(0.0, 1.5 * rise) == UNKNOWN
    flat = Outcome("GMNA", Status.NO_LIMIT, growth=(Growth(0.6, 0.0),), reached=0.7)
    assert judge(case, [flat], hands={"GMNA": ()}).margins[-1].hand == ()


# --- what reasons cost


def test_a_batch_makes_no_analysis_for_a_reason(monkeypatch: pytest.MonkeyPatch) -> None:
    """It gives no hand values; with them, the ends of this cylinder are looked into by a linear bifurcation."""
    asked: list[str] = []

    def count(case: Case, kind: str, **_: object) -> Outcome:
        asked.append(kind)
        return found(kind, 0.5, 5)

    monkeypatch.setattr(again, "run", count)
    short = {"family": "cylinder", "radius_mm": 101.0, "length_mm": 121.0, "thickness_mm": 1.0}
    case = body(short, side="outside", edge="sleeve")
    outcomes = [found("LBA", 1.0, 6), found("GNA", 1.0, 6)]
    judge(case, outcomes, hands={"GMNA": ()})
    assert asked == []
    judge(case, outcomes)
    assert asked == ["LBA"]  # once for both of its rows


def test_the_coarsest_mesh_that_a_case_may_have_is_made_no_coarser() -> None:
    shape = {"family": "cylinder", "radius_mm": 100.0, "length_mm": 120.0, "thickness_mm": 1.0}
    case = body(shape, side="outside", edge="diaphragm", numerics={"mesh_density": 0.25})
    assert again.pressure(case, "LBA") == pytest.approx(
        again.pressure(body(shape, side="outside", edge="diaphragm"), "LBA"), rel=1e-3
    )


@pytest.mark.parametrize(
    ("name", "shape", "edge"),
    [("capacity.cylinder_axial", TUBE, "roller"), ("sphere.pattern_imperfection_pressure", CAP, "clamped")],
)
def test_formula_of_another_body_that_answers_the_same_is_not_explained(name: str, shape: dict, edge: str) -> None:
    """The reasons of dome curves and of bounds to caps read pressures and angles that these formulas do not have."""
    rule = FORMULAS[name]
    event = Event(LIMIT_POINT, 100.0)
    outcome = Outcome("GMNA", Status.SOLVED, limit=event)
    other = Pair(body(shape, edge=edge), "GMNA", event, rule(**rule.example), {"GMNA": outcome})
    assert reasons(other) == ()
    assert why(other) == UNKNOWN


@pytest.mark.parametrize("kind", ["MNA", "GMNA"])
def test_a_tube_that_yields_below_its_membrane_is_not_explained_by_an_edge(kind: str) -> None:
    """An edge that moves outward lets a dome's membrane go; a tube of free edges has nothing else to begin with."""
    case = body(TUBE, edge="free", loads={"end_thrust": False})
    limit = hand(case, "MNA", "tube.open_limit").value
    assert why(pair(case, kind, "tube.open_limit", found("MNA", 0.8 * limit), found("GMNA", 0.8 * limit))) == UNKNOWN


def test_a_closed_tube_carries_its_own_thrust_beside_the_axial_force() -> None:
    """sigma_phi = h / 2 + s: von Mises is 3/4 h^2 + s^2 = 1, so that h = sqrt(0.64 / 0.75) for s = -0.6 sigma_y."""
    force = -0.6 * 260.0 * 2.0 * np.pi * 100.0
    case = body(TUBE, edge="free", loads={"axial_force_N": force, "end_thrust": True})
    made = pair(case, "MNA", "tube.closed_limit", found("MNA", 2.4))
    assert loaded_tube(made) == pytest.approx(np.sqrt(0.64 / 0.75) * 260.0 / 100.0, rel=1e-9)
    all_of_it = body(TUBE, edge="free", loads={"axial_force_N": 1.001 * force / 0.6, "end_thrust": True})
    assert loaded_tube(replace(made, case=all_of_it)) is None


@pytest.mark.parametrize("beyond", [True, False])
def test_a_ceiling_on_growth_explains_a_mechanism_whose_highest_comes_beyond_it(beyond: bool) -> None:
    base = rolling_pair(1.1, "dome")
    travel = base.formula.number("travel")
    followed = path((0.0, 0.0), (base.computed, 0.5 * travel if beyond else 2.0 * travel))
    ceiling = Event(GROWTH_CEILING, base.computed)
    outcome = replace(base.outcome, limit=ceiling, path=followed)
    made = replace(base, event=ceiling, outcomes={"GMNA": outcome})
    words = f"the ceiling on growth, [{0.5 * travel:.6g} mm]: the formula's highest comes at [{travel:.6g} mm]"
    assert [reason.words for reason in reasons(made)] == ([words] if beyond else [])
    assert reasons(replace(made, outcomes={"GMNA": replace(outcome, path=None)})) == ()
