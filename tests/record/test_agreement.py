"""A record that was changed does not agree with itself: what is said of each change, word by word, without any run."""

import copy
from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import pytest

from buckle.case import Case
from buckle.margins import Margin, Verdict
from buckle.margins.judge import judge
from buckle.margins.margin import Size
from buckle.record.agreement import agrees, demand_disagreements, disagreements
from buckle.record.margins import verdict_fields
from buckle.record.quantities import Record, record
from tests.helpers.made_run import made_case, made_outcomes

Change = Callable[[Record], object]


def made(**requirements: float) -> tuple[Case, Record]:
    """A cap that must carry 2 bar: onset of waves at 2 bar, collapse at 2.5 bar; what is required may be more."""
    case = made_case(requirements={"pressure_bar": 2.0, **requirements})
    outcomes = made_outcomes(case)
    return case, copy.deepcopy(record(case, outcomes, verdict_fields(judge(case, outcomes))))


def row(recorded: Record, state: str, *, method: str = "GMNA") -> dict[str, Any]:
    """The margin of a limit state, or the first hand value beside it for the method 'hand'."""
    rows: Sequence[dict[str, Any]] = recorded["margins"]
    return next(
        each
        for each in rows
        if each["limit_state"] == state and ("beside" in each if method == "hand" else each["method"] == method)
    )


def margin(state: str, method: str = "GMNA", **fields: object) -> Change:
    return lambda recorded: row(recorded, state, method=method).update(fields)


def without(state: str, method: str = "GMNA") -> Change:
    return lambda recorded: recorded["margins"].remove(row(recorded, state, method=method))


def top(**fields: object) -> Change:
    return lambda recorded: recorded.update({key.replace("__", "."): value for key, value in fields.items()})


ONSET, COLLAPSE, GROWTH = "onset of waves", "collapse", "growth under pressure"
THEORY = "onset of waves, by deformation theory"


def said(change: Change, **requirements: float) -> list[str]:
    _, recorded = made(**requirements)
    change(recorded)
    return list(disagreements(recorded, recorded["margins"]))


def test_a_record_as_it_was_made_agrees() -> None:
    for requirements in ({}, {"growth_mm": 0.5}, {"partial_factor": 1.2}):
        case, recorded = made(**requirements)
        assert list(disagreements(recorded, recorded["margins"])) == []
        assert list(demand_disagreements(case, recorded["margins"])) == []


