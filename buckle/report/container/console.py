"""What a run of a container prints: which part goes first, the margins of all parts, what it holds, the verdict."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.text import Text

from buckle.cautions import CAUTIONS
from buckle.record.sheet.container import ContainerSheet
from buckle.report.console import contents_lines, printed_table
from buckle.report.container.page import tables_of
from buckle.units import Units


def printed_container(sheet: ContainerSheet, units: Units) -> RenderableType:
    """Everything printed for one container, in a reader's units."""
    tables = tables_of(sheet, units, judged_alone=True)
    return Group(
        Text(sheet.head.title, style="bold"),
        *(printed_table(each) for each in tables.values() if each.rows),
        *(Text(units.words(line)) for line in _lines(sheet)),
        Text(units.words(f"VERDICT: {sheet.opening}"), style="bold"),
        Text(" ".join(CAUTIONS), style="dim"),
        "",
    )


def _lines(sheet: ContainerSheet) -> Iterator[str]:
    """Yield what is said of the contents, once for all parts that have the same, and the cautions of each part."""
    said = dict.fromkeys(line for each in sheet.chapters.values() for line in contents_lines(each))
    yield from said
    for name, each in sheet.chapters.items():
        yield from (f"CAUTION, {name}: {line}." for line in (*each.cautions_of_body, *each.cautions_of_strain))
    yield from (f"CAUTION: {line}." for line in sheet.notes)
    yield from (f"{line}." for line in sheet.reasons)
