"""A margin sheet as one HTML file that needs no network, and the same content as JSON and as Markdown."""

from collections.abc import Sequence
from dataclasses import asdict
from functools import partial
from pathlib import Path
from typing import Any

from markupsafe import Markup

from buckle.marked import plain
from buckle.record.artefacts import SHEET
from buckle.record.quantities import Fields, Record
from buckle.record.sheet.content import Sheet, sheet_of
from buckle.record.sheet.head import sheet_date
from buckle.report.notation.substitution import clauses
from buckle.report.notation.units import system_of
from buckle.report.pages import rendered
from buckle.report.sheet.effect_tables import effect_table, tolerance_table
from buckle.report.sheet.hand import checks_read, in_system, numbers_read, worked_lines
from buckle.report.sheet.pictures import Picture, inlined, pictures
from buckle.report.sheet.tables import (
    balance_table,
    beside_table,
    contents_table,
    convergence_table,
    curve_table,
    expectation_table,
    input_table,
    ladder_table,
    margin_table,
    movement_table,
    settings_table,
)
from buckle.units import RECORDED, Units


def write_html(directory: Path, recorded: Fields, units: Units = RECORDED, revision: str = "") -> None:
    """Write margin-sheet.html beside the pictures of a run, which it takes in."""
    sheet = sheet_of(recorded, sheet_date(), revision)
    (directory / f"{SHEET}.html").write_text(html_of(sheet, directory, units), encoding="utf-8", newline="\n")


def html_of(sheet: Sheet, directory: Path, units: Units = RECORDED) -> str:
    """Return a sheet as HTML with the pictures that lie in a directory."""
    return rendered(f"{SHEET}.html.j2", _html_content(sheet, directory, units, ""))


def chapter_of(sheet: Sheet, directory: Path, units: Units, at: str) -> Markup:
    """Return the sections of a sheet as HTML for a page of several; every id on it begins with `at`."""
    return Markup(rendered("chapter.html.j2", _html_content(sheet, directory, units, at)))


def _html_content(sheet: Sheet, directory: Path, units: Units, at: str) -> dict[str, Any]:
    shown = list(pictures(sheet, directory, units))
    inside = {picture.name: Markup(inlined(picture, directory, units, at)) for picture in shown}
    return {**_content(sheet, shown, units), "inlined": inside, "at": at}


def markdown_of(sheet: Sheet, directory: Path, units: Units = RECORDED) -> str:
    """Return a sheet as Markdown; pictures by their file names."""
    return rendered(f"{SHEET}.md.j2", _content(sheet, list(pictures(sheet, directory, units)), units))


def json_of(sheet: Sheet, directory: Path) -> Record:
    """Return a sheet as plain data in the units of the record; pictures by name with their words."""
    shown = [asdict(picture) for picture in pictures(sheet, directory)]
    return {**asdict(sheet), "opening": plain(sheet.opening), "pictures": shown}


def _content(sheet: Sheet, shown: Sequence[Picture], units: Units) -> dict[str, Any]:
    tables = {
        "margins": margin_table(sheet, units),
        "movement": movement_table(sheet, units),
        "beside": beside_table(sheet, units),
        "ladder": ladder_table(sheet, units),
        "curve": curve_table(sheet, units),
        "inputs": input_table(sheet),
        "contents": contents_table(sheet, units),
        "settings": settings_table(sheet, units),
        "convergence": convergence_table(sheet),
        "balance": balance_table(sheet),
        "expectations": expectation_table(sheet, units),
        "effects": effect_table(sheet, units),
        "tolerances": tolerance_table(sheet),
    }
    reading = {
        "units": units,
        "formula": lambda hand: clauses(hand.expression),
        "system": system_of(units),
        "numbers": partial(numbers_read, units=units),
        "worked": partial(worked_lines, units=units),
        "in_system": partial(in_system, units=units),
        "checks": partial(checks_read, units=units),
    }
    return {"sheet": sheet, "tables": tables, "pictures": shown, **reading}
