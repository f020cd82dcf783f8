"""The stored table of the study of the rolling formula, and what it says: mean, scatter, extremes, exponents."""

import csv
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from scripts.paths import DOCS
from scripts.study.rolling.bodies import BASE_RANGES, END_RANGES

PAGE = DOCS / "rolling-of-the-stand.md"

Row = Mapping[str, float]  # NaN: no value; computed_MPa is the finite element's, formula_MPa and parallel_MPa by hand
SWITCHES = ("reformed", "slopes")
SHARES = ("leg", "chuck_wall_angle", "chuck_wall_length")  # drawn as shares of a range that depends on a switch


@dataclass(frozen=True)
class Spread:
    """Formula over finite element."""

    count: int
    mean: float
    variation: float
    lowest: float
    highest: float

    def __str__(self) -> str:
        return (
            f"{self.count} | {self.mean:.3f} | {100.0 * self.variation:.1f} % | {self.lowest:.2f} | {self.highest:.2f}"
        )


def table_path(what: str) -> Path:
    return DOCS / f"rolling-of-the-stand.{what}.csv"


def read_table(what: str) -> list[Row]:
    path = table_path(what)
    if not path.exists():
        return []
    with path.open(newline="", encoding="utf-8") as file:
        return [{key: float(value or "nan") for key, value in row.items()} for row in csv.DictReader(file)]


def write_table(what: str, rows: Sequence[Row]) -> None:
    with table_path(what).open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows({key: _text(value) for key, value in row.items()} for row in rows)


def spread(rows: Sequence[Row], value: str = "formula_MPa") -> Spread:
    """Rows without either number do not count."""
    ratios = np.array([row[value] / row["computed_MPa"] for row in rows])
    ratios = ratios[np.isfinite(ratios)]
    mean = float(ratios.mean())
    return Spread(len(ratios), mean, float(ratios.std(ddof=1)) / mean, float(ratios.min()), float(ratios.max()))


def exponents(what: str, rows: Sequence[Row]) -> dict[str, float]:
    """Least-squares exponents of formula / finite element in each drawn number; shares and switches linear."""
    names = list(BASE_RANGES if what == "bases" else END_RANGES)
    rows = [row for row in rows if np.isfinite(row["formula_MPa"] / row["computed_MPa"])]
    columns = [[_regressor(name, row[name]) for row in rows] for name in names]
    matrix = np.column_stack([np.ones(len(rows)), *columns])
    target = np.log([row["formula_MPa"] / row["computed_MPa"] for row in rows])
    return dict(zip(names, np.linalg.lstsq(matrix, target, rcond=None)[0][1:], strict=True))


def measured(tables: Mapping[str, Sequence[Row]]) -> str:
    """The measured part of the page."""
    lines = ["| formula / finite element | number | mean | scatter | lowest | highest |", "|---|---|---|---|---|---|"]
    lines += [f"| {name} | {spread(rows, value)} |" for name, rows, value in _groups(tables)]
    for what, rows in tables.items():
        missing = [row for row in rows if not np.isfinite(row["computed_MPa"])]
        found = ", ".join(
            f"{name} {value:+.2f}" for name, value in exponents(what, rows).items() if abs(value) >= 0.015
        )
        lines += ["", f"Residual exponents, {what}: {found}; all others below 0.015."]
        lines += ["", f"Without a finite-element limit: {len(missing)} of {len(rows)} {what}."]
    return "\n".join(lines)


def _groups(tables: Mapping[str, Sequence[Row]]) -> Iterator[tuple[str, list[Row], str]]:
    bases, ends = tables["bases"], tables["ends"]
    yield "bases", list(bases), "formula_MPa"
    yield "... straight leg", _where(bases, lambda row: row["reformed"] < 0.5), "formula_MPa"
    yield "... reformed leg", _where(bases, lambda row: row["reformed"] >= 0.5), "formula_MPa"
    yield (
        "... stand rolls (by the formula)",
        _where(bases, lambda row: row["roll_MPa"] <= row["snap_MPa"]),
        "formula_MPa",
    )
    yield "... dome turns (by the formula)", _where(bases, lambda row: row["roll_MPa"] > row["snap_MPa"]), "formula_MPa"
    yield "bases, rolling alone", list(bases), "roll_MPa"
    yield "bases, parallel legs", list(bases), "parallel_MPa"
    yield "ends", list(ends), "formula_MPa"
    yield "... one slope", _where(ends, lambda row: row["slopes"] < 0.5), "formula_MPa"
    yield "... two slopes", _where(ends, lambda row: row["slopes"] >= 0.5), "formula_MPa"
    yield "ends, parallel legs", list(ends), "parallel_MPa"


def _where(rows: Sequence[Row], wanted: Callable[[Row], bool]) -> list[Row]:
    return [row for row in rows if wanted(row)]


def _regressor(name: str, value: float) -> float:
    if name in SWITCHES:
        return float(value >= 0.5)
    return value if name in SHARES else float(np.log(value))


def _text(value: float) -> str:
    return "" if np.isnan(value) else f"{value:.8g}"
