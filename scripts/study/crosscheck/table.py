"""The stored tables of the study of shell against solid, and what they say: medians, extremes, bodies outside."""

import csv
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from buckle.crosscheck.bands import PLASTIC
from scripts.paths import DOCS
from scripts.study.crosscheck.runs import GROWTHS, THIN_GROWTHS, THINNER, Row, apart, outside

PAGE = DOCS / "crosscheck.md"
BODIES, THIN = DOCS / "crosscheck.csv", DOCS / "crosscheck.thinner.csv"
TEXTS = ("body", "event", "trouble")
NAMES = {
    "capacity": "capacity, waves left aside",
    "onset": "onset of waves",
    "lower_onset": "onset by deformation theory",
}
GOAL = 0.5  # per cent, of pressures at growths
COLUMNS = "number | lowest | tenth | median | nine tenths | highest | 95 % within | within 0.5 % | within 1.5 %"
RULE = "|---|" + "---:|" * 9

Difference = Callable[[Row], float | None]


@dataclass(frozen=True)
class Spread:
    """How far the shell is above the solid, in per cent."""

    values: tuple[float, ...]

    @property
    def median(self) -> float:
        return float(np.median(self.values))

    def within(self, percent: float) -> int:
        return sum(abs(value) <= percent for value in self.values)

    def __str__(self) -> str:
        low, high = np.percentile(self.values, [10.0, 90.0])
        ends = f"{min(self.values):+.2f} | {low:+.2f} | {self.median:+.2f} | {high:+.2f} | {max(self.values):+.2f}"
        most = np.percentile(np.abs(self.values), 95.0)
        return f"{len(self.values)} | {ends} | {most:.2f} | {self.within(GOAL)} | {self.within(PLASTIC)}"


def read_rows(path: Path) -> list[Row]:
    if not path.exists():
        return []
    with path.open(newline="", encoding="utf-8") as file:
        return [{key: _value(key, text) for key, text in row.items()} for row in csv.DictReader(file)]


def write_rows(path: Path, rows: Sequence[Row]) -> None:
    """All rows, with every column that one of them has."""
    columns = list(dict.fromkeys(key for row in rows for key in row))
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, columns, restval="", lineterminator="\n")
        writer.writeheader()
        writer.writerows({key: _text(value) for key, value in row.items()} for row in rows)


def above(key: str, of: str = "solid", model: str = "shell") -> Difference:
    """By how many per cent one model is above another in what both have."""

    def read(row: Row) -> float | None:
        shell, solid = row[f"{model}_{key}"], row[f"{of}_{key}"]
        return 100.0 * (shell / solid - 1.0) if isinstance(shell, float) and isinstance(solid, float) else None

    return read


def at_growth(growth: float, of: str = "solid", model: str = "shell") -> Difference:
    """The same in the pressure at a growth that both come to before their highest pressure."""
    pressures = above(f"at_{growth:g}", of, model)

    def read(row: Row) -> float | None:
        reached = min(_number(row[f"{side}_growth"]) for side in (model, of))
        return pressures(row) if growth <= reached else None

    return read


def spread(rows: Iterable[Row], difference: Difference) -> Spread:
    """Of the rows that have it."""
    return Spread(tuple(value for row in rows if (value := difference(row)) is not None))


def beyond(rows: Iterable[Row]) -> list[tuple[Row, str]]:
    """Bodies that differ by more than the band, and in what."""
    return [(row, key) for row in rows for key in outside(row)]


def measured(rows: Sequence[Row], thin: Sequence[Row]) -> str:
    """The measured part of the page."""
    parts = [_spreads(rows), _outside(rows), _thinner(thin), _shear(rows), _quick(rows)]
    return "\n\n".join("\n".join(part) for part in parts)


def _spreads(rows: Sequence[Row]) -> Iterator[str]:
    yield f"| shell above solid, % | {COLUMNS} |"
    yield RULE
    for what, own in _groups(rows):
        for name, difference in _quantities():
            found = spread(own, difference)
            if found.values:
                yield f"| {what}: {name} | {found} |"


def _groups(rows: Sequence[Row]) -> Iterator[tuple[str, list[Row]]]:
    for what in ("bases", "ends"):
        yield what, [row for row in rows if row["body"] == what]


