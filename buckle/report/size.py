"""What a sizing came to, for people."""

from collections.abc import Iterator, Sequence

from rich.console import Group, RenderableType
from rich.table import Table as PrintedTable
from rich.text import Text

from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.size.answer import notes, why_none, with_unit
from buckle.size.one import Scan
from buckle.size.trial import Trial
from buckle.units import Units


def scan_text(case: Case, scan: Scan, sure: Trial | None, cautions: Sequence[str], units: Units) -> RenderableType:
    """Return what is printed of a question about one variable."""
    lines = [*_answer_lines(scan, sure), *(f"CAUTION: {each}." for each in cautions)]
    return Group(
        Text(case.title, style="bold"),
        _scan_table(scan, units),
        *(Text(units.words(line)) for line in lines),
        Text(units.words(f"ANSWER: {headline(scan)}"), style="bold"),
        Text(" ".join(CAUTIONS), style="dim"),
    )


def headline(scan: Scan) -> str:
    """Return the answer in one sentence."""
    answer, key = scan.answer, scan.variable.key
    if answer is None:
        return f"none: {why_none(scan)}."
    which = "up to" if answer.holds_above else "down to"
    return (
        f"{with_unit(scan, answer.value)}: at that {key} the least reserve factor is {scan.asked:g}, and no less "
        f"{which} {with_unit(scan, scan.holds_to(answer))}, as far as was looked; governing: "
        f"{answer.trial.governing}; the case has {with_unit(scan, scan.variable.value)}."
    )


def _answer_lines(scan: Scan, sure: Trial | None) -> Iterator[str]:
    answer = scan.answer
    if answer is None:
        return
    yield from (f"NOTE: {each}." for each in notes(scan, answer))
    trial = sure or answer.trial
    error = trial.quantities.get("numerical_error_percent")
    known = "" if error is None else f", known to {error:.2g} %"
    mass = trial.quantities.get("mass_g")
    yield f"Reserve factor {trial.least:.4f}{known}" + ("" if mass is None else f"; mass {mass:.4g} g") + "."
    if trial.quantities.get("doubts"):
        yield f"DOUBT: {trial.quantities['doubts']}."


def _scan_table(scan: Scan, units: Units) -> PrintedTable:
    unit = f" [{scan.variable.unit}]" if scan.variable.unit else ""
    table = PrintedTable(title="What was looked at", title_justify="left")
    table.add_column(Text(f"{scan.variable.key}{unit}"), justify="right")
    table.add_column("reserve factor", justify="right")
    table.add_column("governing", overflow="fold")
    answer = scan.answer
    for value, trial in scan.trials:
        reserve = "" if trial.least is None else f"{trial.least:.4g}"
        words = trial.governing if trial.judged else units.words(f"{trial.status}: {trial.reason}")
        bold = "bold" if answer is not None and value == answer.value else ""
        table.add_row(f"{value:.6g}", reserve, Text(words), style=bold)
    return table
