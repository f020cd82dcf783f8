"""What a run prints, from its record: the margin table, the hand values beside it, and the verdict in one line."""

from collections.abc import Iterator

from rich.console import Group, RenderableType
from rich.table import Table as PrintedTable
from rich.text import Text

from buckle.cautions import CAUTIONS
from buckle.record.sheet.content import Sheet
from buckle.report.sheet.effect_tables import effect_table, tolerance_table, without_slope
from buckle.report.sheet.tables import (
    Cell,
    TableData,
    beside_table,
    expectation_table,
    margin_table,
    movement_table,
)
from buckle.results import Status
from buckle.units import NONE, Units


def printed(sheet: Sheet, units: Units) -> RenderableType:
    """Everything printed for one case, in a reader's units."""
    tables = [margin_table(sheet, units), movement_table(sheet, units), beside_table(sheet, units)]
    tables += [effect_table(sheet, units), tolerance_table(sheet), expectation_table(sheet, units)]
    return Group(
        Text(sheet.head.title, style="bold"),
        *(printed_table(each) for each in tables if each.rows),
        *(Text(units.words(line)) for line in (*_notes(sheet), *_unfinished(sheet))),
        *(Text(units.words(f"CAUTION: {caution}.")) for caution in sheet.cautions_of_body + sheet.cautions_of_strain),
        *(Text(f"No one derivative of the capacity {each}.") for each in without_slope(sheet)),
        *(Text(f"No sensitivities of {each}.") for each in _underived(sheet)),
        *(Text(units.words(line)) for line in contents_lines(sheet)),
        Text(units.words(f"VERDICT: {sheet.opening}"), style="bold"),
        Text(" ".join(CAUTIONS), style="dim"),
        "",
    )


def printed_table(data: TableData) -> PrintedTable:
    """Return a table for a terminal: units in the heads of columns that have one, nothing where there is no number."""
    table = PrintedTable(title=Text(data.title), title_justify="left")
    units = [data.unit(at) for at in range(len(data.columns))]
    for at, (name, unit) in enumerate(zip(data.columns, units, strict=True)):
        head = Text(f"{name} [{unit}]" if unit else name)
        if data.is_numeric(at):
            table.add_column(head, justify="right", no_wrap=True)
        else:
            table.add_column(head, overflow="fold")
    for at, row in enumerate(data.rows):
        cells = (_cell(cell, unit) for cell, unit in zip(row, units, strict=True))
        table.add_row(*map(Text, cells), style="bold" if at in data.bold else "")
    return table


def _cell(cell: Cell, unit: str) -> str:
    if cell.text == NONE:
        return ""
    return cell.text if unit else cell.whole


def _notes(sheet: Sheet) -> Iterator[str]:
    return (f"{line.method}, {line.limit_state}: {line.reason}." for line in sheet.margins if line.reason)


def contents_lines(sheet: Sheet) -> Iterator[str]:
    """Yield what is said of the contents of a case; nothing where there are none."""
    if sheet.contents is None:
        return
    yield f"DEMAND: {sheet.contents.demand}"
    yield from (f"ASSUMED: {each}." for each in sheet.contents.assumptions)
    yield from (f"CAUTION: {each}." for each in sheet.contents.cautions)
    if sheet.contents.holds:
        yield sheet.contents.holds


def _underived(sheet: Sheet) -> tuple[str, ...]:
    return () if sheet.sensitivities is None else sheet.sensitivities.failed


def _unfinished(sheet: Sheet) -> Iterator[str]:
    for each in sheet.evidence:
        if each.status != Status.SOLVED:
            yield f"{each.kind} {each.status}: {each.reason}. Try: {each.remedy}."
