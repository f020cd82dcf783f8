"""What a record says of movements, strains and waves is what the tables beside it have."""

from dataclasses import replace
from pathlib import Path

import pytest

from buckle.analysis.most import MOST
from buckle.record.outcomes import outcomes_of
from buckle.record.paths import path_disagreements
from buckle.record.quantities import record
from buckle.record.tables import wave_table
from buckle.results import BIFURCATION, LIMIT_POINT, Allowed, Event, Growth, Outcome, Status
from tests.helpers.made_run import made_case

CASE = made_case()
PATH = """kind,pressure_bar,apex_travel_mm,growth_mm,volume_change_ml,largest_plastic_strain,newton_steps,stand_drop_mm
GMNA,0,0,0,0,0,0,0
GMNA,5,0,0.1,0,0.02,3,0.05
GMNA,10,0,0.3,0,0.4,3,0.2
GMNA,12,0,0.5,0,0.5,3,0.3
GMNA,9,0,0.7,0,0.6,3,0.4
"""
FOUND = Outcome(
    "GMNA",
    Status.SOLVED,
    limit=Event(LIMIT_POINT, 1.2),
    growth=(Growth(0.8, 0.2, 0.1, 0.15, 0.3, 0.1),),
    at_capacity=Growth(1.2, 0.5, None, 0.3, 0.51, 0.2),
    allowed=(Allowed("growth", 0.3, 1.0), Allowed("stand_drop", 0.1, 0.65)),
)


def disagreements(directory: Path, *outcomes: Outcome, path: str = PATH) -> list[str]:
    if path:
        (directory / "path.csv").write_text(path)
    return list(path_disagreements(directory, CASE, outcomes))


def test_what_the_table_has_is_believed(tmp_path: Path) -> None:
    assert disagreements(tmp_path, FOUND) == []


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"limit": Event(LIMIT_POINT, 1.25)}, "limit point at [12.5 bar] is no state of path.csv"),
        ({"peak": Event("walls touch", 1.25)}, "walls touch at [12.5 bar] is no state of path.csv"),
        ({"growth": (replace(FOUND.growth[0], loaded=0.04),)}, "is not between its neighbours"),
        ({"growth": (replace(FOUND.growth[0], stand_drop=0.01),)}, "is not between its neighbours"),
        ({"growth": (replace(FOUND.growth[0], stand_drop=None),)}, "is not between its neighbours"),
        ({"growth": (replace(FOUND.growth[0], middle_strain=0.45),)}, "is not between its neighbours"),
        ({"growth": (replace(FOUND.growth[0], face_strain=0.7),)}, "is not between its neighbours"),
        ({"growth": (replace(FOUND.growth[0], permanent=0.25),)}, "more stays than there was"),
        ({"growth": (replace(FOUND.growth[0], load=1.3),)}, "is beyond path.csv"),
        ({"at_capacity": replace(FOUND.at_capacity, loaded=0.49)}, "is not between its neighbours"),
        ({"at_capacity": replace(FOUND.at_capacity, face_strain=0.01)}, "plastic strain is less than at a lower load"),
        ({"allowed": (Allowed("growth", 0.1, 1.0),)}, "the growth allowed is not reached in path.csv"),
        ({"allowed": (Allowed("stand_drop", 0.3, 0.65),)}, "the stand_drop allowed is not reached in path.csv"),
        ({"kind": "GNA"}, "path.csv: has no path of GNA"),
    ],
)
def test_what_it_has_not_is_named(change: dict[str, object], named: str, tmp_path: Path) -> None:
    (said, *_) = disagreements(tmp_path, replace(FOUND, **change))
    assert named in said


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({}, ""),
        ({"growth": (replace(FOUND.growth[0], loaded=0.4, stand_drop=0.3, face_strain=0.9),)}, ""),
        ({"growth": (replace(FOUND.growth[0], loaded=0.04),)}, "GMNA at [8 bar]: is not between its neighbours"),
        ({"allowed": (Allowed("growth", 0.6, 1.0), Allowed("stand_drop", 0.4, 0.65))}, ""),
        ({"allowed": (Allowed("growth", 0.1, 1.0),)}, "the growth allowed is not reached in path.csv"),
    ],
)
def test_of_a_set_another_shape_may_move_farther_but_none_less(change, named: str, tmp_path: Path) -> None:
    """The table is that of the shape that carries least; what moves most, or is allowed soonest, may be another's."""
    said = disagreements(tmp_path, replace(FOUND, notes=(MOST,), **change))
    assert bool(said) == bool(named)
    assert not named or named in said[0]


@pytest.mark.parametrize("path", ["kind,pressure_bar\nGMNA,1\n", PATH.replace("0.3", "none")])
def test_a_table_of_nothing_is_named(path: str, tmp_path: Path) -> None:
    assert disagreements(tmp_path, FOUND, path=path) == ["path.csv or by_wave_number.csv: is no table of this run"]


def test_what_has_no_path_asks_for_none(tmp_path: Path) -> None:
    failed, waved = Outcome("GNA", Status.FAILED, "it stalled"), Outcome("GNIA", Status.SOLVED, in_waves=True)
    assert disagreements(tmp_path, Outcome("LA", Status.SOLVED, first_yield=1.0), failed, waved, path="") == []


def test_linear_bifurcations_are_those_of_their_table(tmp_path: Path) -> None:
    waves = tuple(Event(BIFURCATION, 3.0 + 0.1 * n, n, piece="cap", radius=20.0) for n in range(4))
    found = Outcome("LBA", Status.SOLVED, critical=waves)
    assert disagreements(tmp_path, found) == ["path.csv or by_wave_number.csv: is no table of this run"]
    (tmp_path / "by_wave_number.csv").write_text(wave_table([found]))
    linear = replace(CASE, analyses=CASE.analyses.model_copy(update={"run": ("LBA",)}))
    again = outcomes_of(linear, record(CASE, [found], {"margins": []}))
    assert disagreements(tmp_path, *again) == []
    for less in (waves[:3], (*waves[:3], replace(waves[3], load=3.1)), (*waves[:3], replace(waves[3], wave_number=9))):
        assert disagreements(tmp_path, replace(found, critical=less)) == [
            "LBA.by_wave_number: is not what by_wave_number.csv has"
        ]
