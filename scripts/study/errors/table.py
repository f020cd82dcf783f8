"""The stored table of the study of error estimates, and what it says: how often the truth lies outside an estimate."""

import csv
from collections.abc import Iterator, Sequence
from dataclasses import astuple, dataclass, fields

import numpy as np

from scripts.paths import DOCS

QUANTITIES = {"LA": "LA first yield", "LBA": "LBA", "MNA": "MNA", "GNA": "GNA", "GMNA": "GMNA capacity"}
PAGE, TABLE = DOCS / "errors.md", DOCS / "errors.csv"


@dataclass(frozen=True)
class Row:
    """What one kind of analysis of one body found; None where there is no number."""

    family: str
    number: int
    kind: str
    status: str
    event: str
    pressure_bar: float | None
    estimate_percent: float | None
    true_bar: float | None

    @property
    def error_percent(self) -> float | None:
        """True error."""
        if self.pressure_bar is None or self.true_bar is None:
            return None
        return 100.0 * abs(self.pressure_bar / self.true_bar - 1.0)


@dataclass(frozen=True)
class Count:
    """True errors against estimates."""

    number: int
    median_estimate: float
    median_error: float
    largest_error: float
    above: int
    above_twice: int


def read_table() -> list[Row]:
    with TABLE.open(newline="", encoding="utf-8") as file:
        return [
            Row(
                **{key: row[key] for key in ("family", "kind", "status", "event")},
                number=int(row["number"]),
                **{key: float(row[key]) if row[key] else None for key in NUMBERS},
            )
            for row in csv.DictReader(file)
        ]


NUMBERS = ("pressure_bar", "estimate_percent", "true_bar")


def write_table(rows: Sequence[Row]) -> None:
    with TABLE.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(field.name for field in fields(Row))
        writer.writerows([_text(value) for value in astuple(row)] for row in rows)


def count(rows: Sequence[Row]) -> Count:
    pairs = [(row.error_percent, row.estimate_percent) for row in rows if _compared(row)]
    errors, estimates = np.array(pairs, dtype=float).T
    return Count(
        len(pairs),
        float(np.median(estimates)),
        float(np.median(errors)),
        float(np.max(errors)),
        int(np.sum(errors > estimates)),
        int(np.sum(errors > 2.0 * estimates)),
    )


def quantities(rows: Sequence[Row]) -> Iterator[tuple[str, list[Row]]]:
    """Rows by quantity: what decides each kind of analysis."""
    compared = [row for row in rows if _compared(row)]
    for kind, name in QUANTITIES.items():
        yield name, [row for row in compared if row.kind == kind]


def groups(rows: Sequence[Row]) -> Iterator[tuple[str, list[Row]]]:
    """Rows by quantity, those of capacities by their event too; then all together."""
    for name, some in quantities(rows):
        yield name, some
        events = sorted({row.event for row in some})
        if len(events) > 1:
            yield from ((f"... {event}", [row for row in some if row.event == event]) for event in events)
    yield "all", [row for row in rows if _compared(row)]


def measured(rows: Sequence[Row]) -> str:
    """The measured part of the page."""
    lines = [
        "| quantity | numbers | estimate, median | true error, median | largest | above the estimate | above twice |",
        "|---|---|---|---|---|---|---|",
    ]
    for name, some in groups(rows):
        c = count(some)
        lines.append(
            f"| {name} | {c.number} | {c.median_estimate:.3f} % | {c.median_error:.4f} % | {c.largest_error:.2f} % "
            f"| {c.above} ({c.above / c.number:.1%}) | {c.above_twice} ({c.above_twice / c.number:.1%}) |"
        )
    lost = [row for row in rows if row.pressure_bar is not None and row.true_bar is None]
    lines += ["", f"Numbers whose finer run gave none: {len(lost)}{_named(lost)}."]
    failed = [row for row in rows if row.status == "failed"]
    lines += ["", f"Analyses that failed and gave no number: {len(failed)} of {len(rows)}{_named(failed)}."]
    wrong = [row for row in rows if _compared(row) and row.error_percent > 2.0 * row.estimate_percent]
    lines += ["", f"Numbers that are wrong by more than twice their estimate: {len(wrong)}{_named(wrong)}."]
    return "\n".join(lines)


def _compared(row: Row) -> bool:
    return row.error_percent is not None and row.estimate_percent is not None


def _named(rows: Sequence[Row]) -> str:
    return f" ({', '.join(f'{row.family} {row.number} {row.kind}' for row in rows)})" if rows else ""


def _text(value: object) -> str:
    return "" if value is None else f"{value:.8g}" if isinstance(value, float) else str(value)
