"""A page to look around in a batch: one file that needs no network; chart, table and the section of every design."""

import json
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from markupsafe import Markup

from buckle.cautions import CAUTIONS
from buckle.errors import CaseError
from buckle.meridian import Meridian
from buckle.report.batch.page_data import page_data
from buckle.report.pages import part, rendered
from buckle.store import Table

STATIONS = 400  # of a meridian that are looked at
SAGITTA = 0.01  # mm by which a chord of an outline may leave its arc: no more than what the rounding does
IDEAS = ("dom", "columns", "filter", "view", "scales", "marks", "frame", "chart", "brush", "table", "design", "print")
SCRIPTS = ("expression.js", *[f"explorer/{name}.js" for name in (*IDEAS, "start")])
"""Files of the page's program, each of one idea, in the order in which they are put together."""
Outline = Sequence[tuple[float, float]]


def outline(meridian: Meridian) -> Outline:
    """Return points (r, z) [mm] of a middle surface, to the hundredth: as few as show its arcs round."""
    s = np.union1d(np.linspace(0.0, meridian.length, STATIONS), meridian.breaks)
    at = meridian.at_s(s)
    length, turn = np.hypot(np.diff(at.r), np.diff(at.z)), np.abs(np.diff(at.heading))
    chords = np.floor(np.cumsum(np.sqrt(length * turn / (8.0 * SAGITTA))))  # of a flat arc it is length * turn / 8
    kept = np.isin(s, meridian.breaks) | (np.diff(chords, prepend=[0.0, 0.0]) > 0.0)
    return [(round(float(r), 2), round(float(z), 2)) for r, z in zip(at.r[kept], at.z[kept], strict=True)]


def write_explorer(
    path: Path,
    table: Table,
    outlines: Mapping[int, Outline],
    pressure_unit: str = "bar",
    length_unit: str = "mm",
) -> None:
    """Write the page of a batch with the outline of each design by number. Raises CaseError if it cannot."""
    text = rendered(
        "explorer.html.j2",
        {
            "title": table.title,
            "cautions": CAUTIONS,
            "style": Markup(part("explorer/style.css")),
            "data": Markup(_json(page_data(table, {"pressure": pressure_unit, "length": length_unit}))),
            "outlines": Markup(_json({str(number): _steps(points) for number, points in outlines.items()})),
            "script": Markup("\n".join(map(part, SCRIPTS))),
        },
    )
    try:
        path.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise CaseError(f"{path}: cannot be written: {error.strerror or error}") from error


def _steps(points: Outline) -> str:
    """Return an outline as short text: the first point, then the step to each next, in hundredths of a millimetre."""
    whole = np.rint(100.0 * np.asarray(points)).astype(int)
    return " ".join(map(str, np.diff(whole, axis=0, prepend=np.zeros((1, 2), dtype=int)).ravel()))


def _json(content: object) -> str:
    """Return plain data as JSON that cannot end the script that holds it."""
    text = json.dumps(content, separators=(",", ":"), allow_nan=False, ensure_ascii=False)
    return text.replace("<", "\\u003c").replace("\u2028", "\\u2028").replace("\u2029", "\\u2029")