FIRST = "margins[0] (onset of waves, GMNA)"
HAND = "margins[1] (onset of waves, hand calculation: capacity.two_term (fit))"
NOT_IN = "no margin of {} has it; one is missing or was changed"
LOWEST = "governing_pressure_bar: is not the lowest of limit, bifurcation, critical"
WORD = "verdict met with doubt: is not what the margins, doubts and what is not judged come to"
EVENT = "GMNA.capacity_pressure_bar 2.0: no margin has it with this event and error"
CHANGES: list[tuple[Change, list[str]]] = [
    (margin(ONSET, reserve_factor=1.5), [f"{FIRST}: reserve_factor 1.5 is not that of its capacity and demand"]),
    (margin(ONSET, verdict="not met"), [WORD]),
    (margin(ONSET, governs=False), ["margins: 0 govern; allowed: one"]),
    (
        margin(COLLAPSE, governs=True),
        [
            "margins: 2 govern; allowed: one",
            "margins (collapse): governs, but has not the least reserve factor",
            "governing_limit_state onset of waves: is not that of the margin that governs",
        ],
    ),
    (
        margin(COLLAPSE, verdict="for comparison"),
        ["margins[4] (collapse, GMNA): verdict for comparison does not follow from its capacity and demand"],
    ),
    (
        margin(THEORY, verdict="met"),
        [
            f"margins[5] ({THEORY}, GMNA): verdict met does not follow from its capacity and demand",
            "reserve_factor 1.0: is not the least of the margins",
            "margins (onset of waves): governs, but has not the least reserve factor",
        ],
    ),
    (
        margin("collapse, elastic", "GNA", verdict="met"),
        ["margins[8] (collapse, elastic, GNA): verdict met does not follow from its capacity and demand"],
    ),
    (
        margin(ONSET, verdict="no verdict"),
        [
            WORD,
            "not_judged: says nothing of why there is no verdict",
            "reserve_factor 1.0: is not the least of the margins",
            "margins (onset of waves): governs, but has not the least reserve factor",
        ],
    ),
    (
        margin(ONSET, "hand", limit_state=COLLAPSE),
        [f"{HAND.replace(ONSET, COLLAPSE)}: stands beside no computed margin"],
    ),
    (
        margin(ONSET, "hand", beside="GNA"),
        [f"{HAND}: its analysis or demand is not that of the margin it stands beside"],
    ),
    (
        margin(ONSET, "hand", demand_bar=1.0),
        [f"{HAND}: its analysis or demand is not that of the margin it stands beside"],
    ),
    (
        margin(ONSET, "hand", ratio_hand_to_computed=1.0),
        [f"{HAND}: ratio_hand_to_computed 1.0 is not that of its two values"],
    ),
    (
        margin(ONSET, "hand", reserve_factor=1.0),
        [f"{HAND}: reserve_factor 1.0 is not that of its capacity and demand"],
    ),
    (
        margin(ONSET, "hand", formula="another"),
        [f"{HAND}: formula and kind are not those of its method: another, fit"],
    ),
    (
        margin(ONSET, "hand", kind="theory"),
        [f"{HAND}: formula and kind are not those of its method: capacity.two_term, theory"],
    ),
    (
        lambda recorded: recorded["margins"][2]["ranges"][0].update(met=False),
        [
            "margins[2] (onset of waves, hand calculation: capacity.dome_clamped (lower bound)): met False of a range"
            " does not follow from its value: R/t"
        ],
    ),
    (top(doubts=[]), ["doubts: says nothing of a margin that is in doubt"]),
    (top(verdict="met"), [WORD.replace("met with doubt", "met")]),
    (top(reserve_factor=3.0), ["reserve_factor 3.0: is not the least of the margins"]),
    (
        top(governing_limit_state=COLLAPSE),
        ["governing_limit_state collapse: is not that of the margin that governs"],
    ),
    (top(LBA__wave_number=1), ["LBA.wave_number 1: is not that of the lowest in LBA.by_wave_number"]),
    (
        top(LBA__critical_pressure_bar=1.0),
        [
            "LBA.critical_pressure_bar 1.0: is not that of the lowest in LBA.by_wave_number",
            f"LBA.critical_pressure_bar 1.0: {NOT_IN.format('LBA')}",
            f"LBA.{LOWEST}",
        ],
    ),
    (
        top(GNA__governing_pressure_bar=1.0),
        [f"GNA.governing_pressure_bar 1.0: {NOT_IN.format('GNA')}", f"GNA.{LOWEST}"],
    ),
    (
        top(GNA__governing_event="limit point"),
        ["GNA.governing_event limit point: is not what comes at that pressure"],
    ),
    (top(GNA__limit_pressure_bar=9.0), [f"GNA.limit_pressure_bar 9.0: {NOT_IN.format('GNA')}"]),
    (
        top(GMNA__capacity_pressure_bar=9.0),
        [f"GMNA.capacity_pressure_bar 9.0: {NOT_IN.format('GMNA')}", EVENT.replace("2.0", "9.0")],
    ),
    (top(GMNA__capacity_event="limit point"), [EVENT]),
    (top(GMNA__numerical_error_percent=9.0), [EVENT]),
    (top(MNA__status="failed"), ["not_judged: says nothing of MNA, which failed"]),
]


@pytest.mark.parametrize(("change", "words"), CHANGES)
def test_what_is_said_of_a_change(change: Change, words: list[str]) -> None:
    assert said(change) == words


def test_a_movement_that_the_record_does_not_hold() -> None:
    words = ["margins (growth under pressure): 0.2 is no movement or strain of this record"]
    assert said(margin(GROWTH, found_mm=0.2), growth_mm=0.5) == words


def test_a_margin_taken_out_is_missed_by_its_hand_values_and_by_its_keys() -> None:
    hands = ("capacity.two_term (fit)", "capacity.dome_clamped (lower bound)", "cap.lower_bound (lower bound)")
    assert said(without(ONSET)) == [
        *(
            f"margins[{index}] (onset of waves, hand calculation: {name}): stands beside no computed margin"
            for index, name in enumerate(hands)
        ),
        *(f"GMNA.{key}_pressure_bar 2.0: {NOT_IN.format('GMNA')}" for key in ("bifurcation", "capacity", "governing")),
        "reserve_factor 1.0: is not the least of the margins",
        "margins: 0 govern; allowed: one",
        EVENT,
    ]


