"""Collapse with waves beside their onset: a margin of its own, which governs where it is the lower one."""

import tomllib

import numpy as np
import pytest

from buckle.case import Case, case_from_dict
from buckle.margins.judge import judge
from buckle.margins.margin import Verdict
from buckle.record.agreement import disagreements
from buckle.record.form import form_faults
from buckle.record.margins import verdict_fields
from buckle.record.quantities import record
from buckle.results import BIFURCATION, LIMIT_POINT, Event, Outcome, Status, WavePath
from tests.helpers.paths import ROOT

ONSET, LIMIT, REQUIRED = 0.66, 0.74, 0.6


def case() -> Case:
    tables = tomllib.loads((ROOT / "cases/benchmarks/end/e2-gmna.toml").read_text(encoding="utf-8"))
    del tables["expect"]
    tables["requirements"] = {"pressure_MPa": REQUIRED}
    tables["analyses"]["run"] = ["GMNA", "GMNIA"]
    tables["deviation"] = {"shape": "mode"}
    return case_from_dict(tables)


def outcomes(*peaks: float, beyond: float = 3.0) -> list[Outcome]:
    """GMNA with an onset below its limit, and GMNIA with these highest loads."""
    perfect = Outcome(
        "GMNA",
        Status.SOLVED,
        limit=Event(LIMIT_POINT, LIMIT, error_percent=0.1),
        bifurcation=Event(BIFURCATION, ONSET, 18, 0.1, "countersink", 20.0),
        bracketed=True,
        reached=LIMIT,
    )
    nil = np.zeros(2)
    paths = tuple(WavePath("GMNIA", 18, 0.01, nil, nil, nil, peak, 0.1, 0.5, beyond) for peak in peaks)
    return [
        perfect,
        Outcome(
            "GMNIA", Status.SOLVED, limit=Event(LIMIT_POINT, min(peaks), error_percent=0.2), waves=paths, in_waves=True
        ),
    ]


@pytest.mark.parametrize(("peak", "governing"), [(0.64, "collapse with waves"), (0.72, "onset of waves")])
def test_collapse_with_waves_is_judged_beside_their_onset(peak: float, governing: str) -> None:
    judgement = judge(case(), outcomes(peak, peak + 0.01), {})
    row = next(margin for margin in judgement.margins if margin.limit_state == "collapse with waves")
    assert row.verdict is Verdict.MET
    assert row.reserve == pytest.approx(peak / REQUIRED)
    assert judgement.governing is not None
    assert judgement.governing.limit_state.startswith(governing)


def test_it_is_not_met_where_the_least_peak_is_below_the_demand() -> None:
    judgement = judge(case(), outcomes(0.62, 0.59), {})
    assert judgement.word == "not met"
    assert [margin.limit_state for margin in judgement.missed] == ["collapse with waves"]


def test_a_record_with_it_agrees_with_itself_and_a_changed_one_does_not() -> None:
    body, found = case(), outcomes(0.64, 0.65)
    recorded = record(body, found, verdict_fields(judge(body, found, {})))
    rows = recorded["margins"]
    assert recorded["GMNIA.limit_pressure_bar"] == pytest.approx(6.4)
    assert [each["saturates"] for each in recorded["GMNIA.waves"]] == [False, False]
    assert not [fault for fault in form_faults(recorded) if fault.startswith("GMNIA")]
    assert list(disagreements(recorded, rows)) == []
    changed = {**recorded, "GMNIA.limit_pressure_bar": 7.2}
    assert any("GMNIA" in fault for fault in disagreements(changed, rows))


def test_waves_saturate_where_they_grow_no_further_beyond_the_peak() -> None:
    assert outcomes(0.7, beyond=1.02)[1].waves[0].saturates
    assert not outcomes(0.7, beyond=1.6)[1].waves[0].saturates
