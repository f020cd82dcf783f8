"""What a step of a number and the ends of a tolerance do, as a sheet shows it, of effects made up by hand."""

from dataclasses import replace
from pathlib import Path

import pytest

from buckle.record.sheet.content import Sheet, sheet_of
from buckle.record.sheet.sensitivities import Effect, Sensitivities, Slope, Width, sensitivities_of
from buckle.report.sheet.effect_tables import effect_table, tolerance_table
from buckle.report.sheet.pictures import pictures
from buckle.report.sheet.tables import TableData
from buckle.units import RECORDED, Units
from tests.report.sheet.test_sheet import recorded

GAUGE = Effect("shape.gauge_mm", 0.27, 0.01, "mm", Slope(0.5, relative=1.75), Slope(-0.02), Slope(0.25), "a reason")
"""0.5 bar and 0.25 g more, 0.02 mm less, for a hundredth of a millimetre."""
ANGLE = Effect(
    "shape.leg_deg", 6.0, 1.0, "deg", Slope(None, below=-0.1, above=0.3, relative=-1e-9), Slope(None), Slope(0.0), ""
)
"""Where another event comes first on one side."""
WIDTHS = (
    Width("shape.gauge_mm", "uniform", 0.26, 0.28, 0.95, 1.25),
    Width("shape.leg_deg", "normal", 5.0, 7.0, None, 1.0),
)


@pytest.fixture(scope="module")
def sheet() -> Sheet:
    made = Sensitivities("GMNA.capacity_pressure_bar", "bar", (GAUGE, ANGLE), WIDTHS, ())
    return replace(sheet_of(recorded(), ""), sensitivities=made)


def rows(data: TableData) -> list[list[str]]:
    return [[cell.whole for cell in row] for row in data.rows]


def test_what_a_step_does(sheet: Sheet) -> None:
    made = effect_table(sheet, RECORDED)
    assert made.title == "What a step of each number makes of GMNA.capacity_pressure_bar"
    assert made.note == (
        "changes for one step larger, to first order; where both directions differ the change per step from below"
        " stands before that from above"
    )
    assert made.columns == ("number", "value", "step", "capacity", "d ln p / d ln x", "growth", "mass")
    assert rows(made) == [
        ["shape.gauge_mm", "0.27", "0.01 mm", "+0.5 bar", "1.750", "-0.02 mm", "+0.25 g"],
        ["shape.leg_deg", "6", "1 deg", "-0.1 / +0.3 bar", "0.000", "–", "0 g"],
    ]


def test_what_a_step_does_in_a_readers_units(sheet: Sheet) -> None:
    """0.5 bar are 7.25 psi; 0.01 mm are 0.000394 in."""
    made = effect_table(sheet, Units(pressure="psi", length="in"))
    assert made.title == "What a step of each number makes of GMNA.capacity_pressure_psi"
    assert rows(made)[0][2:4] == ["0.000394 in", "+7.25 psi"]


def test_without_growth_there_is_no_column_of_it(sheet: Sheet) -> None:
    assert sheet.sensitivities is not None
    still = replace(sheet, sensitivities=replace(sheet.sensitivities, effects=(ANGLE,)))
    assert effect_table(still, RECORDED).columns == ("number", "value", "step", "capacity", "d ln p / d ln x", "mass")
    none = replace(sheet, sensitivities=None)
    assert rows(effect_table(none, RECORDED)) == rows(tolerance_table(none)) == []


def test_the_reserve_at_the_ends_of_tolerances(sheet: Sheet) -> None:
    made = tolerance_table(sheet)
    assert made.title == "The least reserve factor at the ends of each tolerance"
    assert made.note == (
        "one at a time, to first order, an estimate; of a law without bounds the ends lie 3 standard deviations away"
        "; not known where a load that is judged has no derivative there"
    )
    assert made.columns == ("number", "law", "low end", "high end", "reserve at low", "reserve at high")
    assert rows(made) == [
        ["shape.gauge_mm", "uniform", "0.26", "0.28", "0.950", "1.250"],
        ["shape.leg_deg", "normal", "5", "7", "not known", "1.000"],
    ]


def test_the_words_beside_the_picture(sheet: Sheet, tmp_path: Path) -> None:
    (tmp_path / "sensitivities.svg").touch()
    assert sheet.sensitivities is not None
    falling = replace(GAUGE, key="shape.radius_mm", capacity=Slope(-0.2, relative=-0.5))
    effects = (GAUGE, falling, replace(GAUGE, capacity=Slope(None)))
    (picture,) = pictures(replace(sheet, sensitivities=replace(sheet.sensitivities, effects=effects)), tmp_path)
    assert picture.section == "effects"
    assert picture.words == (
        "Bars of the derivative of the logarithms of GMNA.capacity_pressure_bar. The largest: shape.gauge_mm +1.750;"
        " shape.radius_mm -0.500."
    )


def row(quantity: str, key: str, value: float, derivative: float | None, **more: object) -> dict[str, object]:
    return {"quantity": quantity, "key": key, "value": value, "derivative": derivative} | more


def test_effects_as_they_are_read_from_a_record() -> None:
    """50 bar/mm are 0.5 bar a hundredth; 3 bar/deg 3 bar a degree; 2 bar times 0.3 are 0.006 a per cent."""
    name = "GMNA.capacity_pressure_bar"
    recorded_so = {
        "decided_by": "GMNA",
        "sensitivities": [
            row("LBA.critical_pressure_bar", "shape.gauge_mm", 0.27, 90.0, relative=2.0),
            row(name, "material.poissons_ratio", 0.3, 2.0, relative=0.1),
            row(name, "shape.gauge_mm", 0.27, 50.0, relative=1.75, reason="a reason"),
            row(name, "shape.leg_deg", 6.0, None, from_below=3.0, from_above=-1.0),
            row("growth_mm", "shape.gauge_mm", 0.27, -2.0),
            row("mass_g", "shape.gauge_mm", 0.27, 25.0),
        ],
        "reserve_at_tolerances": [
            {"key": "shape.gauge_mm", "low": 0.26, "high": 0.28, "reserve_at_low": 0.95, "reserve_at_high": 1.25},
            {"key": "shape.leg_deg", "law": "normal", "low": 0.0, "high": 7.0},
        ],
        "sensitivities_failed": {"GNA": "it stalled"},
    }
    made = sensitivities_of(recorded_so)
    assert made is not None
    assert (made.quantity, made.unit, made.failed) == (name, "bar", ("GNA: it stalled",))
    assert [each.key for each in made.effects] == ["shape.leg_deg", "shape.gauge_mm", "material.poissons_ratio"]
    leg, gauge, ratio = made.effects
    assert (gauge.step, gauge.unit, gauge.reason) == (0.01, "mm", "a reason")
    changes = [each.change for each in (gauge.capacity, gauge.growth, gauge.mass)]
    assert changes == pytest.approx([0.5, -0.02, 0.25])
    assert (leg.capacity.change, leg.capacity.below, leg.capacity.above) == (None, pytest.approx(3.0), -1.0)
    assert (ratio.step, ratio.unit, ratio.capacity.change) == (1.0, "%", pytest.approx(0.006))
    assert made.widths == (
        Width("shape.gauge_mm", "bounds", 0.26, 0.28, 0.95, 1.25),
        Width("shape.leg_deg", "normal", 0.0, 7.0, None, None),
    )
    undecided = sensitivities_of({key: value for key, value in recorded_so.items() if key != "decided_by"})
    assert undecided is not None
    assert undecided.quantity == "LBA.critical_pressure_bar"
    assert sensitivities_of({}) is None
