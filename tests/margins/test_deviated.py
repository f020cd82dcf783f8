"""What rests on a deviated shape: which analysis decides, what stands beside it, and when there is a doubt."""

from dataclasses import replace

from buckle.case import case_from_dict
from buckle.margins.explain import _of_deviation
from buckle.margins.hand import hand_calculations
from buckle.margins.judge import judge
from buckle.margins.margin import Verdict
from buckle.margins.pair import Pair
from buckle.margins.verdict import Word
from buckle.results import LIMIT_POINT, Allowed, Event, Outcome, Status
from tests.helpers import bodies

METAL = {"yield_stress_MPa": 262.0}


def case(required):
    tables = bodies.case(bodies.BASE, run="GNA", side="inside", edges={"outer_edge": "clamped"}, metal=METAL).tables
    return case_from_dict(
        {
            **tables,
            "analyses": {"run": ["GMNA", "GMNIA"]},
            "deviation": {"shape": "dimple", "width_mm": 8.0, "depth_mm": 0.1},
            "requirements": {"pressure_bar": required},
        }
    )


def outcome(kind, bar):
    event = Event(LIMIT_POINT, 0.1 * bar, error_percent=0.1)
    return Outcome(kind, Status.SOLVED, limit=event, bracketed=True, reached=0.1 * bar)


def test_the_deviated_shape_decides():
    found = judge(case(6.0), [outcome("GMNA", 7.0), outcome("GMNIA", 5.0)])
    assert found.decided_by == "GMNIA"
    assert found.word is Word.NOT_MET
    assert [(each.method, each.verdict) for each in found.margins] == [
        ("GMNIA", Verdict.NOT_MET),
        ("GMNA", Verdict.FOR_COMPARISON),
    ]


def test_a_perfect_shape_that_carries_too_little_is_a_doubt():
    found = judge(case(6.0), [outcome("GMNA", 5.0), outcome("GMNIA", 7.0)])
    assert found.word is Word.DOUBT
    assert any("the deviation stiffens the body" in doubt for doubt in found.doubts)
    assert judge(case(4.0), [outcome("GMNA", 5.0), outcome("GMNIA", 7.0)]).word is Word.MET


def test_formulas_stand_beside_the_perfect_shape_and_what_the_deviation_costs_is_a_reason():
    outcomes = [outcome("GMNA", 7.0), outcome("GMNIA", 5.0)]
    both = {each.method: each.hand for each in judge(case(6.0), outcomes).margins if each.size is None}
    assert both["GMNA"]
    assert not both["GMNIA"]
    alone = judge(case(6.0), outcomes[1:]).margins[0]
    assert {hand.formula.name for hand in alone.hand} == {hand.formula.name for hand in both["GMNA"]}


def test_what_the_deviation_makes_of_a_hand_value_is_a_reason():
    outcomes = {each.kind: each for each in (outcome("GMNA", 7.0), outcome("GMNIA", 3.0))}
    formula = next(each for each in hand_calculations(case(6.0))["GMNA"] if each.value is not None)
    pair = Pair(case(6.0), "GMNIA", outcomes["GMNIA"].limit, formula, outcomes, (formula,))
    assert any("deviation" in reason.words for reason in _of_deviation(pair))


def test_an_elastic_path_of_a_deviated_shape_decides_no_metal_that_yields():
    found = judge(case(6.0), [outcome("GNIA", 9.0)])
    assert found.word is Word.NO_VERDICT


def test_shapes_of_a_set_that_may_move_farther_are_a_doubt():
    made = case_from_dict({**case(4.0).tables, "requirements": {"pressure_bar": 4.0, "growth_mm": 1.0}})
    known = replace(outcome("GMNIA", 7.0), allowed=(Allowed("growth", 1.0, 0.6),))
    assert judge(made, [known]).word is Word.MET
    found = judge(made, [replace(known, unread=2)])
    assert found.word is Word.DOUBT
    assert found.doubts == ("how far every deviated shape of the set moves is not known: not of 2 of them",)
