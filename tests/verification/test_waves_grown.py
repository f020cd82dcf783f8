"""Two ends in which waves begin below the axisymmetric limit: one collapses in them, in the other they saturate."""

import numpy as np
import pytest

from buckle.analysis.setup import Level, run_of
from buckle.analysis.waves import Seed, WaveNumerics, seed_of, waves_from
from buckle.case import read_case
from buckle.solve.stability import Watch, find_bifurcation
from buckle.solve.trace import trace_path
from tests.helpers.paths import ROOT

WAVES = 18


def seed(name: str) -> Seed:
    run = run_of(read_case(ROOT / f"cases/benchmarks/end/{name}-gmna.toml"), "GMNA")
    return seed_of(run.at(Level(1.0, 8)), WAVES)


@pytest.fixture(scope="module")
def collapsing() -> Seed:
    return seed("e2")


@pytest.mark.slow
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
