"""The sheet of a container as one HTML file that needs no network, a chapter a part; as Markdown and as plain data."""

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from markupsafe import Markup

from buckle.marked import plain
from buckle.record.artefacts import DRAWING, SHEET
from buckle.record.quantities import Fields, Record
from buckle.record.sheet.container import ContainerSheet
from buckle.report.container.tables import all_margins, first_table, joint_table, summary_tables
from buckle.report.pages import rendered
from buckle.report.sheet.page import chapter_of, json_of, markdown_of
from buckle.report.sheet.pictures import Picture, inlined, units_note
from buckle.report.sheet.tables import TableData
from buckle.units import RECORDED, Units


def container_html(sheet: ContainerSheet, directories: Mapping[str, Path], here: Path, units: Units = RECORDED) -> str:
    """Return the sheet as HTML; the pictures of the parts lie in their directories, that of the whole in `here`."""
    chapters = {
        name: chapter_of(each, directories[name], units, f"{name.replace('.', '-')}-")
        for name, each in sheet.chapters.items()
    }
    content = {**_content(sheet, units), "chapters": chapters, "picture": ""}
    file = here / f"{DRAWING}.svg"
    if file.is_file():
        caption = "The container whole, to scale" + units_note(file, units)
        whole = Picture(DRAWING, caption, _words(sheet.recorded), "whole")
        content |= {"picture": Markup(inlined(whole, here, units)), "caption": caption}
    return rendered(f"container-{SHEET}.html.j2", content)


def container_markdown(sheet: ContainerSheet, directories: Mapping[str, Path], units: Units = RECORDED) -> str:
    """Return the sheet as Markdown; pictures by their file names."""
    chapters = {name: markdown_of(each, directories[name], units) for name, each in sheet.chapters.items()}
    return rendered(f"container-{SHEET}.md.j2", {**_content(sheet, units), "chapters": chapters})


def container_json(sheet: ContainerSheet, directories: Mapping[str, Path]) -> Record:
    """Return the sheet as plain data in the units of the record."""
    chapters = {name: json_of(each, directories[name]) for name, each in sheet.chapters.items()}
    return {**sheet.recorded, "opening": plain(sheet.opening), "chapters": chapters}


def tables_of(sheet: ContainerSheet, units: Units, *, judged_alone: bool = False) -> dict[str, TableData]:
    """Return all tables of the whole, in the order in which they are read."""
    return {
        "first": first_table(sheet, units),
        "margins": all_margins(sheet, units, judged_alone=judged_alone),
        "joint": joint_table(sheet, units),
        **summary_tables(sheet.recorded, units),
    }


def _content(sheet: ContainerSheet, units: Units) -> dict[str, Any]:
    return {"sheet": sheet, "tables": tables_of(sheet, units), "units": units, "cautions": sheet.recorded["cautions"]}


def _words(recorded: Fields) -> str:
    parts = ", ".join(map(str, recorded["parts"])) if isinstance(recorded["parts"], list) else ""
    return f"Half section of all parts as they meet: {parts}."
