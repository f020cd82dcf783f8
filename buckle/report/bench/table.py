"""How trials are told: the printed table and the machine-readable content."""

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.table import Table as PrintedTable
from rich.text import Text

from buckle.margins import Comparison
from buckle.marked import plain
from buckle.record.quantities import Record, versions
from buckle.record.sheet.values import quantity_value
from buckle.report.bench.trial import Trial
from buckle.units import Units

COLUMNS = ("case", "quantity", "computed", "expected", "deviation", "tolerance", "", "source")


def bench_table(trials: Sequence[Trial], units: Units, seconds: float) -> RenderableType:
    """Return the table of all expectations and a line that counts them, in a reader's units."""
    table = PrintedTable(title="Benchmarks", title_justify="left")
    for name in COLUMNS:
        numeric = name in ("computed", "expected", "deviation", "tolerance")
        table.add_column(name, overflow="fold", justify="right" if numeric else "left")
    for trial in trials:
        for cells in _rows(trial, units):
            table.add_row(*map(Text, cells), style="" if trial.met else "bold")
    reasons = [Text(units.words(f"{trial.name}: {reason}")) for trial in trials for reason in trial.unfinished]
    return Group(table, *reasons, Text(summary_line(trials, seconds), style="bold"), "")


def summary_line(trials: Sequence[Trial], seconds: float) -> str:
    """Return the counts in one line."""
    counts = {status: sum(trial.status == status for trial in trials) for status in ("met", "missed", "unfinished")}
    compared = sum(len(trial.comparisons) for trial in trials)
    by_status = ", ".join(f"{count} {status}" for status, count in counts.items())
    compared_text = f"{_count(len(trials), 'case')} with {_count(compared, 'expectation')}"
    return f"BENCHMARKS: {compared_text}: {by_status}; {seconds:.0f} s."


def _count(number: int, word: str) -> str:
    return f"{number} {word}" if number == 1 else f"{number} {word}s"


def bench_record(trials: Sequence[Trial]) -> Record:
    """Return everything but the times, which differ from run to run, as plain data."""
    return {"versions": versions(), "cases": [_case_fields(trial) for trial in trials]}


def _case_fields(trial: Trial) -> Record:
    content: Record = {"name": trial.name, "title": trial.title, "status": trial.status}
    if trial.unfinished:
        content["reasons"] = list(map(plain, trial.unfinished))
    return {**content, "expectations": [_expectation_fields(each) for each in trial.comparisons]}


def _expectation_fields(each: Comparison) -> Record:
    fields = {
        "quantity": each.quantity,
        "computed": each.found,
        "expected": list(each.expected) if isinstance(each.expected, tuple) else each.expected,
        "deviation_percent": each.deviation_percent,
        "tolerance_percent": each.tolerance_percent,
        "met": each.met,
        "source": each.source,
        "reason": each.reason,
    }
    return {key: value for key, value in fields.items() if value is not None}


def _rows(trial: Trial, units: Units) -> Iterator[tuple[str, ...]]:
    for each in trial.comparisons:
        yield (
            trial.name,
            units.quantity(each.quantity),
            quantity_value(each.quantity, each.found, units),
            quantity_value(each.quantity, each.expected, units),
            "" if each.deviation_percent is None else f"{each.deviation_percent:.2g} %",
            "" if each.tolerance_percent is None else f"{each.tolerance_percent:g} %",
            "met" if each.met else "NOT MET",
            each.source,
        )
