"""A record is judged once more: what its analyses found must come to the margins, doubts and cautions that it has."""

import json
import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from buckle.analysis.certainty import estimate
from buckle.analysis.imperfect import wave_notes
from buckle.case import case_from_dict
from buckle.increasing import PRESSURE
from buckle.margins.judge import judge
from buckle.record.judged import judged_disagreements
from buckle.record.margins import verdict_fields
from buckle.record.outcomes import outcomes_of
from buckle.record.quantities import record
from buckle.results import (
    BIFURCATION,
    GROWTH_CEILING,
    LIMIT_POINT,
    STRAIN_CEILING,
    Allowed,
    Event,
    Growth,
    Outcome,
    Status,
    WavePath,
)

Record = dict[str, Any]
TABLES: dict[str, Any] = {
    "material": {
        "youngs_modulus_GPa": 69.0,
        "poissons_ratio": 0.3,
        "density_kg_per_m3": 2720,
        "yield_stress_MPa": 262,
        "hardening": {"law": "linear", "modulus_MPa": 500},
        "uniform_strain": 0.04,
    },
    "shape": {"family": "spherical_cap", "radius_mm": 50.0, "half_angle_deg": 40.0, "thickness_mm": 0.3},
    "supports": {"outer_edge": "clamped"},
    "loads": {"pressure_side": "outside"},
    "analyses": {"run": ["LBA", "GNA", "GMNA"], "wave_numbers": [0, 30]},
    "requirements": {"pressure_bar": 10.0, "service_pressure_bar": 5.0, "growth_mm": 0.2},
}
CASE = case_from_dict(TABLES)
CHANGE = 0.1  # % from one level to the other
NOT_BRACKETED = "no onset of waves by deformation theory: it cannot be placed"
GATHERING = "from [9 bar] on plastic strain may gather in one place, as in a neck: mesh and steps decide"
OUTSIDE = "waves outside the range examined have begun by then, n = 31, 32: widen analyses.wave_numbers"


def plastic(**other: Any) -> Outcome:
    """An elastic-plastic path to a limit at 12 bar, strained beyond what its curve is known for."""
    found = Outcome(
        "GMNA",
        Status.SOLVED,
        limit=Event(LIMIT_POINT, 1.2),
        growth=(Growth(0.5, 0.1, 0.01, None, 0.02, 0.01), Growth(1.0, 0.3, 0.1, None, 0.4, 0.05)),
        at_capacity=Growth(1.2, 0.5, None, None, 0.5, 0.06),
        allowed=(Allowed("growth", 0.2, 0.8),),
        bracketed=True,
        convergence={"all coarser": CHANGE},
    )
    found = replace(found, **other)
    capacity = found.capacity
    if capacity is None:
        return replace(found, convergence={})
    event = replace(capacity, error_percent=estimate("GMNA", capacity.kind, CHANGE))
    name = "peak" if capacity is found.peak else "bifurcation" if capacity is found.bifurcation else "limit"
    return replace(found, **{name: event})


def linear(**other: Any) -> Outcome:
    waves = (
        Event(BIFURCATION, 3.0, 9, estimate("LBA", BIFURCATION, CHANGE), "cap", 20.0),
        Event(BIFURCATION, 3.1, 10, piece="cap", radius=21.0),
    )
    return replace(Outcome("LBA", Status.SOLVED, critical=waves, convergence={"all coarser": CHANGE}), **other)


def recorded(*outcomes: Outcome) -> Record:
    rows = verdict_fields(judge(CASE, outcomes))
    return json.loads(json.dumps(record(CASE, outcomes, rows)))


def disagreements(found: Record) -> list[str]:
    return list(judged_disagreements(CASE, found, outcomes_of(CASE, found)))


