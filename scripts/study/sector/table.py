"""The stored table of the study of sectors, and the measured part of its page."""

import csv
from collections.abc import Sequence
from dataclasses import asdict, fields

from scripts.paths import DOCS
from scripts.study.sector.runs import ALONE, Row

PAGE, TABLE = DOCS / "deviations.md", DOCS / "deviations.sector.csv"
COUNTS = ("columns", "layers", "around", "bricks", "unknowns")

BESIDE = (
    *("end", "deviation", "solid", "shell", "shell over solid", "the same without waves"),
    *("waves there: solid, shell", "where it has fallen by 3 %, over those"),
)


def write_rows(rows: Sequence[Row]) -> None:
    with TABLE.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, [field.name for field in fields(Row)], lineterminator="\n")
        writer.writeheader()
        for row in rows:
            writer.writerow(
                {key: f"{value:.6g}" if isinstance(value, float) else value for key, value in asdict(row).items()}
            )


def read_rows() -> list[Row]:
    with TABLE.open(newline="", encoding="utf-8") as file:
        return [Row(**{key: _value(key, value) for key, value in row.items()}) for row in csv.DictReader(file)]


def _value(key: str, value: str) -> str | int | float:
    return value if key == "end" else int(value) if key in COUNTS else float(value)


def measured(rows: Sequence[Row]) -> str:
    """The measured part of the page."""
    first = {row.end: row for row in reversed(rows)}
    lines = [
        f"| {' | '.join(BESIDE)} |",
        f"|{'---|' * len(BESIDE)}",
        *(_beside(row) for row in rows if row.mesh == first[row.end].mesh),
        "",
        "| E2, 0.01 mm: columns along | layers | around | strain in a step | bricks | unknowns | highest pressure |",
        "|---|---|---|---|---|---|---|",
        *(_mesh(row) for row in rows if row.end == "e2" and row.deviation_mm == ALONE),
    ]
    return "\n".join(lines)


def _beside(row: Row) -> str:
    apart, even = (
        100.0 * (shell / solid - 1.0)
        for shell, solid in ((row.shell_bar, row.peak_bar), (row.shell_even_bar, row.even_bar))
    )
    return (
        f"| {row.end.upper()} | {row.deviation_mm:g} mm | {row.peak_bar:.3f} bar | {row.shell_bar:.3f} bar "
        f"| {apart:+.2f} % | {even:+.2f} % | {row.waves_at_peak_mm:.3f}, {row.shell_waves_mm:.3f} mm "
        f"| {row.growth_beyond:.2f}, {row.shell_growth:.2f} |"
    )


def _mesh(row: Row) -> str:
    mesh = f"{row.columns} | {row.layers} | {row.around} | {row.strain:g}"
    return f"| {mesh} | {row.bricks} | {row.unknowns} | {row.peak_bar:.3f} bar |"
