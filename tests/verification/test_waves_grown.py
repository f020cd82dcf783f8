"""Two ends in which waves begin below the axisymmetric limit: one collapses in them, in the other they saturate."""

import numpy as np
import pytest

from buckle.analysis import run
from buckle.analysis.setup import Level, Run, model_of, run_of
from buckle.analysis.together import waves_together
from buckle.analysis.waves import Seed, WaveNumerics, linear_seed, seed_of, waves_from
from buckle.case import case_from_dict, read_case
from buckle.results import Status
from buckle.shell.model import Model
from buckle.solve.stability import Watch, find_bifurcation
from buckle.solve.trace import trace_path
from buckle.waves.body import Array, waved_together
from buckle.waves.path import follow_waved
from tests.helpers.paths import ROOT

WAVES = 18


def seed(name: str) -> Seed:
    return seed_of(run_at(name, Level(1.0, 8)), WAVES)


def run_at(name: str, level: Level) -> Run:
    return run_of(read_case(ROOT / f"cases/benchmarks/end/{name}-gmna.toml"), "GMNA").at(level)


@pytest.fixture(scope="module")
def collapsing() -> Seed:
    return seed("e2")


@pytest.mark.slow
@pytest.mark.study
@pytest.mark.parametrize(("deviation", "reference"), [(0.002, 6.9), (0.03, 6.5)])
def test_an_end_collapses_in_waves(collapsing: Seed, deviation: float, reference: float) -> None:
    """Three-dimensional quadratic solids with the same deviations peak at 6.9 and 6.5 bar; 1.3 %.

    Computed for this project, not reproducible from this repository: told to a tenth of a bar, 0.75 %; the shell's
    onset is 0.5 % above that of solids of revolution.
    """
    path = waves_from(collapsing, deviation)
    assert 10.0 * path.peak == pytest.approx(reference, rel=0.013)
    assert path.saturates in (False, None)
    assert np.all(np.diff(path.waves) > 0.0)


@pytest.mark.slow
def test_in_another_waves_saturate() -> None:
    """Solids carry 9.1 to 9.2 bar whatever the deviation (computed as above), waves at about 0.1 mm; limit 9.20 bar."""
    other = seed("e3")
    assert 10.0 * other.onset == pytest.approx(7.17, rel=0.015)
    path = waves_from(other, 0.002)
    assert 9.05 < 10.0 * path.peak < 9.25
    assert path.saturates
    assert path.peak_waves == pytest.approx(0.12, abs=0.03)


@pytest.mark.slow
@pytest.mark.study
def test_with_a_deviation_waves_are_seen_long_before_the_onset_by_flow_theory(collapsing: Seed) -> None:
    """Flow theory itself, with 0.002 mm, has waves of a tenth of the wall between the onsets by both theories."""
    path = waves_from(collapsing, 0.002, WaveNumerics(count=2))
    early = find_deformation_onset(collapsing)
    assert early < path.visible < collapsing.onset
    at_early = float(np.interp(early, path.load[: np.argmax(path.load)], path.waves[: np.argmax(path.load)]))
    assert at_early > 3.0 * 0.002


def find_deformation_onset(of: Seed) -> float:
    trace = trace_path(of.model, of.run.settings)
    found = find_bifurcation(of.model, trace.rising, Watch([WAVES], theory="deformation", beside=False))
    return found.bifurcation.load_factor


@pytest.mark.slow
@pytest.mark.study
def test_the_mode_of_lba_takes_more_off_an_end_than_that_of_its_path(collapsing: Seed) -> None:
    """It is largest in the chuck wall; 0.03 mm of it leave some 4 % less than above, whose solids are met to 1.3 %."""
    seed = linear_seed(collapsing.run, WAVES)
    elements = seed.model.shell.elements
    assert "chuck wall" in elements.mesh.meridian.piece_at(float(elements.s[seed.at_point])).name
    assert 10.0 * waves_from(seed, 0.03).peak < 6.5 * (1.0 - 0.013)


