"""The stored table of the study of sectors, and the measured part of its page."""

import csv
from collections.abc import Iterator, Sequence
from dataclasses import asdict, fields

from scripts.paths import DOCS
from scripts.study.sector.runs import MESH, Mesh, Row

PAGE, TABLE = DOCS / "deviations.md", DOCS / "deviations.sector.csv"
COUNTS = ("columns", "layers", "around", "bricks", "unknowns")

BESIDE = ("end", "deviation", "solid", "shell", "shell over solid", "waves there: solid, shell", "grown: solid, shell")


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
    lines = [
        f"| {' | '.join(BESIDE)} |",
        "|---|---|---|---|---|---|---|",
        *map(_beside, _on(rows, MESH)),
        "",
        "| E2, 0.01 mm: along | layers | around | strain in a step | highest pressure | over the first | time |",
        "|---|---|---|---|---|---|---|",
        *_meshes([row for row in rows if row.end == "e2" and row.deviation_mm == 0.01]),
    ]
    return "\n".join(lines)


def _on(rows: Sequence[Row], mesh: Mesh) -> list[Row]:
    """Rows on the mesh that all deviations are followed on, which has its own number of columns on each end."""
    longest = {row.end: row.columns for row in reversed(rows)}  # the first of each end is on it
    return [
        row
        for row in rows
        if (row.columns, row.layers, row.around, row.strain)
        == (longest[row.end], mesh.layers, mesh.around, mesh.strain)
    ]


def _beside(row: Row) -> str:
    apart = 100.0 * (row.shell_bar / row.peak_bar - 1.0)
    return (
        f"| {row.end.upper()} | {row.deviation_mm:g} mm | {row.peak_bar:.3f} bar | {row.shell_bar:.3f} bar "
        f"| {apart:+.2f} % | {row.waves_at_peak_mm:.3f}, {row.shell_waves_mm:.3f} mm "
        f"| {row.growth_beyond:.2f}, {row.shell_growth:.2f} |"
    )


def _meshes(rows: Sequence[Row]) -> Iterator[str]:
    first = rows[0]
    for row in rows:
        moved = "" if row is first else f"{100.0 * (row.peak_bar / first.peak_bar - 1.0):+.2f} %"
        mesh = f"{row.columns} | {row.layers} | {row.around} | {row.strain:g}"
        yield f"| {mesh} | {row.peak_bar:.3f} bar | {moved} | {row.seconds:.0f} s |"