PEAK = {"peak": Event(GROWTH_CEILING, 1.3), "notes": ("the apex has moved by [0.6 mm]: the ceiling is reached",)}
PASSED = {
    "limit": Event(LIMIT_POINT, 1.1),
    "peak": Event(LIMIT_POINT, 1.2),
    "highest_limit": Event(LIMIT_POINT, 1.2),
    "notes": ("a limit at [11 bar] is passed: it is [0.2 bar] deep, the body moves [1 mm], then pressure rises on",),
}
ONSET = {
    "bifurcation": Event(BIFURCATION, 1.1, 9, piece="cap", radius=20.0),
    "at_capacity": Growth(1.1, 0.4, None, None, 0.4, 0.05),
}
BRACKET = Event(BIFURCATION, 0.9, 9, piece="cap", radius=20.0)
NOWHERE: dict[str, Any] = {"at_capacity": None, "allowed": ()}
FEW = ("growth: above the path", "growth: above the path", "movement: not placed")
HONEST: dict[str, Outcome] = {
    "limit": plastic(),
    "waves": plastic(**ONSET),
    "lower bracket": plastic(deformation_bifurcation=BRACKET),
    "bracket above the waves": plastic(**ONSET, deformation_bifurcation=replace(BRACKET, load=1.15)),
    "no bracket": plastic(bracketed=False, notes=(NOT_BRACKETED,), allowed=(Allowed("growth", 0.2, None),)),
    "gathering": plastic(gathering=0.9, notes=(GATHERING,)),
    "outside": plastic(outside=(31, 32), notes=(OUTSIDE,)),
    "ceiling": plastic(limit=None, at_capacity=Growth(1.3, 0.6, None, None, 0.5, 0.06), **PEAK),
    "passed": plastic(**PASSED),
    "not reached": plastic(allowed=(Allowed("growth", 0.2, None),)),
    "not reached but required": plastic(limit=Event(LIMIT_POINT, 0.4), growth=(), notes=FEW, **NOWHERE),
    "nowhere to be found": plastic(notes=FEW[2:], **NOWHERE),
    "no limit": plastic(status=Status.NO_LIMIT, limit=None, reached=1.1, reason="so far", **NOWHERE),
    "failed": Outcome("GMNA", Status.FAILED, "it stalled", "a finer mesh"),
}


@pytest.mark.parametrize("name", HONEST)
def test_what_was_judged_is_judged_alike_once_more(name: str) -> None:
    assert disagreements(recorded(linear(), HONEST[name])) == []


def test_waves_that_were_followed_are_judged_alike_once_more() -> None:
    deviation = {"shape": "mode", "wave_number": 9}
    case = case_from_dict({**TABLES, "deviation": deviation, "analyses": {"run": ["GMNA", "GMNIA"]}})
    states = np.empty(0)  # no judgement asks for them
    paths = tuple(
        WavePath("GMNIA", 9, size, states, states, states, peak, 0.1, 0.9, 1.5)
        for size, peak in ((0.01, 1.1), (0.03, 1.05))
    )
    waved = Outcome(
        "GMNIA",
        Status.SOLVED,
        limit=Event(LIMIT_POINT, 1.05, error_percent=0.3),
        waves=paths,
        in_waves=True,
        notes=wave_notes(PRESSURE, paths),
        convergence={"steps": 0.1, "harmonics": -0.2},
    )
    outcomes = (plastic(), waved)
    found = json.loads(json.dumps(record(case, outcomes, verdict_fields(judge(case, outcomes)))))
    assert list(judged_disagreements(case, found, outcomes_of(case, found))) == []
    for change, named in (
        (lambda one: one.pop("GMNIA.notes"), "GMNIA.notes: do not say"),
        (lambda one: one["GMNIA.waves"][0].update(saturates=True), "GMNIA.waves[0].saturates"),
        (lambda one: one["GMNIA.waves"].pop(1), "GMNIA.notes: do not say"),
        (lambda one: one.update({"GMNIA.numerical_error_percent": 0.1}), "GMNIA.numerical_error_percent"),
    ):
        other = json.loads(json.dumps(found))
        change(other)
        assert any(named in each for each in judged_disagreements(case, other, outcomes_of(case, other))), named


