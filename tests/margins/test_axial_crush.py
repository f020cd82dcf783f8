"""An axial force that increases: what is judged, in which words, and what stands beside it by hand."""

from dataclasses import replace

import pytest

from buckle.case import Case, case_from_dict
from buckle.increasing import PULL, PUSH
from buckle.margins.doubts import DENTED
from buckle.margins.judge import judge
from buckle.margins.verdict import Judgement
from buckle.margins.wording import said, sentence
from buckle.marked import plain
from buckle.record.agreement import demand_disagreements, disagreements
from buckle.record.form import form_faults
from buckle.record.margins import verdict_fields
from buckle.record.quantities import record
from buckle.results import BIFURCATION, LIMIT_POINT, Event, Growth, Outcome, Status
from tests.helpers.bodies import BASE

WALL = {"family": "cylinder", "radius_mm": 29.0, "length_mm": 100.0, "thickness_mm": 0.1}


def wall(force: float = -1.0, **requirements: float) -> Case:
    return case_from_dict(
        {
            "material": {"grade": "AL-3104-H19-baked"},
            "shape": WALL,
            "supports": {"start_edge": "clamped", "outer_edge": "sleeve"},
            "loads": {"pressure_side": "inside", "increases": "axial_force", "axial_force_N": force},
            "analyses": {"run": ["LBA", "GMNA"], "wave_numbers": [0, 20]},
            "requirements": requirements,
        }
    )


def outcomes(case: Case) -> list[Outcome]:
    """2,600 N at n = 14 by LBA; waves at 2,000 N and a limit at 2,500 N by GMNA."""
    waves = Event(BIFURCATION, 2000.0, 14, 0.3, "wall", 29.0)
    found = Outcome("GMNA", Status.SOLVED, limit=Event(LIMIT_POINT, 2500.0), bifurcation=waves, bracketed=True)
    found = found.of(case.loads.increasing)
    lowest = [Event(BIFURCATION, 2600.0, 14, 0.01), Event(BIFURCATION, 2700.0, 13)]
    return [found, Outcome("LBA", Status.SOLVED, critical=tuple(lowest)).of(case.loads.increasing)]


def judged(case: Case) -> Judgement:
    return judge(case, outcomes(case), hands={})


def test_capacity_over_demand_in_newtons() -> None:
    """2,000 N over 800 N, the lower of the two events of GMNA."""
    judgement = judged(wall(axial_force_N=800.0))
    assert judgement.governing is not None
    assert judgement.governing.limit_state == "axial crush, onset of waves in the wall"
    assert judgement.reserve == 2.5
    assert [margin.limit_state for margin in judgement.margins] == [
        "axial crush, onset of waves in the wall",
        "axial crush",
        "axial crush, onset of waves, elastic, linear",
    ]


@pytest.mark.parametrize(("factor", "word"), [(1.0, "met with doubt"), (2.0, "met with doubt"), (DENTED, "met")])
def test_a_perfect_wall_is_never_simply_met(factor: float, word: str) -> None:
    """Unless the partial factor covers dents of any size."""
    judgement = judged(wall(axial_force_N=300.0, partial_factor=factor))
    assert judgement.word == word
    assert any("dents" in doubt for doubt in judgement.doubts) == (factor < DENTED)


def test_a_deviated_wall_is_not_called_perfect() -> None:
    """One deviation is not all that a wall may have: the doubt stays, in other words."""
    tables = wall(axial_force_N=300.0).tables
    made = case_from_dict(
        {
            **tables,
            "analyses": {"run": ["GMNIA"], "wave_numbers": [0, 20]},
            "deviation": {"shape": "wave", "wavelength_mm": 6.0, "depth_mm": 0.01},
        }
    )
    doubts = judge(made, [replace(outcomes(made)[0], kind="GMNIA")], hands={}).doubts
    assert [each[:44] for each in doubts] == ["the deviation is that of the case alone, and"]
    assert judged(wall(axial_force_N=300.0)).doubts[0].startswith("the shape is perfect, and dents")


def test_a_force_that_is_not_carried() -> None:
    assert judged(wall(axial_force_N=2001.0)).word == "not met"


def test_the_sentence_tells_forces_as_they_act() -> None:
    words = plain(sentence(said(judged(wall(axial_force_N=800.0)))))
    assert "axial crush, onset of waves in the wall at -2000 N (bifurcation, n = 14, GMNA)" in words
    assert "demand -800 N; reserve factor 2.500" in words
    assert " bar" not in words


def test_a_pull_is_no_crush() -> None:
    words = plain(sentence(said(judged(wall(1.0, axial_force_N=800.0)))))
    assert "axial collapse, onset of waves in the wall at 2000 N" in words


def test_a_path_without_an_event_carries_at_least_what_it_came_to() -> None:
    case = wall(axial_force_N=800.0)
    found = Outcome("GMNA", Status.NO_LIMIT, "600 steps met no limit", reached=1500.0).of(PUSH)
    assert "at beyond -1500 N" in plain(sentence(said(judge(case, [found], hands={}))))


def test_a_required_force_is_open_where_the_pressure_increases() -> None:
    case = wall(axial_force_N=800.0)
    tables = {**case.tables, "loads": {"pressure_side": "inside"}}
    made = judge(case_from_dict(tables), [Outcome("GMNA", Status.SOLVED, limit=Event(LIMIT_POINT, 0.7))], hands={})
    assert made.word == "no verdict"
    assert any('loads.increases = "axial_force"' in why for why in made.unjudged)


