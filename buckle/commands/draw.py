"""The work behind `buckle draw`: the section as a picture, its measures as text."""

import json
from collections.abc import Sequence
from pathlib import Path

from rich.table import Table as PrintedTable
from rich.text import Text

from buckle.case import Case, read_case
from buckle.commands.output import check_writable, say, write_json
from buckle.errors import CaseError
from buckle.report.figures.all import save_figure
from buckle.report.figures.section import draw_section
from buckle.units import Units


def draw_case(
    path: Path, out: Path, formats: Sequence[str], json_file: str | None, units: Units, *, quiet: bool
) -> int:
    """Draw the section of a case as out/NAME-section.FORMAT in each format; returns the exit code."""
    case = read_case(path)
    check_writable([json_file], [out])
    name = f"{path.stem}-section"
    figure = draw_section(case.meridian, title=case.title, density=case.material.density, units=units)
    try:
        out.mkdir(parents=True, exist_ok=True)
        save_figure(figure, out, name, formats)
    except OSError as error:
        raise CaseError(f"{out}: cannot be written: {error.strerror or error}") from error
    found = measures(case)
    if not quiet and json_file != "-":
        say(_table(case, found, units))
        for each in formats:
            say(f"Section: {out / name}.{each}")
    write_json(json_file, found)
    return 0


def measures(case: Case) -> dict[str, object]:
    """Mass, surface, volume, blank and the ends of every piece, under names with units."""
    meridian = case.meridian
    found: dict[str, object] = {"title": case.title, "family": case.family}
    if case.material.density:
        found["mass_g"] = meridian.mass(case.material.density)
    found |= {
        "surface_area_mm2": meridian.surface_area,
        "enclosed_volume_ml": meridian.enclosed_volume / 1000.0,
        "blank_diameter_mm": meridian.blank_diameter,
        "meridian_length_mm": meridian.length,
    }
    ends = meridian.at_s(meridian.breaks)
    found["pieces"] = [
        {
            "name": piece.name,
            "length_mm": piece.length,
            "start_mm": [float(ends.r[i]), float(ends.z[i])],
            "end_mm": [float(ends.r[i + 1]), float(ends.z[i + 1])],
            "thickness_mm": list(piece.thickness),
        }
        for i, piece in enumerate(meridian.pieces)
    ]
    return json.loads(json.dumps(found))


def _table(case: Case, found: dict[str, object], units: Units) -> PrintedTable:
    table = PrintedTable(title=case.title, title_justify="left", min_width=len(case.title))
    table.add_column("measure")
    table.add_column("value", justify="right")
    for key, value in found.items():
        if isinstance(value, float):
            name, _, own = key.rpartition("_")
            head = Text(f"{name.replace('_', ' ')} [{units.unit(own)}]")
            table.add_row(head, f"{units.number(value, own):.6g}")
    return table
