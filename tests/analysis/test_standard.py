"""All modes of LBA near the lowest as deviations, each by itself: the least is told, and what was left out."""

from typing import Any

import pytest

from buckle.analysis import run, standard
from buckle.case import Case, case_from_dict
from buckle.case.deviates import ModesDeviation
from buckle.results import LIMIT_POINT, Event, Outcome, Status
from tests.helpers import bodies

CAP = {"family": "spherical_cap", "radius_mm": 400.0, "half_angle_deg": 12.0, "thickness_mm": 1.0}
NEAR = {"shape": "modes", "within_percent": 3.0, "per_wave_number": 1}


def cap(deviation: dict[str, Any], edge: str = "clamped", waves: tuple[int, int] = (0, 6)) -> Case:
    made = bodies.case(CAP, run="GNA", edges={"outer_edge": edge}, waves=waves, metal={"yields": False}).tables
    analyses = {"run": ["GNA", "GNIA"], "wave_numbers": list(waves)}
    return case_from_dict({**made, "analyses": analyses, "deviation": deviation, "numerics": {"mesh_density": 0.5}})


def found(case: Case) -> Outcome:
    return run(case, "GNIA", estimate_error=False, pictures=False)


def test_what_is_asked_without_a_measurement() -> None:
    """NASA/SP-8007-2020: within 20 % of the lowest, half the wall."""
    asked = cap({"shape": "modes"}).deviation
    assert isinstance(asked, ModesDeviation)
    assert (asked.within_percent, asked.rms_walls) == (20.0, 0.5)


def test_the_least_of_the_modes_near_the_lowest() -> None:
    """LBA of n = 0, 1, 2 lies within 3 %: two senses of n = 0, waves of n = 2, and n = 1 is left out."""
    case = cap(NEAR, waves=(0, 3))
    outcome, lba = found(case), run(case, "LBA", estimate_error=False).critical
    near = [each.wave_number for each in lba if each.load < 1.03 * min(one.load for one in lba)]
    assert near == [0, 1, 2]
    assert "the least of 3 deviated shapes" in outcome.notes[0]
    notes = " ".join(outcome.notes)
    assert "modes of n = 1 within 3 % of the lowest are left out (1)" in notes
    assert "modes combined are left out: not conservative" in notes
    single = {"shape": "mode", "analysis": "LBA", "wave_number": 2, "amplitude_mm": 0.5}
    assert outcome.capacity.load < found(cap(single, waves=(0, 3))).capacity.load


def members(monkeypatch: pytest.MonkeyPatch, loads: dict[int, float | None]) -> list[tuple[int, int]]:
    """Let modes in waves carry what is given by wave number, None failing; return what was followed."""
    asked: list[tuple[int, int]] = []

    def follow(run: Any, n: int, index: int, rms: float, extras: Any) -> Outcome:
        asked.append((n, index))
        load = loads[n]
        if load is None:
            return Outcome("GNIA", Status.FAILED, "it stalled", in_waves=True)
        return Outcome("GNIA", Status.SOLVED, limit=Event(LIMIT_POINT, load), reached=load, in_waves=True)

    monkeypatch.setattr(standard, "_in_waves", follow)
    return asked


def test_one_that_stalls_leaves_no_answer(monkeypatch: pytest.MonkeyPatch) -> None:
    members(monkeypatch, {2: 0.4, 3: None, 4: 0.3})
    outcome = found(cap({"shape": "modes", "per_wave_number": 1}, waves=(2, 4)))
    assert outcome.status is Status.FAILED
    assert outcome.capacity is None
    assert outcome.reason.startswith("mode 1 of n = 3, LBA")
    assert outcome.reason.endswith("it stalled")


def test_higher_modes_of_a_wave_number_are_followed_as_asked_and_the_rest_counted(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Within 100 % a cap has several modes of a wave number."""
    many = {"shape": "modes", "within_percent": 100.0}
    asked = members(monkeypatch, dict.fromkeys(range(2, 5), 0.4))
    all_of_them = found(cap({**many, "per_wave_number": 20}, waves=(2, 4)))
    followed = set(asked)
    assert {(2, 0), (2, 1), (3, 0), (3, 1)} <= followed
    assert "beyond the lowest" not in " ".join(all_of_them.notes)
    asked.clear()
    two = found(cap({**many, "per_wave_number": 1}, waves=(2, 4)))
    assert {index for _, index in asked} == {0}
    assert f"modes of LBA within 100 % of the lowest are left out ({len(followed) - 3})" in " ".join(two.notes)


def test_wave_numbers_beside_the_range_are_said(monkeypatch: pytest.MonkeyPatch) -> None:
    members(monkeypatch, {2: 0.4})
    outcome = found(cap(NEAR, waves=(2, 2)))
    assert "n = 1, 3" in " ".join(outcome.notes)


def test_a_body_whose_edge_is_free_is_not_followed() -> None:
    """Waves are not followed where an open end moves: no answer, whatever the others carry."""
    tube = {"family": "cylinder", "radius_mm": 100.0, "length_mm": 100.0, "thickness_mm": 1.0}
    edges = {"start_edge": "pinned", "outer_edge": "diaphragm"}
    made = bodies.case(tube, run="GNA", edges=edges, waves=(8, 8), metal={"yields": False}, side="inside").tables
    loads = {"increases": "axial_force", "axial_force_N": -1.0, "pressure_bar": 0.01}
    case = case_from_dict(
        {
            **made,
            "loads": {**made["loads"], **loads},
            "analyses": {"run": ["GNA", "GNIA"], "wave_numbers": [8, 8]},
            "deviation": {"shape": "modes"},
            "numerics": {"mesh_density": 0.5},
        }
    )
    outcome = found(case)
    assert outcome.status is Status.FAILED
    assert "waves are not followed where" in outcome.reason


def test_without_a_mode_there_is_no_answer() -> None:
    """A cylinder that is pulled has none, and all those near the lowest may be of n = 1."""
    tube = {"family": "cylinder", "radius_mm": 100.0, "length_mm": 50.0, "thickness_mm": 1.0}
    made = bodies.case(
        tube,
        run="GNA",
        edges={"start_edge": "pinned", "outer_edge": "diaphragm"},
        metal={"yields": False},
        loads={"increases": "axial_force", "axial_force_N": 1.0},
    ).tables
    analyses = {"run": ["GNA", "GNIA"], "wave_numbers": [2, 4]}
    pulled = found(case_from_dict({**made, "analyses": analyses, "deviation": {"shape": "modes"}}))
    tilted = found(cap(NEAR, waves=(1, 1)))
    assert [pulled.status, tilted.status] == [Status.FAILED] * 2
    assert "LBA has no mode from n = 2 to 4" in pulled.reason
    assert "n = 1" in tilted.reason
