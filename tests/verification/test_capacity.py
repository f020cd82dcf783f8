"""The capacity: continuous in what is drawn, the same at every level, and ended by what the case allows."""

from functools import cache
from itertools import pairwise
from typing import Any

import pytest

import buckle
from buckle.case import Case, case_from_dict, replace_keys
from buckle.errors import CaseError
from buckle.results import GROWTH_CEILING, LIMIT_POINT, STRAIN_CEILING, WALLS_TOUCH, Outcome, Status
from scripts.study.capacity.bodies import SERIES_BASE, levels, series, sweeps
from scripts.study.capacity.runs import at_levels, swept
from scripts.study.capacity.table import PAGE, falls, jumps, lines, measured, read_table
from tests.helpers.bodies import IDEAL, case

QUICK = {"estimate_error": False, "lower_bracket": False, "pictures": False}


def changed(**requirements: float) -> Case:
    return case_from_dict(replace_keys(SERIES_BASE, {"requirements": requirements}))


@cache
def of_the_series() -> Outcome:
    """The base of the series as it stands, which ends where its ceiling of its own is."""
    return buckle.run(case_from_dict(SERIES_BASE), "GMNA", estimate_error=False)


def groove(half_gap: float, leg: float, thickness: float) -> Case:
    """A plate with a groove around it, two tubes joined by half a ring, that the pressure closes."""
    shape: dict[str, Any] = {"family": "meridian", "start_mm": [0.0, 0.0], "heading_deg": 0.0, "inside": "right"}
    pieces = [
        {"line_mm": 20.0, "name": "plate"},
        {"arc_mm": 0.5, "turn_deg": -90.0},
        {"line_mm": leg, "name": "inner leg"},
        {"arc_mm": half_gap, "turn_deg": 180.0},
        {"line_mm": leg + 3.0, "name": "outer leg"},
    ]
    return case(
        shape | {"thickness_mm": thickness, "pieces": pieces},
        run="GMNA",
        side="inside",
        edges={"outer_edge": "clamped"},
        waves=(0, 0),
        metal={"yield_stress_MPa": 300.0, "hardening": {"law": "linear", "modulus_MPa": 500.0}},
    )


def test_a_base_stops_at_half_its_depth() -> None:
    outcome = of_the_series()
    assert outcome.capacity.kind == GROWTH_CEILING
    assert any("the apex has moved by [5.4 mm], the stand by" in note for note in outcome.notes)


@pytest.mark.parametrize("ceiling", [1.0, 3.0])
def test_a_growth_ceiling_is_where_the_path_has_grown_so_much(ceiling: float) -> None:
    """0.1 %: between two states of the path, which the picture's table interpolates by a straight line."""
    free = of_the_series()
    after = int((free.path.growth >= ceiling).argmax())
    low, high = free.path.pressure[after - 1 : after + 1]
    share = (ceiling - free.path.growth[after - 1]) / (free.path.growth[after] - free.path.growth[after - 1])
    found = buckle.run(changed(growth_ceiling_mm=ceiling), "GMNA", **QUICK).capacity
    assert found.kind == GROWTH_CEILING
    assert found.pressure == pytest.approx(low + share * (high - low), rel=1e-3)


def test_a_stand_drop_ceiling_comes_first_where_it_is_lower() -> None:
    far = buckle.run(changed(stand_drop_ceiling_mm=2.0), "GMNA", **QUICK)
    near = buckle.run(changed(stand_drop_ceiling_mm=1.0), "GMNA", **QUICK)
    assert near.capacity.kind == far.capacity.kind == GROWTH_CEILING
    assert near.capacity.pressure < far.capacity.pressure
    assert any("the stand by [1 mm]" in note for note in near.notes)


def test_a_higher_ceiling_never_lowers_the_capacity() -> None:
    found = [
        buckle.run(changed(growth_ceiling_mm=ceiling), "GMNA", **QUICK).capacity for ceiling in (2.0, 4.0, 6.0, 9.0)
    ]
    pressures = [event.pressure for event in found]
    assert pressures == sorted(pressures)


def test_a_strain_ceiling_is_met_on_the_way() -> None:
    outcome = buckle.run(changed(strain_ceiling=0.1), "GMNA", **QUICK)
    assert outcome.capacity.kind == STRAIN_CEILING
    assert any("plastic strain has reached 10%" in note for note in outcome.notes)


