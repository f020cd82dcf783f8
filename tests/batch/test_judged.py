"""Reserves of bodies that deviate: what is judged of a design is what a run of it judges. Outcomes are made up."""

from dataclasses import replace

import pytest

from buckle.analysis.setup import Extras
from buckle.batch import judged
from buckle.batch.task import Task
from buckle.results import BIFURCATION, LIMIT_POINT, Event, Outcome, Status
from tests.helpers.made_run import made_case

DIMPLE = {"shape": "dimple", "width_mm": 5.0, "depth_mm": 0.1}
MODE = {"shape": "mode", "wave_number": 3, "amplitude_mm": 0.01}


def case(deviation):
    return made_case(
        deviation=deviation,
        analyses={"run": ["GMNA", "GMNIA"], "wave_numbers": [0, 3]},
        requirements={"pressure_bar": 2.0, "onset": "flow"},
    )


def found(kind, bar, **fields):
    limit = Event(LIMIT_POINT, 0.1 * bar, error_percent=0.1)
    return Outcome(kind, Status.SOLVED, limit=limit, reached=0.1 * bar, bracketed=True, **fields)


@pytest.fixture
def solved(monkeypatch):
    """Solve a case of which the deviated shape carries so much, and the perfect one; tell which kinds were run."""

    def of(deviation, deviated, perfect, *, sure):
        ran = []

        def follow(case, kind, extras: Extras):
            ran.append(kind)
            return deviated, None

        def run(case, kind, **extras):
            ran.append(kind)
            return perfect

        monkeypatch.setattr(judged, "run_and_follow", follow)
        monkeypatch.setattr(judged, "run", run)
        return judged.solve(Task(1, "", case(deviation), sure)), ran

    return of


def test_a_deviation_in_waves_is_judged_beside_the_perfect_body_on_whose_path_they_begin(solved):
    """2.2, 2.4 and 3 bar by a demand of 2; a verdict on one of both alone is none."""
    waves = found("GMNIA", 2.4, in_waves=True)
    perfect = replace(found("GMNA", 3.0), bifurcation=Event(BIFURCATION, 0.22, 3, error_percent=0.1))
    result, ran = solved(MODE, waves, perfect, sure=False)
    assert ran == ["GMNIA", "GMNA"]
    reserves = {name: value for name, value in result.quantities.items() if name.startswith("reserve.")}
    assert reserves == pytest.approx(
        {"reserve.collapse_with_waves": 1.2, "reserve.onset_of_waves": 1.1, "reserve.axisymmetric_capacity": 1.5}
    )
    assert result.quantities["reserve_factor"] == pytest.approx(1.1)


def test_waves_that_could_not_be_followed_leave_no_reserve(solved):
    stalled = Outcome("GMNIA", Status.FAILED, "they stalled", in_waves=True)
    result, _ = solved(MODE, stalled, found("GMNA", 3.0), sure=False)
    assert "reserve_factor" not in result.quantities
    assert "they stalled" in result.reason


def test_that_the_perfect_shape_carries_too_little_is_a_doubt_of_an_answer(solved):
    """Nothing of it is asked where designs are compared, which takes half the time."""
    result, ran = solved(DIMPLE, found("GMNIA", 2.4), found("GMNA", 1.9), sure=True)
    assert ran == ["GMNIA", "GMNA"]
    assert "the deviation stiffens the body" in result.quantities["doubts"]
    assert result.quantities["reserve_factor"] == pytest.approx(1.2)
    assert solved(DIMPLE, found("GMNIA", 2.4), found("GMNA", 1.9), sure=False)[1] == ["GMNIA"]
