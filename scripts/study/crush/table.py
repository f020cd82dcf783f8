"""The stored table of the study of the crush of the stand, and what it says."""

import csv
from collections.abc import Mapping, Sequence

import numpy as np

from scripts.paths import DOCS
from scripts.study.rolling.table import Spread

PAGE = DOCS / "crush-of-the-stand.md"
TABLE = DOCS / "crush-of-the-stand.csv"
KINDS = ("MNA", "GMNA")

Row = Mapping[str, float]


def read_table() -> list[Row]:
    with TABLE.open(newline="", encoding="utf-8") as file:
        return [{key: float(value) for key, value in row.items()} for row in csv.DictReader(file)]


def write_table(rows: Sequence[Row]) -> None:
    with TABLE.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows({key: f"{value:.6g}" for key, value in row.items()} for row in rows)


def spread(rows: Sequence[Row], kind: str) -> Spread:
    """Formula over the limit of an analysis; rows without either number do not count."""
    ratios = np.array([row["formula_N"] / row[f"{kind}_N"] for row in rows])
    ratios = ratios[np.isfinite(ratios)]
    mean = float(ratios.mean())
    return Spread(len(ratios), mean, float(ratios.std(ddof=1)) / mean, float(ratios.min()), float(ratios.max()))


def measured(rows: Sequence[Row]) -> str:
    """The measured part of the page."""
    lines = ["| formula / limit | number | mean | scatter | lowest | highest |", "|---|---|---|---|---|---|"]
    for kind in KINDS:
        lines.append(f"| {kind}, all | {spread(rows, kind)} |")
        for pressure in sorted({row["pressure_bar"] for row in rows}):
            some = [row for row in rows if row["pressure_bar"] == pressure]
            lines.append(f"| {kind}, {pressure:g} bar | {spread(some, kind)} |")
    return "\n".join(lines)
