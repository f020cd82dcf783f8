"""GNIA of a cap with a deviation in waves around, from its case to its outcome."""

import pytest

from buckle.analysis import run
from buckle.case import case_from_dict
from buckle.margins.judge import judge
from buckle.results import Status
from tests.helpers import bodies

CAP = {"family": "spherical_cap", "radius_mm": 400.0, "half_angle_deg": 12.0, "thickness_mm": 1.0}


def cap(deviation: dict[str, object], radius: float = 400.0) -> object:
    shape = {**CAP, "radius_mm": radius}
    made = bodies.case(shape, run="GNA", edges={"outer_edge": "clamped"}).tables
    return case_from_dict(
        {**made, "analyses": {"run": ["GNA", "GNIA"], "wave_numbers": [0, 8]}, "deviation": deviation}
    )


@pytest.mark.slow
@pytest.mark.study
def test_a_cap_collapses_in_waves_below_their_onset() -> None:
    """Unstable after buckling (b < 0): waves of a hundredth of the wall take some per cent off, and go on growing."""
    case = cap({"shape": "mode", "amplitude_mm": 0.01})
    perfect, waved = (run(case, kind, estimate_error=False) for kind in ("GNA", "GNIA"))
    assert waved.status is Status.SOLVED
    assert [path.deviation for path in waved.waves] == [0.01]
    assert waved.waves[0].wave_number == perfect.bifurcation.wave_number
    assert 0.85 < waved.limit.load / perfect.bifurcation.load < 0.97
    assert waved.waves[0].saturates is False
    states = [margin.limit_state for margin in judge(case, [perfect, waved], {}).margins]
    assert "collapse with waves" in states


def test_where_no_waves_begin_there_is_nothing_to_follow() -> None:
    """A cap of lambda = 4 snaps without waves (`published` thresholds: waves from 5.5 on)."""
    case = cap({"shape": "mode"}, radius=108.0)
    waved = run(case, "GNIA", estimate_error=False)
    assert waved.status is Status.NO_LIMIT
    assert "no waves" in waved.reason
    assert waved.in_waves  # so that the perfect shape decides still