def test_every_honest_record_is_another() -> None:
    """Or the cases above would not be what their names say."""
    words = {name: (recorded(one).get("doubts"), recorded(one).get("not_judged")) for name, one in HONEST.items()}
    assert "lower bracket, is not known" in str(words["no bracket"])
    assert "may gather" in str(words["gathering"])
    assert "n = 31, 32" in str(words["outside"])
    assert "it stalled" in str(words["failed"])
    assert words["limit"] == (None, None)


WAVES, LOWER = "onset of waves in the cap", "deformation_theory_bifurcation"


# Lies -----------------------------------------------------------------------------------------------------------------


def row(found: Record, **which: object) -> Record:
    return next(each for each in found["margins"] if all(each.get(key) == value for key, value in which.items()))


def put(key: str, value: object) -> Callable[[Record], object]:
    return lambda found: found.__setitem__(key, value)


def in_margin(key: str, value: object, **which: object) -> Callable[[Record], object]:
    return lambda found: row(found, **which).__setitem__(key, value)


def in_growth(at: str, key: str, value: object) -> Callable[[Record], object]:
    def change(found: Record) -> None:
        state = next(each for each in found["growth_at_bar"] if each["at"] == at)
        state.pop(key) if value is None else state.__setitem__(key, value)

    return change


def without_state(at: str) -> Callable[[Record], object]:
    return lambda found: found["growth_at_bar"].remove(
        next(each for each in found["growth_at_bar"] if each["at"] == at)
    )


