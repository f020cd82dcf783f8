"""How waves are watched for along a path: in turns, placed across jumps and gaps, told from a neck."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from buckle.analysis import run
from buckle.analysis.setup import model_of, run_of
from buckle.batch.task import Task
from buckle.batch.worker import solve
from buckle.case import Case
from buckle.errors import CaseError, SolveError
from buckle.results import Outcome, Status
from buckle.shell.model import Load
from buckle.solve.bifurcation import LOCATED, locate_bifurcation
from buckle.solve.stability import Watch, Watched, find_bifurcation
from buckle.solve.trace import trace_path
from buckle.study.reader import read_study
from scripts.study.watch.runs import ends, watched
from tests.helpers.bodies import case
from tests.helpers.paths import ROOT

STUDIES = sorted((ROOT / "cases" / "studies").glob("population_*.toml"))
THICK_BASE = {
    "family": "domed_base",
    "stand_radius_mm": 23.1183,
    "nose_inner_radius_mm": 1.9934,
    "nose_outer_radius_mm": 1.0085,
    "inner_leg_angle_deg": -38.5486,
    "undercut_length_mm": 0.3656,
    "reform_radius_mm": 0.8046,
    "upper_leg_angle_deg": 4.0503,
    "dome_corner_radius_mm": 2.1953,
    "dome_radius_mm": 45.2845,
    "dome_depth_mm": 11.4556,
    "outer_leg_angle_deg": 29.3187,
    "outer_leg_length_mm": 1.5756,
    "chime_radius_mm": 2.4366,
    "chime_angle_deg": 55.111,
    "heel_radius_mm": 4.9055,
    "wall_radius_mm": 32.532,
    "wall_height_mm": 25.0,
    "gauge_mm": 0.2653,
    "wall_gauge_mm": 0.1061,
}
SHALLOW_END = {
    "family": "recessed_end",
    "countersink_diameter_mm": 47.988,
    "countersink_radius_mm": 0.4858,
    "panel_radius_mm": 0.4444,
    "panel_depth_mm": 1.7252,
    "chuck_wall_angle_deg": 11.361,
    "chuck_wall_length_mm": 1.5906,
    "chuck_bend_radius_mm": 1.1012,
    "upper_chuck_wall_angle_deg": 27.954,
    "upper_chuck_wall_length_mm": 2.1678,
    "gauge_mm": 0.2216,
}


def body(shape: dict[str, object], yield_stress: float, step: float = 1.0) -> Case:
    """Metal that hardens by 35 MPa, for GMNA with n = 1 to 30."""
    return case(
        shape,
        run="GMNA",
        nu=0.33,
        side="inside",
        edges={"outer_edge": "clamped"},
        waves=(1, 30),
        metal={"yield_stress_MPa": yield_stress, "hardening": {"law": "voce", "increment_MPa": 35, "rate": 40}},
        requirements={"pressure_bar": 3.0},
        numerics={"step": step},
    )


def verdict(shape: dict[str, object], yield_stress: float, step: float = 1.0, **more: bool) -> Outcome:
    return run(body(shape, yield_stress, step), "GMNA", estimate_error=False, lower_bracket=False, **more)


def test_every_wave_number_has_its_turn() -> None:
    watch = Watch(range(1, 31))
    looked_at = [watch.at_turn(turn) for turn in range(7, 7 + watch.turns)]
    assert sorted(n for some in looked_at for n in some) == list(range(1, 31))


def test_waves_that_come_and_go_are_found() -> None:
    """n = 16 to 21 are unstable at 5.24 to 5.5 bar, stable again beyond, and n = 1 just below the limit at 5.63."""
    outcome = verdict(SHALLOW_END, 266.33)
    assert outcome.bifurcation.wave_number in (17, 18, 19)
    assert outcome.bifurcation.pressure < 0.95 * outcome.limit.pressure


def test_strain_does_not_gather_where_it_did_without_a_least_hinge() -> None:
    """A thick base whose stand is strained far: without it the limit moved by 0.36 % with half the step; 0.1 %."""
    outcome, shorter = verdict(THICK_BASE, 364.7336), verdict(THICK_BASE, 364.7336, step=0.5)
    assert outcome.bifurcation is None
    assert outcome.notes == ()
    assert outcome.limit.pressure == pytest.approx(shorter.limit.pressure, rel=1e-3)


@pytest.fixture
def gathering(monkeypatch) -> None:
    """Strain that gathers, as in a neck, from half the way on: no body of the populations does so."""
    monkeypatch.setattr(
        "buckle.solve.stability._axisymmetric", lambda model, points: (points[len(points) // 2].load_factor, None)
    )


@pytest.mark.usefixtures("gathering")
def test_a_neck_is_said_in_a_note() -> None:
    assert any("gather in one place" in note for note in verdict(THICK_BASE, 364.7336).notes)


@pytest.mark.usefixtures("gathering")
def test_the_row_of_a_batch_tells_the_neck_too() -> None:
    row = solve(Task(1, "key", body(THICK_BASE, 364.7336), estimate_error=False))
    assert "gather in one place" in row.quantities["GMNA.notes"]


def test_numbers_are_the_same_without_pictures() -> None:
    whole, numbers = verdict(SHALLOW_END, 266.33), verdict(SHALLOW_END, 266.33, pictures=False)
    for name in ("limit", "bifurcation", "growth", "reached", "balance", "yielded_at"):
        assert getattr(whole, name) == getattr(numbers, name), name
    assert whole.path is not None
    assert whole.modes
    assert (numbers.path, numbers.modes, numbers.sections, numbers.plastic_strain) == (None, (), (), None)


def test_a_path_that_fails_is_tried_with_shorter_steps(monkeypatch) -> None:
    attempts = []

    def trace(model, settings, *more):
        attempts.append(settings.strain_step)
        whole = trace_path(model, settings, *more)
        if len(attempts) == 2:
            return whole
        lost = replace(whole, points=whole.points[:5], limits=(), stopped=None)
        return replace(lost, end=SolveError("lost", "shorter steps"))

    monkeypatch.setattr("buckle.analysis.nonlinear.trace_path", trace)
    monkeypatch.setattr("buckle.analysis.onset.find_bifurcation", lambda *given: Watched())
    outcome = verdict(SHALLOW_END, 266.33, pictures=False)
    assert attempts[1] == 0.5 * attempts[0]
    assert outcome.status is Status.SOLVED
    assert "steps 0.5 times as long as usual: with those, lost" in outcome.notes


@pytest.mark.slow
@pytest.mark.parametrize("study", STUDIES, ids=lambda path: path.stem)
def test_watching_in_turns_finds_what_watching_everything_does(study: Path) -> None:
    made, compared = read_study(study), 0
    for number in range(1, made.count + 1):
        try:
            body = made.case(made.design(number))
        except CaseError:
            continue
        gmna = run_of(body, "GMNA")
        trace = trace_path(model_of(gmna), gmna.settings)
        in_turns = Watch(range(1, 31), settings=gmna.settings)
        found = [
            find_bifurcation(trace.model, trace.rising, watch).bifurcation
            for watch in (in_turns, replace(in_turns, spacing=0.0, turns=1))
        ]
        onsets = [each and (each.wave_number, each.load_factor) for each in found]
        assert onsets[0] == onsets[1], number
        compared += 1
        if compared == 16:
            break
    assert compared == 16


@dataclass
class MadeStep:
    """A step of one unit and 1 MPa from 10 MPa on, whose eigenvalue is a made function of the distance."""

    value: Callable[[float], float]
    gap: tuple[float, float] = (2.0, 2.0)
    length: float = 1.0
    slope: float = 1.0
    asked: int = 0
    model = SimpleNamespace(load=Load())  # of a pressure, for the words of what could not be placed

    @property
    def stable(self) -> SimpleNamespace:
        return SimpleNamespace(load_factor=10.0)

    @property
    def unstable(self) -> SimpleNamespace:
        return SimpleNamespace(load_factor=11.0)

    def state(self, distance: float) -> SimpleNamespace | None:
        self.asked += 1
        return None if self.gap[0] < distance < self.gap[1] else SimpleNamespace(load_factor=10.0 + distance)

    def pairs(self, point, waves, start=None):
        return {n: (self.value(point.load_factor - 10.0), np.zeros(1)) for n in waves}


@pytest.mark.parametrize(
    ("value", "where", "turns"),
    [
        (lambda x: 0.3 - x, 0.3, 6),
        (lambda x: 0.3 - x**3, 0.3 ** (1 / 3), 10),
        (lambda x: 1.0 if x < 0.7 else -0.01, 0.7, 25),
    ],
    ids=["straight", "bent", "jump"],
)
def test_a_bifurcation_is_located_in_few_turns(value, where: float, turns: int) -> None:
    step = MadeStep(value)
    found = locate_bifurcation(step, [4])
    assert found.load_factor == pytest.approx(10.0 + where, rel=1.1 * LOCATED)
    assert value(found.load_factor - 10.0) <= 0.0
    assert step.asked <= turns


@pytest.mark.parametrize(
    ("value", "gap"),
    [(lambda x: 1.0 if x < 0.7 else -1.0, (0.699, 0.704)), (lambda x: 0.7 - x, (0.6995, 0.8))],
    ids=["narrow", "vanishing"],
)
def test_a_bifurcation_in_a_gap_is_found_from_the_stable_side(value, gap: tuple[float, float]) -> None:
    found = locate_bifurcation(MadeStep(value, gap), [4])
    assert found.load_factor == pytest.approx(10.0 + gap[0], rel=2e-4)
    assert value(found.load_factor - 10.0) > 0.0


def test_a_wide_gap_in_the_path_is_no_bifurcation() -> None:
    with pytest.raises(SolveError, match="could not be placed"):
        locate_bifurcation(MadeStep(lambda x: 1.0 - 0.1 * x if x < 0.7 else -1.0, (0.4, 0.8)), [4])


def sphere(side: str, radius: float, yield_stress: float, hardening: dict[str, object]) -> Case:
    """A complete sphere of 1 mm of steel."""
    return case(
        {"family": "complete_sphere", "radius_mm": radius, "thickness_mm": 1.0},
        run="GMNA",
        side=side,
        waves=(0, 40),
        metal={"youngs_modulus_MPa": 205e3, "yield_stress_MPa": yield_stress, "hardening": hardening},
    )


def test_a_sphere_that_yields_before_it_buckles_has_an_axisymmetric_branch() -> None:
    """Its perfect path rises for ever; it carries what it yields at, 2 t/R times the yield stress, or a little more.

    Of metal with E_t = 2.44 GPa; by Shanley's argument the branch is between the tangent-modulus and the elastic load.
    """
    outcome = run(
        sphere("outside", 282.85, 359.75, {"law": "linear", "modulus_MPa": 2440.98}), "GMNA", lower_bracket=False
    )
    assert outcome.status is Status.SOLVED
    assert outcome.bifurcation is not None
    assert 0.98 <= outcome.bifurcation.pressure / (2.0 * 359.75 / 282.85) <= 1.02


def test_a_sphere_under_inside_pressure_has_no_branch() -> None:
    outcome = run(sphere("inside", 143.54, 285.07, {"law": "voce", "increment_MPa": 78.8, "rate": 44.8}), "GMNA")
    assert outcome.bifurcation is None


@pytest.mark.parametrize("step", [2.0, 1.0, 0.5])
@pytest.mark.parametrize("mesh", [1.0, 2.0])
def test_a_branch_just_before_a_limit_is_found_with_any_step(mesh: float, step: float) -> None:
    """An ellipsoidal head whose elastic path has an axisymmetric branch just before its limit; all levels tell 0.11504.

    With steps that jumped over it both were missed; 0.05 %.
    """
    head = {
        "family": "ellipsoidal_head",
        "diameter_mm": 643.81401,
        "aspect_ratio": 2.721,
        "cylinder_length_mm": 95.2258,
        "thickness_mm": 1.0,
    }
    numerics = {"mesh_density": mesh, "step": step}
    body = case(head, run="GNA", nu=0.33, edges={"outer_edge": "clamped"}, waves=(0, 40), numerics=numerics)
    assert run(body, "GNA", estimate_error=False).governing.pressure == pytest.approx(0.11504, rel=5e-4)


def test_a_range_cut_from_below_is_said() -> None:
    """A cylinder of R/t = 100, L/R = 2 under outside pressure has its least pressure in n = 6: 8 to 40 is told so."""
    shape = {"family": "cylinder", "radius_mm": 100.0, "length_mm": 200.0, "thickness_mm": 1.0}
    edges = {"start_edge": "diaphragm", "outer_edge": "diaphragm"}
    found = {low: run(case(shape, run="LBA", edges=edges, waves=(low, 40)), "LBA") for low in (0, 8)}
    assert found[0].governing.wave_number == 6
    assert found[0].notes == ()
    assert found[8].governing.pressure > 1.2 * found[0].governing.pressure
    assert any("outside the range examined have begun by then, n = " in note for note in found[8].notes)


@pytest.mark.slow
def test_every_state_in_every_wave_shows_none_that_was_missed() -> None:
    """Sixty of the ends of `scripts/study/watch`, which looks at a thousand."""
    rows = [watched(end) for end in ends(60)]
    assert sum(row.state is not None for row in rows) > 20
    assert [row.name for row in rows if row.missed] == []


@pytest.mark.parametrize(("high", "outside"), [(90, False), (40, True), (20, True)])
def test_waves_beyond_the_usual_range_are_said(high: int, outside: bool) -> None:
    """A torispherical head with D/t = 1000 under inside pressure waves from 1.51 bar on, n = 64 in its knuckle."""
    head = {
        "family": "torispherical_head",
        "diameter_mm": 1000.0,
        "crown_radius_mm": 1000.0,
        "knuckle_radius_mm": 60.0,
        "cylinder_length_mm": 150.0,
        "thickness_mm": 1.0,
    }
    metal = {"youngs_modulus_MPa": 200e3, "yield_stress_MPa": 250.0, "hardening": {"law": "none"}}
    body = case(head, run="GMNA", side="inside", edges={"outer_edge": "clamped"}, waves=(0, high), metal=metal)
    found = run(body, "GMNA", estimate_error=False, lower_bracket=False, pictures=False)
    assert bool(found.outside) is outside
    if not outside:
        assert 55 <= found.bifurcation.wave_number <= 75