def recorded(case: Case) -> dict[str, object]:
    growth = Growth(800.0, 0.06, face_strain=0.0, middle_strain=0.0)
    found = outcomes(case)
    found[0] = Outcome(
        "GMNA", Status.SOLVED, limit=found[0].limit, bifurcation=found[0].bifurcation, growth=(growth,), bracketed=True
    ).of(case.loads.increasing)
    return record(case, found, verdict_fields(judge(case, found)))


def test_a_record_holds_forces_as_they_act_and_no_pressure() -> None:
    said = recorded(wall(axial_force_N=800.0))
    assert said["LBA.critical_axial_force_N"] == -2600.0
    assert said["LBA.wave_number"] == 14
    assert said["LBA.by_wave_number"] == [
        {"wave_number": 14, "axial_force_N": -2600.0},
        {"wave_number": 13, "axial_force_N": -2700.0},
    ]
    assert said["GMNA.limit_axial_force_N"] == -2500.0
    assert said["GMNA.bifurcation_axial_force_N"] == said["GMNA.capacity_axial_force_N"] == -2000.0
    assert said["GMNA.governing_axial_force_N"] == -2000.0
    assert said["required_axial_force_N"] == -800.0
    assert said["growth_at_N"][0]["axial_force_N"] == -800.0
    row = said["margins"][0]
    assert (row["capacity_N"], row["demand_N"], row["reserve_factor"]) == (-2000.0, -800.0, 2.5)
    texts = (key for key in said if key.endswith("_bar") and not key.startswith("demand"))
    assert not [*texts, *(key for each in said["margins"] for key in each if key.endswith("_bar"))]


def test_a_pull_is_recorded_positive() -> None:
    case = wall(1.0, axial_force_N=800.0)
    assert case.loads.increasing == PULL
    assert recorded(case)["GMNA.limit_axial_force_N"] == 2500.0


def test_a_record_of_forces_agrees_with_itself() -> None:
    """Hand values among its margins, by which a wall is pressed too; a force that is changed is found out."""
    case = wall(axial_force_N=800.0)
    said = recorded(case)
    rows = said["margins"]
    assert any("beside" in row for row in rows)
    assert [*disagreements(said, rows), *demand_disagreements(case, rows)] == []
    changed = [{**row, "capacity_N": -2100.0} if at == 0 else row for at, row in enumerate(rows)]
    assert any("GMNA.bifurcation_axial_force_N" in each for each in disagreements(said, changed))
    asked = [{**row, "demand_N": -700.0} if at == 0 else row for at, row in enumerate(rows)]
    assert any("demand -700.0 is none of the case file" in each for each in demand_disagreements(case, asked))


def test_the_form_of_a_record_knows_forces() -> None:
    """Its seal is another matter and left out here."""
    faults = [each for each in form_faults(recorded(wall(axial_force_N=800.0))) if not each.startswith("record")]
    assert faults == []


def test_hand_values_stand_beside_and_say_why_they_differ() -> None:
    """The bound of SP-8007 lies below the perfect wall for its imperfections, the squash load above it for buckling."""
    case = wall(axial_force_N=800.0)
    margins = judge(case, outcomes(case)).margins
    beside = {
        hand.formula.name: plain(hand.why) for margin in margins for hand in margin.hand if margin.method == "GMNA"
    }
    bound, squash = beside["cylinder.axial_force_lower_bound"], beside["cylinder.axial_squash_force"]
    assert bound.startswith("imperfections, which are in the bound and not in the shape computed: from -")
    assert squash.startswith("buckling, which comes before all of the wall yields: from -")
    assert "MPa" not in bound + squash


STAND = {"outer_edge": "sleeve", "stand": "roller"}


def standing() -> Case:
    case = wall(axial_force_N=800.0)
    return case_from_dict({**case.tables, "shape": BASE, "supports": STAND})


@pytest.mark.parametrize(("yielded", "name"), [("nose outer", "crush of the stand"), ("wall", "axial crush")])
def test_a_base_is_crushed_at_its_stand_or_its_wall(yielded: str, name: str) -> None:
    """By where it is strained most, or where waves begin; an elastic limit has no such place and is not called so."""
    case = standing()
    at_limit = Outcome("GMNA", Status.SOLVED, limit=Event(LIMIT_POINT, 1100.0), yielded_at=yielded).of(PUSH)
    elastic = Outcome("GNA", Status.SOLVED, limit=Event(LIMIT_POINT, 2600.0)).of(PUSH)
    states = [margin.limit_state for margin in judge(case, [at_limit, elastic], hands={}).margins]
    assert states == [name, "axial crush, elastic"]


def test_waves_of_a_base_are_those_of_its_wall_where_they_are_there() -> None:
    (margin, *_) = judge(standing(), outcomes(standing()), hands={}).margins
    assert margin.limit_state == "axial crush, onset of waves in the wall"


def test_a_stand_that_flattens_says_so() -> None:
    """Beside GMNA the plastic limit by hand is too high, by what lies between MNA and GMNA."""
    case = standing()
    found = [
        Outcome("GMNA", Status.SOLVED, limit=Event(LIMIT_POINT, 1000.0), yielded_at="nose outer").of(PUSH),
        Outcome("MNA", Status.SOLVED, limit=Event(LIMIT_POINT, 1300.0)).of(PUSH),
    ]
    (hand,) = judge(case, found).margins[0].hand
    assert hand.formula.name == "crush.stand"
    assert plain(hand.why).startswith("the bends, which flatten and fold before they yield all through: from -")