@pytest.mark.parametrize(
    ("change", "more", "words"),
    [
        (margin(ONSET, demand_bar=1.0), {}, [f"{FIRST}: demand 1.0 is none of the case file"]),
        (margin(ONSET, partial_factor=1.5), {}, [f"{FIRST}: partial_factor 1.5 is not that of the case file"]),
        (
            margin("first yield", "LA", partial_factor=1.2),  # no capacity of a body, which a factor would divide
            {"partial_factor": 1.2},
            ["margins[12] (first yield, LA): partial_factor 1.2 is not that of the case file"],
        ),
        (
            margin(GROWTH, allowed_mm=0.6),
            {"growth_mm": 0.5},
            ["margins[13] (growth under pressure, GMNA): allowed 0.6 is nothing that the case file allows"],
        ),
        (
            without(GROWTH),
            {"growth_mm": 0.5},
            ["margins: growth under pressure, which the case file demands, is missing"],
        ),
    ],
)
def test_what_is_said_of_margins_that_the_case_does_not_make(
    change: Change, more: dict[str, float], words: list[str]
) -> None:
    case, recorded = made(**more)
    change(recorded)
    assert list(demand_disagreements(case, recorded["margins"])) == words


def test_margins_of_another_case() -> None:
    _, recorded = made()
    crushed = made_case(requirements={"pressure_bar": 2.0, "axial_force_N": 100.0})
    words = ["margins: axial crush, which the case file demands, is missing"]
    assert list(demand_disagreements(crushed, recorded["margins"])) == words
    free = list(demand_disagreements(made_case(requirements={}), recorded["margins"]))
    assert free[0] == f"{FIRST}: demand 2.0 is none of the case file"
    assert len(free) == len(recorded["margins"])


@pytest.mark.parametrize(("reached", "agreed"), [(1.9, True), (2.0, False), (2.1, False)])
def test_a_path_that_came_to_the_demand_is_not_open(reached: float, agreed: bool) -> None:
    """Without an event it carries at least what it came to: from the demand on that is enough, and says so."""
    path = Margin("no event found", "GMNA", "", reached, 2.0, Verdict.NOT_FOUND, at_least=True)
    assert agrees(path, "GMNA", {}) is agreed


MET, MISSED, DOUBT = Verdict.MET, Verdict.NOT_MET, Verdict.DOUBT
NONE, ASIDE, FREE = Verdict.NO_VERDICT, Verdict.FOR_COMPARISON, Verdict.NO_REQUIREMENT


@pytest.mark.parametrize(
    ("changes", "onset", "may"),
    [
        ({"capacity": 2.1}, None, {MET, NONE}),
        ({"capacity": 1.9}, None, {MISSED, NONE}),
        ({"capacity": 2.0}, None, {MET, MISSED, NONE}),  # to the last digit, which a record may round either way
        ({"capacity": 2.1, "demand": None}, None, {FREE, ASIDE}),
        ({"capacity": None}, None, {ASIDE, Verdict.NOT_FOUND, Verdict.NOT_RUN}),
        ({"capacity": 1.9, "limit_state": THEORY}, None, {DOUBT, NONE}),
        ({"capacity": 2.1, "limit_state": THEORY}, None, {ASIDE}),
        ({"capacity": 1.9, "limit_state": THEORY}, "flow", {ASIDE}),
        ({"capacity": 1.9, "limit_state": THEORY}, "deformation", {MISSED, NONE}),
        ({"capacity": 2.1, "limit_state": THEORY}, "deformation", {MET, NONE}),
        ({"capacity": 2.1, "method": "GNA"}, None, {ASIDE, Verdict.NOT_FOUND, Verdict.NOT_RUN}),
        ({"capacity": 2.1, "size": Size(0.3, None, "mm")}, None, {FREE}),
    ],
)
def test_the_verdicts_that_a_capacity_and_a_demand_may_give(
    changes: dict[str, Any], onset: str | None, may: set[Verdict]
) -> None:
    """Any other verdict in a record is one that nothing gave."""
    bare = replace(Margin("collapse", "GMNA", "limit point", 2.0, 2.0, Verdict.MET), **changes)
    given = {each for each in Verdict if agrees(replace(bare, verdict=each), "GMNA", {"requirements.onset": onset})}
    assert given == may


def test_what_is_for_comparison_never_governs() -> None:
    aside = Margin("collapse, elastic", "GNA", "limit point", 2.1, 2.0, ASIDE)
    assert agrees(aside, "GMNA", {})
    assert not agrees(replace(aside, governs=True), "GMNA", {})


@pytest.mark.parametrize(("yields", "decides"), [(False, True), (True, False), (None, False)])
def test_an_elastic_path_decides_where_metal_is_declared_not_to_yield(yields: bool | None, decides: bool) -> None:
    elastic = Margin("collapse", "GNA", "limit point", 2.1, 2.0, MET)
    assert agrees(elastic, "GNA", {"material.yields": yields}) is decides