def test_walls_touch_where_the_legs_of_a_groove_meet() -> None:
    """10 %: two long tubes under the pressure between them close by p (r_1^2 + r_2^2) / (E t); their ends hold them."""
    half_gap, thickness, inner = 0.07, 0.1, 20.5
    outcome = buckle.run(groove(half_gap, 8.0, thickness), "GMNA", pictures=False)
    assert outcome.capacity.kind == WALLS_TOUCH
    assert outcome.capacity.error_percent < 1.0
    assert "inner leg on outer leg" in " ".join(outcome.notes)
    closing = 2.0 * half_gap - thickness
    by_hand = closing * 69000.0 * thickness / (inner**2 + (inner + 2.0 * half_gap) ** 2)
    assert outcome.capacity.pressure == pytest.approx(by_hand, rel=0.1)


def test_a_wider_groove_does_not_touch() -> None:
    outcome = buckle.run(groove(0.5, 8.0, 0.1), "GMNA", **QUICK)
    assert outcome.status is Status.SOLVED
    assert outcome.capacity.kind != WALLS_TOUCH


def test_the_first_limit_is_kept_beside_a_higher_capacity() -> None:
    """A body with a limit that is passed: told with its depth, and not the capacity."""
    gauges = (0.270, 0.280, 0.285, 0.290)
    cases = [case_from_dict(replace_keys(SERIES_BASE, {"shape.gauge_mm": gauge})) for gauge in gauges]
    outcomes = [buckle.run(each, "GMNA", **QUICK) for each in cases]
    for outcome in outcomes:
        passed = [note for note in outcome.notes if "is passed" in note]
        assert bool(passed) == (outcome.limit is not None and outcome.limit.pressure < outcome.capacity.pressure)
        assert outcome.capacity.kind in (GROWTH_CEILING, LIMIT_POINT)


@pytest.mark.parametrize("key", ["stand_drop_ceiling_mm", "countersink_rise_ceiling_mm"])
def test_a_ceiling_on_what_a_body_has_not_is_refused(key: str) -> None:
    plate = {"family": "circular_plate", "radius_mm": 25.0, "thickness_mm": 0.25}
    metal = {"yield_stress_MPa": 262.0, "hardening": IDEAL}
    edges = {"outer_edge": "clamped"}
    with pytest.raises(CaseError, match=key):
        case(plate, run="GMNA", side="inside", edges=edges, metal=metal, requirements={key: 1.0})


def neighbours_are_near(every: int) -> None:
    """Some of both series, computed again: no jump, no fall."""
    for line in series():
        rows = swept(type(line)(line.body, line.case, line.key, line.values[::every]))
        known = [row.pressure_bar for row in rows]
        assert all(row.event == GROWTH_CEILING for row in rows)
        slope = (known[-1] - known[0]) / (len(known) - 1)
        for a, b in pairwise(known):
            assert b - a == pytest.approx(slope, abs=2e-3 * known[0])


def test_neighbours_in_the_series_are_near() -> None:
    neighbours_are_near(every=60)


@pytest.mark.slow
def test_more_neighbours_in_the_series_are_near() -> None:
    neighbours_are_near(every=12)


def test_the_stored_study_holds_what_its_page_claims() -> None:
    tables = {"sweeps": read_table("sweeps"), "levels": read_table("levels")}
    assert measured(tables) in PAGE.read_text(encoding="utf-8")
    for body, key, line in lines(tables["sweeps"]):
        for a, b, change in jumps(line):
            assert a.event != b.event, f"{body}, {key} {a.value} to {b.value}: {change:+.2f} %"
        if key == "shape.gauge_mm":
            assert not falls(line), f"{body}: {falls(line)}"
    rows = [row for row in tables["levels"] if row.pressure_bar is not None]
    assert len(rows) == len(tables["levels"]) == 600
    for name in rows[0].changes:
        above, twice = (sum(abs(row.changes[name]) > times * row.error_percent for row in rows) for times in (1.0, 2.0))
        assert above <= 0.05 * len(rows), name
        assert twice <= 0.01 * len(rows), name


@pytest.mark.slow
def test_stored_capacities_are_those_of_the_engine() -> None:
    """0.2 %: the tables are written at most once a release, and paths may be stepped differently meanwhile."""
    stored = {(row.body, row.key, row.value): row for row in read_table("sweeps")}
    for line in list(sweeps())[::9]:
        for row in swept(type(line)(line.body, line.case, line.key, line.values[::5])):
            assert row.pressure_bar == pytest.approx(stored[row.body, row.key, row.value].pressure_bar, rel=2e-3)
    known = {row.body: row for row in read_table("levels")}
    for body in list(levels(300))[::75]:
        row = at_levels(body)
        assert row.pressure_bar == pytest.approx(known[body.name].pressure_bar, rel=2e-3)
        assert max(abs(change) for change in row.changes.values()) <= max(
            2.0 * row.error_percent, max(abs(change) for change in known[body.name].changes.values()) + 0.05
        )