def _quantities() -> Iterator[tuple[str, Difference]]:
    for key, name in NAMES.items():
        yield name, above(key)
    yield "first limit, where it is the capacity of both", above("limit")
    for growth in GROWTHS:
        yield f"pressure at {growth:g} mm of growth", at_growth(growth)


def _outside(rows: Sequence[Row]) -> Iterator[str]:
    found = beyond(rows)
    counts = [f"{len([row for row, which in found if which == key])} in {name}" for key, name in NAMES.items()]
    yield f"Outside the band of {PLASTIC:g} %, of {len(rows)} bodies: {'; '.join(counts)}."
    if not found:
        return
    yield ""
    yield "| body | what | shell, bar | solid, bar | apart, % | finer shell, bar | finer solid, bar | apart, % |"
    yield "|---|---|---:|---:|---:|---:|---:|---:|"
    for row, key in found:
        cells = [f"{row['body']} {_number(row['number']):.0f}", NAMES[key]]
        for run in ("", "finer_"):
            cells += [_pressure(row[f"{run}{side}_{key}"]) for side in ("shell", "solid")]
            far = apart(row, key, run)
            cells.append("" if far is None else f"{far:.2f}")
        yield f"| {' | '.join(cells)} |"


def _thinner(thin: Sequence[Row]) -> Iterator[str]:
    growths = " | ".join(f"at {growth:g} mm" for growth in THIN_GROWTHS)
    yield f"| thinner walls, medians in % | bodies | {growths} | half of the share of shear |"
    yield "|---|---:|" + "---:|" * len(THIN_GROWTHS) + "---:|"
    for what, own in _groups(thin):
        for share in THINNER:
            found = [row for row in own if row["share"] == share]
            if found:
                yield f"| {what}, {share:g} of the gauge | {' | '.join(_medians(found))} |"


def _medians(rows: Sequence[Row]) -> Iterator[str]:
    yield str(len({row["number"] for row in rows}))
    for growth in THIN_GROWTHS:
        values = [shell_above(row) for row in rows if row["growth"] == growth]
        yield f"{np.median(values):+.2f}" if values else "none"
    yield f"{0.5 * np.median([_number(row['shear_share_percent']) for row in rows]):.2f}"


def shell_above(row: Row) -> float:
    """By how many per cent the shell is above the solid in a row of thinner walls."""
    return 100.0 * (_number(row["shell"]) / _number(row["solid"]) - 1.0)


def _shear(rows: Sequence[Row]) -> Iterator[str]:
    for at, (what, own) in enumerate(_groups(rows)):
        if at:
            yield ""
        pairs = [
            (value, 0.5 * _number(row["solid_shear_share_percent"]))
            for row in own
            if (value := above("capacity")(row)) is not None
        ]
        found, half = np.array(pairs).T
        left, together = found - half, np.corrcoef(found, half)[0, 1]
        yield (
            f"Half of the share that shear has in the plastic work at the capacity of {what}: median"
            f" {np.median(half):.2f} %, from {half.min():.2f} to {half.max():.2f} %; what is left of the difference has"
            f" median {np.median(left):+.2f} % and standard deviation {np.std(left, ddof=1):.2f} %, against"
            f" {np.std(found, ddof=1):.2f} % of the whole; correlation of the two {together:+.2f}."
        )


def _quick(rows: Sequence[Row]) -> Iterator[str]:
    yield f"| the command's solid above the fine one, % | {COLUMNS} |"
    yield RULE
    for name, difference in (
        ("capacity", above("capacity", model="quick")),
        ("onset of waves", above("onset", model="quick")),
    ):
        yield f"| {name} | {spread(rows, difference)} |"
    for growth in GROWTHS:
        yield f"| pressure at {growth:g} mm of growth | {spread(rows, at_growth(growth, model='quick'))} |"


def _pressure(value: object) -> str:
    return f"{value:.3f}" if isinstance(value, float) else "none"


def _number(value: object) -> float:
    assert isinstance(value, int | float)
    return float(value)


def _value(key: str, text: str) -> object:
    if not text:
        return None
    return text if key.rpartition("_")[2] in TEXTS else float(text)


def _text(value: object) -> str:
    return "" if value is None else f"{value:.7g}" if isinstance(value, float) else str(value)
