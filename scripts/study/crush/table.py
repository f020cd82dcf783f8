"""The stored tables of the study of the crush of stands and necks, and what they say."""

import csv
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from scripts.paths import DOCS
from scripts.study.rolling.table import Spread

PAGE = DOCS / "crush.md"
KINDS = ("MNA", "GMNA")

Row = Mapping[str, float]


def table_path(what: str) -> Path:
    return DOCS / f"crush.{what}.csv"


def read_table(what: str) -> list[Row]:
    with table_path(what).open(newline="", encoding="utf-8") as file:
        return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(file)]


def write_table(what: str, rows: Sequence[Row]) -> None:
    with table_path(what).open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows({key: f"{value:.6g}" for key, value in row.items()} for row in rows)


def spread(rows: Sequence[Row], kind: str) -> Spread:
    """Formula over the limit of an analysis; rows without either number do not count."""
    ratios = np.array([row["formula_N"] / row[f"{kind}_N"] for row in rows])
    ratios = ratios[np.isfinite(ratios)]
    mean = float(ratios.mean())
    return Spread(len(ratios), mean, float(ratios.std(ddof=1)) / mean, float(ratios.min()), float(ratios.max()))


def at(rows: Sequence[Row], pressure: float) -> list[Row]:
    return [row for row in rows if row["pressure_bar"] == pressure]


def claim(what: str, rows: Sequence[Row]) -> str:
    """What the statement of a formula says of it."""
    empty, full = (spread(at(rows, 0.0), kind) for kind in KINDS)
    under = spread([row for row in rows if row["pressure_bar"]], "GMNA")
    return (
        f"on {empty.count} random {what} without pressure computed for this project, formula over the limit of MNA has"
        f" mean {empty.mean:.2f}, extremes {empty.lowest:.2f} and {empty.highest:.2f}; over that of GMNA, the capacity,"
        f" mean {full.mean:.2f}, extremes {full.lowest:.2f} and {full.highest:.2f}: too high; under 2 and 4 bar"
        f" extremes {under.lowest:.2f} and {under.highest:.2f}"
    )


def measured(tables: Mapping[str, Sequence[Row]]) -> str:
    """The measured part of the page."""
    lines = ["| formula / limit | number | mean | scatter | lowest | highest |", "|---|---|---|---|---|---|"]
    for what, rows in tables.items():
        for kind in KINDS:
            for pressure in sorted({row["pressure_bar"] for row in rows}):
                lines.append(f"| {what}, {kind}, {pressure:g} bar | {spread(at(rows, pressure), kind)} |")
    return "\n".join(lines)