LIES: dict[str, tuple[str, Callable[[Record], object], str]] = {
    "strain caution emptied": ("limit", put("strain_cautions", []), "strain_cautions"),
    "strain caution shortened": ("limit", lambda found: found["strain_cautions"].pop(), "strain_cautions"),
    "strain caution gone": ("limit", lambda found: found.pop("strain_cautions"), "strain_cautions"),
    "strain made less": ("limit", in_growth("required", "face_strain", 0.03), "strain_cautions"),
    "notes emptied": ("ceiling", put("GMNA.notes", []), "GMNA.notes: do not say"),
    "a note on a limit that is passed": ("passed", put("GMNA.notes", ["it stopped"]), "GMNA.notes: do not say"),
    "notes of strain that gathers": ("gathering", lambda found: found.pop("GMNA.notes"), "doubts"),
    "doubt about strain that gathers": ("gathering", put("doubts", ["another"]), "doubts"),
    "doubt about the bracket": ("no bracket", put("doubts", ["another"]), "doubts"),
    "notes of waves outside": ("outside", lambda found: found.pop("GMNA.notes"), "not_judged"),
    "waves outside not judged": ("outside", put("not_judged", ["another"]), "not_judged"),
    "why it failed": ("failed", put("GMNA.reason", "of no weight"), "not_judged"),
    "error made less": ("limit", put("GMNA.numerical_error_percent", 0.01), "GMNA.numerical_error_percent"),
    "change made less": ("limit", put("GMNA.convergence_percent", {"all coarser": 0.01}), "numerical_error_percent"),
    "evidence of the error gone": ("limit", lambda found: found.pop("GMNA.convergence_percent"), "numerical_error"),
    "error of another": ("limit", put("LBA.numerical_error_percent", 1e-6), "LBA.numerical_error_percent"),
    "capacity gone": ("limit", lambda found: found.pop("GMNA.capacity_pressure_bar"), "GMNA.capacity_pressure_bar"),
    "limit gone": (
        "limit",
        lambda found: found.pop("GMNA.limit_pressure_bar"),
        "GMNA.highest_limit_pressure_bar",
    ),
    "lower bracket raised": ("lower bracket", put(f"GMNA.{LOWER}_pressure_bar", 12.5), "doubts"),
    "lower bracket gone": (
        "lower bracket",
        lambda found: found["margins"].remove(row(found, limit_state=f"{WAVES}, by deformation theory")),
        "margins: ",
    ),
    "waves of a margin": ("waves", in_margin("wave_number", 10, limit_state=WAVES), ".wave_number"),
    "waves of an onset": ("waves", put("GMNA.bifurcation_wave_number", 10), ".wave_number"),
    "where waves begin": ("waves", put("GMNA.bifurcation_at", "edge, r = 1.0 mm"), ".limit_state"),
    "what ends a path": ("ceiling", put("GMNA.capacity_event", STRAIN_CEILING), "GMNA.capacity_event"),
    "event of a margin": ("limit", in_margin("event", "", limit_state="collapse"), ".event"),
    "reason of a margin": ("outside", in_margin("reason", "fine", method="GMNA"), ".reason"),
    "source of a margin": ("limit", in_margin("source", "a test", method="GMNA"), ".source"),
    "row of growth gone": ("limit", without_state("required"), "growth_at_bar: has not the loads"),
    "row at the capacity gone": ("limit", without_state("capacity"), "growth_at_bar: has not the state at"),
    "capacity of another load": (
        "limit",
        in_growth("capacity", "pressure_bar", 11.0),
        "growth_at_bar: the state at the capacity is at another load",
    ),
    "row of another load": ("limit", in_growth("required", "pressure_bar", 9.0), "growth_at_bar: has not the loads"),
    "row by another name": ("limit", in_growth("required", "at", "service"), "growth_at_bar"),
    "row of another analysis": ("limit", in_growth("required", "analysis", "GNA"), "growth_at_bar"),
    "face strain gone": ("limit", in_growth("required", "face_strain", None), "has no face_strain"),
    "strain in mid-wall gone": ("limit", in_growth("capacity", "middle_strain", None), "has no middle_strain"),
    "what stays gone": ("limit", in_growth("required", "permanent_growth_mm", None), "has no permanent_growth_mm"),
    "what stays after service": ("limit", put("permanent_growth_mm", 0.001), "permanent_growth_mm"),
    "growth of a margin": ("limit", in_growth("service", "growth_mm", 0.05), ".found_mm"),
    "hand value with its ratio": ("limit", lambda found: _halved(row(found, beside="GMNA")), "margins["),
    "number of a hand value": ("limit", lambda found: _first_input(found).update(value=1.0), ".inputs[0].value"),
    "range of a hand value": ("limit", lambda found: _first_range(found).update(high=1e9), ".ranges[0].high"),
    "hand value gone": ("limit", lambda found: found["margins"].remove(row(found, beside="GMNA")), "margins: "),
}


def _halved(hand: Record) -> None:
    for key in ("capacity_bar", "reserve_factor", "ratio_hand_to_computed"):
        hand[key] /= 2.0


def _first_input(found: Record) -> Record:
    return next(each for each in found["margins"] if each.get("inputs"))["inputs"][0]


def _first_range(found: Record) -> Record:
    return next(each for each in found["margins"] if each.get("ranges"))["ranges"][0]


@pytest.mark.parametrize("lie", LIES)
def test_a_lie_does_not_follow(lie: str) -> None:
    of, change, named = LIES[lie]
    found = recorded(linear(), HONEST[of])
    change(found)
    assert any(named in each for each in disagreements(found)), disagreements(found)


def test_a_reserve_of_just_one_is_left_to_its_last_digit() -> None:
    """Bar and MPa round differently: which side of 1 a quotient falls on is no lie."""
    found = recorded(plastic(limit=Event(LIMIT_POINT, 1.0), allowed=()))
    row(found, method="GMNA")["reserve_factor"] = math.nextafter(1.0, 0.0)
    assert not any("verdict" in each for each in disagreements(found))
