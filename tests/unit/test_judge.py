"""Margins from made outcomes: which analysis decides, what governs, what is not judged, why hand values differ."""

from dataclasses import replace

import pytest

from buckle.case import Case, case_from_dict
from buckle.margins import Judgement, Margin, Verdict, judge
from buckle.margins.record import margin_rows
from buckle.results import BIFURCATION, LIMIT_POINT, WIDEN, Event, Growth, Outcome, Status
from buckle.sheet.console import verdict_line

LIMIT = Event(LIMIT_POINT, 0.72, error_percent=0.2)
ONSET = Event(BIFURCATION, 0.66, 17, error_percent=0.4)


def base(**tables: dict) -> Case:
    return case_from_dict(
        {
            "material": {
                "youngs_modulus_GPa": 69.0,
                "poissons_ratio": 0.33,
                "yield_stress_MPa": 258.0,
                "hardening": {"law": "voce", "increment_MPa": 37.0, "rate": 40.0},
            },
            "shape": {
                "family": "domed_base",
                "wall_radius_mm": 33.0,
                "stand_radius_mm": 24.13,
                "nose_radius_mm": 1.66,
                "inner_leg_angle_deg": 6.0,
                "dome_corner_radius_mm": 2.3,
                "dome_radius_mm": 45.7,
                "dome_depth_mm": 10.4,
                "outer_leg_angle_deg": 40.0,
                "heel_radius_mm": 5.0,
                "wall_height_mm": 25.0,
                "gauge_mm": 0.27,
            },
            "supports": {"outer_edge": "clamped"},
            "loads": {"pressure_side": "inside"},
            "analyses": {"run": ["LBA", "GNA", "GMNA"]},
            **tables,
        }
    )


def required(bar: float) -> Case:
    return base(requirements={"pressure_bar": bar})


def outcome(kind: str = "GMNA", **fields: object) -> Outcome:
    return replace(Outcome(kind, Status.SOLVED, limit=LIMIT, yielded_at="nose inner", reached=0.72), **fields)


def governing(judged: Judgement) -> Margin:
    assert judged.governing is not None
    return judged.governing


def test_the_lower_event_governs_and_says_that_it_is_an_onset() -> None:
    judged = judge(required(6.2), [outcome(bifurcation=ONSET)])
    margin = governing(judged)
    assert (margin.event, margin.wave_number, margin.verdict) == (BIFURCATION, 17, Verdict.MET)
    assert margin.reserve == pytest.approx(0.66 / 0.62)
    assert "onset" in margin.reason
    states = [each.limit_state for each in judged.margins]
    assert states == ["onset of waves in the base", "dome reversal"]


@pytest.mark.parametrize(("bar", "verdict"), [(7.19, Verdict.MET), (7.21, Verdict.NOT_MET)])
def test_the_verdict_is_the_reserve_factor_against_one(bar: float, verdict: Verdict) -> None:
    judged = judge(required(bar), [outcome()])
    assert governing(judged).verdict is verdict
    assert judged.met is (verdict is Verdict.MET)


def test_the_elastic_plastic_analysis_decides_and_the_others_are_for_comparison() -> None:
    elastic = outcome("GNA", limit=Event(LIMIT_POINT, 1.8), yielded_at="")
    linear = Outcome("LBA", Status.SOLVED, critical=(Event(BIFURCATION, 2.8, 5), Event(BIFURCATION, 3.0, 0)))
    judged = judge(required(7.0), [linear, elastic, outcome()])
    assert judged.decided_by == "GMNA"
    assert {m.method: m.verdict for m in judged.margins} == {
        "GMNA": Verdict.MET,
        "GNA": Verdict.FOR_COMPARISON,
        "LBA": Verdict.FOR_COMPARISON,
    }
    assert governing(judge(required(7.0), [linear, elastic])).method == "GNA"


def test_without_a_requirement_there_is_no_verdict() -> None:
    judged = judge(base(), [outcome()])
    assert governing(judged).verdict is Verdict.NO_REQUIREMENT
    assert governing(judged).reserve is None


def test_a_failed_analysis_gives_no_capacity_and_no_verdict() -> None:
    failed = Outcome("GMNA", Status.FAILED, "the path could not be followed", "a finer mesh", reached=0.9)
    judged = judge(required(6.2), [failed])
    assert judged.governing is None
    assert not judged.complete
    assert [m.capacity for m in judged.margins if m.unit == "MPa"] == [None]


