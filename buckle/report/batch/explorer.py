"""A page to look around in a batch: one file that needs no network; filters, and a section for every design."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from buckle.cautions import CAUTIONS
from buckle.errors import CaseError
from buckle.meridian import Meridian
from buckle.report.batch.data import governing_column
from buckle.report.batch.text import BESIDE
from buckle.store import Table
from buckle.store.table import NUMBER, STATUS

POINTS = 160  # of an outline
Outline = Sequence[tuple[float, float]]


def outline(meridian: Meridian) -> Outline:
    """Return points (r, z) [mm] of a middle surface, to the hundredth: all that a screen shows."""
    at = meridian.at_s(np.union1d(np.linspace(0.0, meridian.length, POINTS), meridian.breaks))
    return [(round(float(r), 2), round(float(z), 2)) for r, z in zip(at.r, at.z, strict=True)]


def write_explorer(path: Path, table: Table, outlines: Mapping[int, Outline]) -> None:
    """Write the page of a batch with the outline of each design by number. Raises CaseError if it cannot."""
    made = Environment(
        loader=PackageLoader("buckle.report"),
        autoescape=lambda name: name is not None and name.endswith(".html.j2"),
        undefined=StrictUndefined,
        keep_trailing_newline=True,
    )
    page = made.get_template("explorer.html.j2")
    text = page.render(title=table.title, cautions=" ".join(CAUTIONS), data=Markup(_data(table, outlines)))
    try:
        path.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise CaseError(f"{path}: cannot be written: {error.strerror or error}") from error


def _data(table: Table, outlines: Mapping[int, Outline]) -> str:
    """Return what the page shows as JSON that cannot end the script that holds it."""
    pressure = governing_column(table)
    found = [name for name in BESIDE if name in table.quantities]
    told = {
        "columns": table.columns,
        "listed": [NUMBER, *([pressure] if pressure else []), *found, STATUS, *table.varied],
        "rows": [[row.get(column) for column in table.columns] for row in table.rows],
        "outlines": {str(number): points for number, points in outlines.items()},
    }
    text = json.dumps(told, separators=(",", ":"), allow_nan=False, ensure_ascii=False)
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