@pytest.mark.slow
@pytest.mark.study
def test_all_modes_of_an_end_near_the_lowest() -> None:
    """E2: n = 18 alone lies within 0.1 % of the lowest; half a wall in the mean is some 0.4 mm where the mode is."""
    tables = read_case(ROOT / "cases/benchmarks/end/e2-gmna.toml").tables
    deviation = {"shape": "modes", "within_percent": 0.1}
    analyses = {**tables["analyses"], "run": ["GMNA", "GMNIA"], "wave_numbers": [16, 19]}
    numerics = {"mesh_density": 0.7, "layers": 8}
    own = {key: value for key, value in tables.items() if key != "expect"}
    case = case_from_dict({**own, "analyses": analyses, "deviation": deviation, "numerics": numerics})
    found = run(case, "GMNIA", estimate_error=False, pictures=False)
    assert found.status is Status.SOLVED
    (path,) = found.waves
    assert path.wave_number == WAVES
    assert path.deviation == pytest.approx(0.41, abs=0.02)
    assert found.limit.load < 0.627  # [MPa] what it carries from 0.03 mm in that mode
    assert "the one deviated shape of its set" in found.notes[0]


@pytest.mark.slow
@pytest.mark.study
def test_waves_beside_the_first_hardly_move_the_highest_pressure() -> None:
    """E2, 0.01 mm each in n = 9 and 27 beside n = 18, in both senses: harmonics of 9 up to 36, which 18 alone shares.

    Computed here with harmonics up to 54 and a finer mesh: 0.29 % and 0.02 % more. It bounds what one family leaves out
    on this end by half a per cent; nothing is known of others.
    """
    coarse = run_at("e2", Level(0.7, 6))
    trace = trace_path(model_of(coarse), coarse.settings)
    modes = {n: seed_of(coarse, n, trace).mode for n in (9, WAVES, 27)}
    alone = highest(trace.model, WAVES, {WAVES: 0.01 * modes[WAVES]}, 2)
    for sense in (1.0, -1.0):
        deviation = {n: 0.01 * mode for n, mode in modes.items()} | {27: 0.01 * sense * modes[27]}
        assert highest(trace.model, 9, deviation, 4) == pytest.approx(alone, rel=5e-3)


@pytest.mark.slow
@pytest.mark.study
@pytest.mark.parametrize("other", [15, 21])
def test_two_wave_numbers_take_off_less_than_one_of_the_same_total(other: int) -> None:
    """E2, 0.01 mm in n = 18, or half of it there and half in n = 15 or 21: 1.9 and 2.0 % more, in the same harmonics.

    Those alone carry what the family of 18 does: 0.5 %, of which three harmonics instead of two are most. Computed
    here; 0.01 mm in each carry 0.8 to 1.0 % more too. Bounded by half a per cent below, as the text has it.
    """
    coarse = run_at("e2", Level(0.7, 6))
    trace = trace_path(model_of(coarse), coarse.settings)
    first, second = (seed_of(coarse, n, trace) for n in (WAVES, other))
    alone = waves_together([first], [0.01], among=[other])
    assert alone.peak == pytest.approx(waves_from(first, 0.01).peak, rel=5e-3)
    both = waves_together([first, second], [0.005, 0.005])
    assert 1.01 < both.peak / alone.peak < 1.03
    assert waves_together([first, second], [0.01, 0.01]).peak > 0.995 * alone.peak


def highest(model: Model, base: int, deviation: dict[int, Array], count: int) -> float:
    """Highest load from deviations in several multiples of a wave number, `count` of which are followed."""
    body = waved_together(
        model, base, tuple(range(1, count + 1)), {n // base: mode for n, mode in deviation.items()}, 3 * count
    )
    loads: list[float] = []
    for point in follow_waved(body):
        loads.append(point.load_factor)
        if loads[-1] < 0.99 * max(loads):
            break
    return max(loads)
