"""The tables of a sheet and what a run prints, cell by cell, of the run that is made up by hand.

Its numbers are those of `tests/helpers/made_run.py`: 3.75 bar (LBA), 3 bar (GNA and MNA), 2 bar (GMNA), 2 bar demanded.
"""

import io
from dataclasses import replace

import pytest
from rich.console import Console

from buckle.record.sheet.content import Sheet, sheet_of
from buckle.report.console import printed
from buckle.report.sheet import tables
from buckle.report.sheet.tables import TableData
from buckle.results import Outcome, Status
from buckle.units import RECORDED, Units
from tests.report.sheet.test_sheet import OUTCOMES, recorded

NONE = "–"
INCHES = Units("psi", "in")


@pytest.fixture(scope="module")
def sheet() -> Sheet:
    return sheet_of(recorded(), "2026-01-02")


def rows(data: TableData) -> list[list[str]]:
    return [[cell.whole for cell in row] for row in data.rows]


def test_margins(sheet: Sheet) -> None:
    made = tables.margin_table(sheet, RECORDED)
    assert made.title == "Margins (reserve factor = capacity / partial factor 1 / demand)"
    assert made.note == "1 or more is met"
    heads = "limit state, analysis, event, capacity, numerical error, demand, reserve factor, verdict"
    assert ", ".join(made.columns) == heads
    waves, theory = "onset of waves", "onset of waves, by deformation theory"
    linear, mechanism = "onset of waves, elastic, linear", "plastic mechanism at small displacements"
    assert rows(made) == [
        [waves, "GMNA", "bifurcation, n = 3", "2 bar", "0.25 %", "2 bar", "1.000", "met, governs"],
        ["collapse", "GMNA", "limit point", "2.5 bar", NONE, "2 bar", "1.250", "met"],
        [theory, "GMNA", "bifurcation, n = 4", "1.9 bar", NONE, "2 bar", "0.950", "met with doubt"],
        [f"{waves}, elastic", "GNA", "bifurcation, n = 3", "3 bar", "0.25 %", "2 bar", "1.500", "for comparison"],
        ["collapse, elastic", "GNA", "limit point", "3.75 bar", NONE, "2 bar", "1.875", "for comparison"],
        [linear, "LBA", "bifurcation, n = 2", "3.75 bar", "0.01 %", "2 bar", "1.875", "for comparison"],
        [mechanism, "MNA", "limit point", "3 bar", NONE, "2 bar", "1.500", "for comparison"],
        ["first yield", "LA", NONE, "1.25 bar", NONE, "2 bar", "0.625", "for comparison"],
    ]  # fmt: skip
    assert made.bold == {0}


def test_a_size_found_stands_beside_the_size_allowed(sheet: Sheet) -> None:
    """0.3 mm of 0.508 mm, which are 0.02 in; of a load nothing is allowed but itself."""
    first, other, *_ = sheet.margins
    risen = replace(first, size_unit="mm", found=0.3, allowed=0.508)
    alone = replace(risen, allowed=None)
    read = ((RECORDED, "0.300 mm (0.508 mm)", "0.300 mm"), (INCHES, "0.01181 in (0.02000 in)", "0.01181 in"))
    for units, both, one in read:
        made = tables.margin_table(replace(sheet, margins=(risen, alone, other)), units)
        at = made.columns.index("found (allowed)")
        assert [row[at] for row in rows(made)] == [both, one, ""]


def test_ladder_and_capacity_curve(sheet: Sheet) -> None:
    made = tables.ladder_table(sheet, RECORDED)
    assert made.title == "From linear bifurcation to the deciding analysis"
    heads = "analysis, what it is, event, pressure, times the one before, times the first"
    assert ", ".join(made.columns) == heads
    assert rows(made) == [
        ["LBA", "linear bifurcation of the perfect elastic shell", "bifurcation, n = 2", "3.75 bar", NONE, NONE],
        ["GNA", "adds large displacements", "bifurcation, n = 3", "3 bar", "0.800", "0.800"],
        ["GMNA", "adds yielding and hardening", "bifurcation, n = 3", "2 bar", "0.667", "0.533"],
    ]
    curve = tables.curve_table(sheet, RECORDED)
    assert curve.title == "Place on the capacity curve; for orientation, no check against a code"
    assert rows(curve) == [
        ["plastic reference (MNA)", "3 bar"],
        ["elastic critical (LBA)", "3.75 bar"],
        ["relative slenderness, square root of MNA / LBA", "0.894"],
        ["GMNA / MNA of this body", "0.667"],
        ["elastic perfect shell, 1 / slenderness squared", "1.250"],
        [
            "capacity curve of a clamped spherical dome, R/t = 166.7, best fabrication class, alpha = 0.386, beta ="
            " 0.70, eta = 1, squash limit 0.20 (form of EN 1993-1-6:2025 and ECCS 2008, form and constants from"
            " memory)",
            "0.480",
        ],
    ]