@pytest.mark.parametrize(("reached", "verdict"), [(0.9, Verdict.MET), (0.5, Verdict.NOT_MET)])
def test_a_path_without_an_event_is_judged_by_how_far_it_was_followed(reached: float, verdict: Verdict) -> None:
    judged = judge(required(6.2), [Outcome("GMNA", Status.NO_LIMIT, "strain", "", reached=reached)])
    margin = governing(judged)
    assert margin.at_least
    assert (margin.capacity, margin.verdict) == (reached, verdict)


def test_growth_is_judged_at_the_service_pressure() -> None:
    case = base(requirements={"service_pressure_bar": 4.0, "growth_mm": 0.5, "permanent_growth_mm": 0.02})
    judged = judge(case, [outcome(growth=(Growth(0.4, 0.45, 0.03),))])
    found = {m.limit_state: (m.verdict, m.reserve) for m in judged.margins if m.unit == "mm"}
    assert found["growth under pressure"] == (Verdict.MET, pytest.approx(0.5 / 0.45))
    assert found["growth that stays"] == (Verdict.NOT_MET, pytest.approx(0.02 / 0.03))


def test_growth_that_no_path_reaches_is_not_judged() -> None:
    case = base(requirements={"service_pressure_bar": 9.0, "growth_mm": 0.5})
    judged = judge(case, [outcome()])
    assert not judged.complete


def test_axial_crush_is_said_to_be_not_run() -> None:
    judged = judge(base(requirements={"axial_force_N": 900.0}), [outcome()])
    assert judged.margins[-1].verdict is Verdict.NOT_RUN
    assert not judged.complete


def test_hand_values_stand_beside_the_event_they_speak_of() -> None:
    elastic = outcome("GNA", limit=Event(LIMIT_POINT, 1.8), bifurcation=Event(BIFURCATION, 1.46, 6), yielded_at="")
    judged = judge(required(6.2), [elastic, outcome()])
    names = {(m.method, m.event): [h.formula.name for h in m.hand] for m in judged.margins if m.hand}
    assert names["GMNA", LIMIT_POINT][0] == "stand.base_rolling"
    assert "cap.clamped_bifurcation" in names["GNA", BIFURCATION]
    assert ("GNA", LIMIT_POINT) not in names


def test_the_reason_follows_the_results_not_the_formula() -> None:
    def reason(*others: Outcome, pressure: float = 0.72) -> str:
        judged = judge(required(6.2), [*others, outcome(limit=Event(LIMIT_POINT, pressure))])
        return next(h.why for h in governing(judged).hand if h.formula.name == "capacity.two_term")

    mechanism = outcome("MNA", limit=Event(LIMIT_POINT, 0.5))
    assert reason() == "not explained (LBA, GNA, MNA not run)"
    assert reason(mechanism).startswith("the plastic limit of the body itself")
    value = governing(judge(required(6.2), [outcome()])).hand[-1].formula.value
    assert "agree within" in reason(mechanism, pressure=value * 1.01)


def test_a_formula_out_of_range_has_no_value_and_says_why() -> None:
    case = required(6.2)
    tables = dict(case.tables)
    tables["material"] = {**tables["material"], "yield_stress_MPa": 900.0}
    judged = judge(case_from_dict(tables), [outcome()])
    rolling = next(h for h in governing(judged).hand if h.formula.name == "stand.base_rolling")
    assert (rolling.value, rolling.ratio) == (None, None)
    assert rolling.why.startswith("out of range")
    row = next(row for row in margin_rows(judged) if "stand.base_rolling" in str(row["method"]))
    assert (row["capacity_bar"], row["verdict"]) == (None, "out of range")


def test_a_lower_bracket_below_the_demand_asks_for_a_look_at_the_test() -> None:
    lower = Event(BIFURCATION, 0.60, 15)
    told = governing(judge(required(6.2), [outcome(bifurcation=ONSET, deformation_bifurcation=lower)])).reason
    assert "below the demand" in told
    told = governing(judge(required(5.0), [outcome(bifurcation=ONSET, deformation_bifurcation=lower)])).reason
    assert "below the demand" not in told


def test_rows_carry_the_contract_names() -> None:
    rows = margin_rows(judge(required(6.2), [outcome()]))
    for name in ("limit_state", "capacity_bar", "demand_bar", "reserve_factor", "method", "source", "verdict"):
        assert all(name in row for row in rows if "capacity_mm" not in row), name
    assert rows[0]["capacity_bar"] == pytest.approx(7.2)
    assert rows[0]["demand_bar"] == pytest.approx(6.2)


def test_a_lowest_wave_at_the_end_of_the_range_is_told_in_the_verdict() -> None:
    note = f"the lowest mode has n = 30, the end of the range examined: {WIDEN}"
    judged = judge(required(6.2), [outcome(bifurcation=ONSET, notes=(note,))])
    assert "CAUTION" in verdict_line(judged, "bar")
