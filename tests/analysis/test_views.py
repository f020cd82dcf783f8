"""What is kept of solved states to be drawn: strains and sections of the demonstration cases."""

from functools import cache

import numpy as np
import pytest

from buckle.analysis import run
from buckle.case import read_case
from buckle.results import Outcome
from tests.helpers.made_run import made_case
from tests.helpers.paths import ROOT


@cache
def _solved(name: str, kind: str) -> Outcome:
    return run(read_case(ROOT / "cases" / "demo" / f"{name}.toml"), kind, estimate_error=False)


def test_plastic_strain_stands_at_the_governing_event_with_the_inside_first() -> None:
    """The largest of the graph is that of any layer at the limit: the outermost layers are strained most."""
    outcome = _solved("base", "GMNA")
    strain, path = outcome.plastic_strain, outcome.path
    assert strain is not None
    assert path is not None
    assert outcome.governing == outcome.limit
    at_limit = path.plastic_strain[path.pressure == outcome.limit.pressure]
    assert np.max(strain.equivalent) == at_limit
    inside, middle, outside = strain.equivalent.max(axis=1)
    assert middle < outside < inside  # the stand rolls inward: its inner bend tightens on the container's side
    assert all(_solved("base", kind).plastic_strain is None for kind in ("LA", "LBA", "MNA", "GNA"))


def test_deformed_sections_stand_at_what_is_demanded() -> None:
    for outcome in (_solved("base", "GNA"), _solved("base", "GMNA")):
        at = {section.name: section for section in outcome.sections}
        names = ["unloaded", "service", "required", "bifurcation", "limit point", "beyond the limit"]
        assert list(at) == [name for name in names if name in at]
        for growth, name in zip(outcome.growth, ("service", "required"), strict=True):
            assert at[name].pressure == growth.pressure
            travel = at["unloaded"].z - at[name].z
            foot = int(np.argmax(at["unloaded"].r > at["unloaded"].r[-1] - 1e-6))  # of the wall: growth is against it
            assert travel[0] - travel[foot] == pytest.approx(growth.loaded, rel=1e-3)
    assert [at[name].pressure for name in ("service", "required")] == pytest.approx([0.4, 0.62], rel=1e-14)
    falling = _solved("falls_short", "GMNA")  # 6.2 bar lie above its limit
    assert "required" not in {section.name for section in falling.sections}


def test_one_pressure_for_service_and_requirement_is_one_section() -> None:
    needs = {"pressure_bar": 4.0, "service_pressure_bar": 4.0}
    outcome = run(made_case(requirements=needs), "GNA", estimate_error=False)
    assert [section.name for section in outcome.sections][:2] == ["unloaded", "required"]
    assert len(outcome.growth) == 1


def test_a_picture_goes_on_beyond_the_limit_as_the_pressure_falls() -> None:
    outcome = _solved("falls_short", "GMNA")
    at = {section.name: section for section in outcome.sections}
    limit, beyond = at["limit point"], at["beyond the limit"]
    assert beyond.pressure < limit.pressure == outcome.limit.pressure
    assert beyond.z[0] < limit.z[0] < at["unloaded"].z[0]  # the apex goes on down
    assert beyond.pressure == outcome.path.pressure[-1]
