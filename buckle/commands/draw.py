"""The work behind `buckle draw`: the section as a picture, its measures as text."""

import json
from collections.abc import Sequence
from pathlib import Path

from rich.table import Table as PrintedTable
from rich.text import Text

from buckle.case import Case
from buckle.commands.output import check_writable, say, write_json
from buckle.container.container import Container
from buckle.container.reader import read_input
from buckle.errors import CaseError
from buckle.record.container import FAMILY, summary_fields
from buckle.record.quantities import Fields, plain_mapping
from buckle.report.console import printed_table
from buckle.report.container.tables import summary_tables
from buckle.report.figures.all import save_figure
from buckle.report.figures.container import draw_container
from buckle.report.figures.section import draw_section
from buckle.units import Units


def draw_case(
    path: Path, out: Path, formats: Sequence[str], json_file: str | None, units: Units, *, quiet: bool
) -> int:
    """Draw a case, or a container whole, as out/NAME-section.FORMAT in each format; returns the exit code."""
    case = read_input(path)
    check_writable([json_file], [out])
    name = f"{path.stem}-section"
    if isinstance(case, Container):
        figure, found = draw_container(case, units), container_measures(case)
    else:
        figure = draw_section(case.meridian, title=case.title, density=case.material.density, units=units)
        found = measures(case)
    try:
        out.mkdir(parents=True, exist_ok=True)
        save_figure(figure, out, name, formats, units)
    except OSError as error:
        raise CaseError(f"{out}: cannot be written: {error.strerror or error}") from error
    if not quiet and json_file != "-":
        for table in _tables(case, found, units):
            say(table)
        for each in formats:
            say(f"Section: {out / name}.{each}")
    write_json(json_file, found)
    return 0


def container_measures(container: Container) -> dict[str, object]:
    """Masses, volumes, discs and what stands on a pallet, under names with units."""
    return plain_mapping({"title": container.title, "family": FAMILY, **summary_fields(container)})


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


def _tables(case: Case | Container, found: Fields, units: Units) -> list[PrintedTable]:
    if isinstance(case, Case):
        return [_table(case, found, units)]
    return [printed_table(each) for each in summary_tables(found, units).values() if each.rows]


def _table(case: Case, found: Fields, units: Units) -> PrintedTable:
    table = PrintedTable(title=case.title, title_justify="left", min_width=len(case.title))
    table.add_column("measure")
    table.add_column("value", justify="right")
    for key, value in found.items():
        if isinstance(value, float):
            name, _, own = key.rpartition("_")
            head = Text(f"{name.replace('_', ' ')} [{units.unit(own)}]")
            table.add_row(head, f"{units.number(value, own):.6g}")
    return table
