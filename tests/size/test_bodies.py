"""What is not smooth about the reserves of real bodies, each with its case: analyses, no pools and no files."""

import pytest

from buckle.batch.judged import solve
from buckle.batch.task import Task
from buckle.case import case_from_dict, read_case, replace_keys
from buckle.errors import CaseError
from buckle.size.answer import notes, why_none
from buckle.size.one import scan
from buckle.size.variable import variable
from buckle.store import Result, RowStatus
from tests.helpers.paths import ROOT

pytestmark = [pytest.mark.slow, pytest.mark.study]
BASE = ROOT / "cases/demo/base.toml"
CAP = ROOT / "cases/benchmarks/cap/gna-clamped-lambda-3-no-limit.toml"


class Analysed:
    """What `Designs` is, one analysis after the other."""

    def __init__(self, path, **changes):
        self.tables = {name: table for name, table in read_case(path).tables.items() if name != "expect"}
        self.tables = replace_keys(self.tables, {key.replace("__", "."): value for key, value in changes.items()})
        self.base = case_from_dict(self.tables)

    def case(self, inputs):
        return case_from_dict(replace_keys(self.tables, inputs))

    def results(self, inputs, *, sure=False):
        return [self._result(each, sure) for each in inputs]

    def _result(self, inputs, sure):
        try:
            return solve(Task(1, "", self.case(inputs), sure))
        except CaseError as error:
            return Result("", RowStatus.NOT_BUILT, str(error))


def looked(designs, key, between, asked):
    return scan(designs, variable(designs.base, key, between), asked)


def test_a_mode_that_switches():
    """Below 0.15 mm waves begin in the dome first, above it the dome turns over; the answer holds when run cold."""
    designs = Analysed(BASE)
    found = looked(designs, "shape.gauge_mm", (0.125, 0.165), 0.5)
    names = [trial.governing for _, trial in found.trials]
    assert {"onset of waves in the dome", "dome reversal"} <= set(names)
    assert 0.5 <= found.answer.trial.least < 0.5005  # five digits of the gauge
    cold = designs.results([found.variable.at(found.answer.value)])[0]
    assert cold.quantities["reserve_factor"] == found.answer.trial.least


def test_growth_overtakes_reversal():
    """0.3 mm of growth at 4 bar ask for more gauge than 6.2 bar do."""
    designs = Analysed(BASE, requirements__growth_mm=0.3)
    found = looked(designs, "shape.gauge_mm", (0.2, 0.3), 1.0)
    assert found.answer.trial.least_of == "growth_under_pressure"
    assert found.answer.trial.reserves["axisymmetric_capacity"] > 1.1
    assert 1.0 <= found.answer.trial.least < 1.001
    turned = Analysed(BASE, requirements__growth_mm=1.0)
    assert looked(turned, "shape.gauge_mm", (0.2, 0.3), 1.0).answer.value < found.answer.value


def test_a_shape_that_stops_closing():
    """A dome less deep than 9.04 mm leaves the inner leg no length: what is asked is met beside that edge, or not."""
    designs = Analysed(BASE)
    found = looked(designs, "shape.dome_depth_mm", (8.5, 10.0), 1.16)
    assert 1.16 <= found.answer.trial.least < 1.161
    assert "below 9.0" in " ".join(notes(found, found.answer))
    assert "does not close" in " ".join(notes(found, found.answer))
    assert looked(designs, "shape.dome_depth_mm", (8.5, 10.0), 1.05).answer is None  # met wherever it closes


def test_a_limit_that_vanishes():
    """A clamped cap of lambda 3 has no limit: what its path was followed to is a lower bound, and said to be one."""
    designs = Analysed(CAP, requirements__pressure_bar=1.0, material__yields=False)
    key = "shape.thickness_mm"
    middle = variable(designs.base, key).value
    found = looked(designs, key, (0.3 * middle, 2.0 * middle), 1e5)
    assert found.answer is None
    assert any(trial.status is RowStatus.NO_LIMIT for _, trial in found.trials)
    assert "the reserve is no lower than what is told" in why_none(found)


def test_exact_slopes_of_reserves():
    """Against central differences of a hundredth: their truncation and the mesh's own steps leave half a per cent."""
    designs, keys = Analysed(BASE), ("shape.gauge_mm", "material.yield_stress_MPa")
    found = solve(Task(1, "", designs.base, False, keys)).quantities
    for key in keys:
        value = variable(designs.base, key).value
        low, high = (one.quantities for one in designs.results([{key: 0.99 * value}, {key: 1.01 * value}]))
        for name in ("axisymmetric_capacity", "growth_under_pressure"):
            slope = (high[f"reserve.{name}"] - low[f"reserve.{name}"]) / (0.02 * value)
            assert found[f"slope.{name} {key}"] == pytest.approx(slope, rel=5e-3)
