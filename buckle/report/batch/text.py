"""What a batch tells: counts, causes, the first rows; printed and machine-readable."""

from collections.abc import Mapping, Sequence
from typing import Any

from rich.console import Group, RenderableType
from rich.table import Table as PrintedTable
from rich.text import Text

from buckle.batch.numbers import REQUIRED, VERDICT, Slope, governing_column, shortfall
from buckle.batch.progress import BatchProgress, time_text
from buckle.batch.summary import Forecast, causes, counts, exponents_of
from buckle.cautions import CAUTIONS
from buckle.margins import Word
from buckle.record.sheet.values import quantity_value
from buckle.report.batch.labels import bare_label
from buckle.store import RowStatus, Table
from buckle.store.table import NUMBER, REASON, STATUS
from buckle.units import Units

KEYS = 6  # columns of what varies
ROWS = 20
"""Rows of a table that are printed; all of them are in the CSV file and in the JSON."""
CAUSES = 10
BESIDE = ("reserve_factor", "verdict", "governing_limit_state", "mass_g")


def unreadable_text(lines: int) -> str:
    """Return what is said of lines of the store that hold no row any more."""
    which = "1 line holds" if lines == 1 else f"{lines} lines hold"
    return f"Damaged or cut short: {which} no row any more. What was there counts for nothing and is computed again."


def sweep_text(table: Table, progress: BatchProgress, resume: str, unreadable: int = 0) -> RenderableType:
    """Return the printed end of a batch."""
    by_status = ", ".join(f"{count} {status}" for status, count in counts(table).items())
    speed = f"{progress.done - progress.kept} in {time_text(progress.seconds)} ({progress.rate:.1f}/s)"
    lines = [
        f"BATCH: {progress.done} of {progress.total} designs: {by_status or 'none'}; {speed}, "
        f"{progress.kept} kept from before."
    ]
    if any(row.get(REQUIRED) for row in table.rows):
        words = [row.get(VERDICT) for row in table.rows]
        verdicts = ", ".join(f"{words.count(word)} {word}" for word in Word if word in words)
        lines.insert(0, f"Verdicts: {verdicts}.")
    if unreadable:
        lines.append(unreadable_text(unreadable))
    if resume:
        lines.append(f"Interrupted. Every row that was reported is kept; go on with: {resume}")
    short = shortfall(table)
    if short is not None:
        lines.insert(0, f"Of the samples drawn, {short.words}.")
    tables = (*_cause_table(table), *_exponent_table(exponents_of(table)))
    return Group(Text(table.title, style="bold"), *tables, *[Text(line) for line in lines], _cautions())


def _exponent_table(found: Sequence[Slope]) -> list[RenderableType]:
    if not found:
        return []
    title = "Exponents d ln p / d ln x of the governing load p (least squares over all rows)"
    printed = PrintedTable(title=title, title_justify="left")
    printed.add_column("parameter")
    printed.add_column("exponent", justify="right")
    printed.add_column("standard error", justify="right")
    for each in found:
        printed.add_row(Text(bare_label(each.name)), f"{each.slope:.3f}", f"{each.error:.2g}")
    return [printed]


def _cause_table(table: Table) -> list[RenderableType]:
    found = causes(table)
    if not found:
        return []
    printed = PrintedTable(title="Designs without a verdict, by cause", title_justify="left")
    printed.add_column("designs", justify="right")
    printed.add_column("status", no_wrap=True)
    printed.add_column("such as", justify="right")
    printed.add_column("reason", overflow="fold")
    for cause in found[:CAUSES]:
        printed.add_row(str(cause.count), cause.status, f"design {cause.example}", Text(cause.reason))
    more = [Text(f"... and {len(found) - CAUSES} more causes.")] if len(found) > CAUSES else []
    return [printed, *more]


def forecast_text(forecast: Forecast, units: Units) -> RenderableType:
    """Return the printed answer of a dry run."""
    parts: list[RenderableType] = [Text(forecast.title, style="bold"), _first_designs(forecast.first, units)]
    content = f"DRY RUN: {forecast.designs} designs; nothing is kept."
    if forecast.mean is None or forecast.seconds is None:
        content += " None of the designs that were tried can be built."
    else:
        content += f" About {time_text(forecast.seconds)} with {forecast.jobs} at a time: "
        content += f"{forecast.mean:.2f} s a design, the mean of {forecast.timed} that were timed."
    return Group(*parts, Text(content), "")


def _first_designs(rows: Sequence[Mapping[str, Any]], units: Units) -> PrintedTable:
    """One line a key and one column a design: a study may vary more keys than fit side by side."""
    printed = PrintedTable(title=Text("First designs"), title_justify="left")
    printed.add_column(Text(NUMBER))
    for row in rows:
        printed.add_column(Text(str(row[NUMBER])), justify="right")
    for key in dict.fromkeys(key for row in rows for key in row if key != NUMBER):
        printed.add_row(Text(units.quantity(key)), *[Text(_cell(key, row.get(key), units)) for row in rows])
    return printed


def table_text(table: Table, whole: int, units: Units) -> RenderableType:
    """Return the printed rows in a reader's units."""
    pressure = governing_column(table)
    columns = [NUMBER, *table.varied[:KEYS], *([pressure] if pressure else [])]
    columns += [name for name in BESIDE if name in table.quantities]
    if any(row[STATUS] != RowStatus.SOLVED for row in table.rows):
        columns += [STATUS, REASON]
    printed = _printed(columns, table.rows[:ROWS], units, table.title)
    content = f"{len(table)} of {whole} rows" + (f", the first {ROWS} shown." if len(table) > ROWS else ".")
    if len(table.varied) > KEYS:
        content += f" {len(table.varied) - KEYS} more of the keys that vary are in the CSV and the explorer page."
    return Group(printed, Text(content), _cautions())


def _printed(columns: Sequence[str], rows: Sequence[Mapping[str, Any]], units: Units, title: str) -> PrintedTable:
    printed = PrintedTable(title=Text(title), title_justify="left")
    for name in columns:
        numeric = any(isinstance(row.get(name), int | float) for row in rows)
        printed.add_column(Text(units.quantity(name)), justify="right" if numeric else "left", overflow="fold")
    for row in rows:
        printed.add_row(*[Text(_cell(name, row.get(name), units)) for name in columns])
    return printed


def _cell(name: str, value: object, units: Units) -> str:
    if value is None:
        return ""
    return quantity_value(name, value, units)


def _cautions() -> Text:
    return Text(" ".join(CAUTIONS) + "\n", style="dim")
