"""A margin sheet as one HTML file that needs no network, and the same content as JSON and as Markdown."""

import time
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from buckle.record.artefacts import SHEET
from buckle.record.quantities import Fields, Record
from buckle.record.seal import fixed_time
from buckle.report.notation.mathml import mathml
from buckle.report.sheet.content import Sheet, sheet_of
from buckle.report.sheet.hand import check_text, unit_text
from buckle.report.sheet.pictures import Picture, inlined, pictures
from buckle.report.sheet.tables import (
    balance_table,
    beside_table,
    contents_table,
    convergence_table,
    expectation_table,
    input_table,
    ladder_table,
    margin_table,
    movement_table,
    place_table,
    settings_table,
)
from buckle.report.sheet.values import percent, size


def write_html(directory: Path, told: Fields, revision: str = "") -> None:
    """Write margin-sheet.html beside the pictures of a run, which it takes in."""
    sheet = sheet_of(told, sheet_date(), revision)
    (directory / f"{SHEET}.html").write_text(html_of(sheet, directory), encoding="utf-8", newline="\n")


def html_of(sheet: Sheet, directory: Path) -> str:
    """Return a sheet as HTML with the pictures that lie in a directory."""
    shown = list(pictures(sheet, directory))
    drawn = {picture.name: Markup(inlined(picture, directory)) for picture in shown}
    return rendered(f"{SHEET}.html.j2", {**_content(sheet, shown), "drawn": drawn})


def markdown_of(sheet: Sheet, directory: Path) -> str:
    """Return a sheet as Markdown; pictures by their file names."""
    return rendered(f"{SHEET}.md.j2", _content(sheet, list(pictures(sheet, directory))))


def json_of(sheet: Sheet, directory: Path) -> Record:
    """Return a sheet as plain data; pictures by name with their words."""
    return {**asdict(sheet), "pictures": [asdict(picture) for picture in pictures(sheet, directory)]}


def sheet_date() -> str:
    """Return today's date, or that of SOURCE_DATE_EPOCH where a sheet must come out the same again."""
    fixed = fixed_time()
    return time.strftime("%Y-%m-%d", time.localtime() if fixed is None else time.gmtime(fixed))


def rendered(template: str, content: Mapping[str, Any]) -> str:
    """Return a template filled in; a name that the content lacks is a bug and raises."""
    return _environment().get_template(template).render(content)


def _content(sheet: Sheet, shown: Sequence[Picture]) -> dict[str, Any]:
    tables = {
        "margins": margin_table(sheet),
        "movement": movement_table(sheet),
        "beside": beside_table(sheet),
        "ladder": ladder_table(sheet),
        "place": place_table(sheet),
        "inputs": input_table(sheet),
        "contents": contents_table(sheet),
        "settings": settings_table(sheet),
        "convergence": convergence_table(sheet),
        "balance": balance_table(sheet),
        "expectations": expectation_table(sheet),
    }
    return {"sheet": sheet, "tables": tables, "pictures": shown}


@cache
def _environment() -> Environment:
    made = Environment(
        loader=PackageLoader("buckle.report"),
        autoescape=lambda name: name is not None and name.endswith(".html.j2"),
        undefined=StrictUndefined,
        keep_trailing_newline=True,
    )
    made.filters |= {
        "size": size,
        "percent": percent,
        "math": lambda clause: Markup(mathml(clause)),
        "letter": lambda symbol: Markup(mathml(symbol, inline=True)),
        "check": check_text,
        "unit": unit_text,
        "cell": lambda text: " ".join(text.replace("|", "\\|").split()),
    }
    return made