def test_movement_and_evidence(sheet: Sheet) -> None:
    made = tables.movement_table(sheet, RECORDED)
    assert made.title == "How far it moves and is strained (GMNA)"
    assert made.note == (
        "growth is the travel of the apex the way pressure pushes it, against the foot of the straight wall at the"
        " outer edge (that edge, where there is no such wall); strain is the largest plastic one, over one thickness"
        " along the meridian"
    )
    assert ", ".join(made.columns) == (
        "under, pressure, growth, growth that stays, drop of the stand, strain of a face, strain of mid-wall"
    )
    assert rows(made) == [
        ["service", "1 bar", "0.100 mm", "0.010 mm", NONE, NONE, NONE],
        ["required", "2 bar", "0.300 mm", "0.050 mm", "0.150 mm", NONE, NONE],
    ]
    balance = tables.balance_table(sheet)
    assert balance.columns == ("analysis", "applied", "reaction", "left over / applied")
    assert rows(balance) == [[kind, "-12.5 N", "12.5 N", "0.0e+00"] for kind in ("GNA", "GMNA")]
    convergence = tables.convergence_table(sheet)
    assert convergence.columns == ("analysis", "run again with", "change", "numerical error")
    assert rows(convergence) == [
        ["LBA", NONE, NONE, "0.01 %"],
        ["GNA", NONE, NONE, "0.25 %"],
        ["GMNA", NONE, NONE, "0.25 %"],
    ]
    assert rows(tables.settings_table(sheet, RECORDED)) == [
        ["LA", "solved", "4"],
        ["LBA", "solved: bifurcation, n = 2", NONE],
        ["MNA", "solved: limit point", NONE],
        ["GNA", "solved: bifurcation, n = 3", NONE],
        ["GMNA", "solved: bifurcation, n = 3", NONE],
    ]


def test_hand_values_beside(sheet: Sheet) -> None:
    made = tables.beside_table(sheet, RECORDED)
    assert ", ".join(made.columns) == "analysis, formula, computed, by hand, hand / computed, why they differ"
    assert [row[:5] for row in rows(made)] == [
        ["GMNA, bifurcation, n = 3", "capacity.two_term", "2 bar", "15.12 bar", "7.562"],
        ["GMNA, bifurcation, n = 3", "capacity.dome_clamped", "2 bar", "9.419 bar", "4.709"],
        ["GMNA, bifurcation, n = 3", "cap.lower_bound", "2 bar", "4.824 bar", "2.412"],
        ["GNA, bifurcation, n = 3", "cap.clamped_bifurcation", "3 bar", "23.65 bar", "7.885"],
        ["GNA, limit point", "cap.clamped_limit_point", "3.75 bar", "out of range", NONE],
        ["LBA, bifurcation, n = 2", "sphere.classical_pressure", "3.75 bar", "30.5 bar", "8.134"],
        ["MNA, limit point", "sphere.squash_pressure", "3 bar", "30 bar", "10.000"],
    ]
    reasons = [row[5] for row in rows(made)]
    assert reasons[0] == (
        "linear bifurcation of the body itself, not of a sphere: from 15.12 bar to 3.333 bar; the plastic limit of the"
        " body itself, not of a sphere: from 2.727 bar to 1.5 bar"
    )
    assert reasons[2] == "not explained"
    assert reasons[4] == "out of range: lambda = 13.2756 is outside 3.5 <= lambda <= 8"


def test_what_a_run_prints(sheet: Sheet) -> None:
    """Lines as they come after the tables; a reader's unit is in the head of a column."""
    console = Console(file=io.StringIO(), width=400)
    console.print(printed(sheet, Units(pressure="psi")))
    lines = [line.rstrip() for line in console.file.getvalue().splitlines()]
    assert lines[0] == "Made cap"
    (first, *_) = [line for line in lines if line.startswith("│ onset of waves ")]
    assert [cell.strip() for cell in first.strip("│").split("│")] == [
        "onset of waves",
        "GMNA",
        "bifurcation, n = 3",
        "29.01",  # 2 bar are 29.0075 psi
        "0.25 %",
        "29.01",
        "1.000",
        "met, governs",
    ]
    assert any("capacity [psi]" in line for line in lines)
    notes = [line for line in lines if line.startswith(("GMNA", "GNA", "MNA", "LA"))]
    assert notes == [
        "GMNA, onset of waves: an onset: the body may still carry more; a note.",
        "GMNA, collapse: a note.",
        "GMNA, onset of waves, by deformation theory: a lower bracket: small waves may show from here on, look for them"
        " in the test.",
        "GNA, onset of waves, elastic: a note.",
        "GNA, collapse, elastic: a note.",
        "MNA, plastic mechanism at small displacements: no capacity of a thin body: displacements stiffen or weaken"
        " it.",
        "LA, first yield: first yield is no capacity: metal that yields at one face goes on carrying load.",
    ]
    (verdict,) = [line for line in lines if line.startswith("VERDICT: ")]
    assert verdict.startswith("VERDICT: MET WITH DOUBT: onset of waves, by deformation theory, lies below the demand")
    assert lines[lines.index(verdict) + 1].startswith("Screening result: not a pressure-vessel code check")


def test_an_analysis_that_did_not_finish_is_printed_with_what_to_try() -> None:
    failed = Outcome("GMNA", Status.FAILED, "the path stalled", "a smaller step")
    console = Console(file=io.StringIO(), width=400)
    console.print(printed(sheet_of(recorded(outcomes=(*OUTCOMES[:3], failed)), ""), RECORDED))
    lines = [line.rstrip() for line in console.file.getvalue().splitlines()]
    assert "GMNA failed: the path stalled. Try: a smaller step." in lines
    assert any(line.startswith("VERDICT: NO VERDICT: GMNA failed: the path stalled") for line in lines)
