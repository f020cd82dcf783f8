"""The stored tables of the study of the capacity, and what they say."""

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import astuple, dataclass, fields
from itertools import groupby, pairwise
from math import log
from pathlib import Path
from statistics import median

from scripts.paths import DOCS

PAGE = DOCS / "capacity.md"
LEVELS = {
    "mesh 2": {"numerics.mesh_density": 2.0},
    "mesh 4": {"numerics.mesh_density": 4.0},
    "step 1/2": {"numerics.step": 0.5},
    "step 1/4": {"numerics.step": 0.25},
    "layers 24": {"numerics.layers": 24},
}
JUMP = 0.5  # per cent of change beyond what the whole line shows
Pressure = float | None


@dataclass(frozen=True)
class SweepRow:
    """Capacity of a body with one of its numbers changed; `event` is the reason where there is none."""

    body: str
    key: str
    value: float
    pressure_bar: Pressure
    event: str
    error_percent: Pressure


@dataclass(frozen=True)
class LevelRow:
    """Capacity of a body at several levels; `events` are those of the other levels."""

    body: str
    pressure_bar: Pressure
    event: str
    error_percent: Pressure
    mesh_2_bar: Pressure
    mesh_4_bar: Pressure
    step_half_bar: Pressure
    step_quarter_bar: Pressure
    layers_24_bar: Pressure
    events: str

    @property
    def changes(self) -> dict[str, float]:
        """Change at every level [%]; infinite where that has no capacity."""
        others = astuple(self)[4:9]
        return {
            name: float("inf")
            if other is None or self.pressure_bar is None
            else 100.0 * (other / self.pressure_bar - 1.0)
            for name, other in zip(LEVELS, others, strict=True)
        }


def table_path(name: str) -> Path:
    return DOCS / f"capacity.{name}.csv"


def read_table(name: str) -> list[SweepRow] | list[LevelRow]:
    kind = SweepRow if name == "sweeps" else LevelRow
    words = {field.name for field in fields(kind) if field.type is str}
    with table_path(name).open(newline="", encoding="utf-8") as file:
        return [
            kind(**{key: text if key in words else _number(text) for key, text in row.items()})
            for row in csv.DictReader(file)
        ]


def write_table(name: str, rows: Sequence[SweepRow] | Sequence[LevelRow]) -> None:
    with table_path(name).open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(field.name for field in fields(rows[0]))
        writer.writerows([_text(value) for value in astuple(row)] for row in rows)


def lines(rows: Sequence[SweepRow]) -> Iterator[tuple[str, str, list[SweepRow]]]:
    """Body, key and rows of every line."""
    for (body, key), group in groupby(rows, key=lambda row: (row.body, row.key)):
        yield body, key, list(group)


def exponents(line: Sequence[SweepRow]) -> list[float]:
    """d ln p / d ln x from each value of a line to the next; NaN where either has no pressure."""
    return [
        float("nan")
        if a.pressure_bar is None or b.pressure_bar is None
        else log(b.pressure_bar / a.pressure_bar) / log(b.value / a.value)
        for a, b in pairwise(line)
    ]


def jumps(line: Sequence[SweepRow]) -> list[tuple[SweepRow, SweepRow, float]]:
    """Neighbours whose pressures differ by more than JUMP [%] from what the line's slope makes of them.

    A smooth line may be steep: pressures that go with the square of a gauge change by 0.6 % where it does by 0.3 %.
    """
    found, slope = exponents(line), median(exponents(line))
    pairs = list(pairwise(line))
    beyond = [100.0 * (each - slope) * log(b.value / a.value) for each, (a, b) in zip(found, pairs, strict=True)]
    return [(a, b, size) for size, (a, b) in zip(beyond, pairs, strict=True) if not abs(size) <= JUMP]


def falls(line: Sequence[SweepRow]) -> list[tuple[SweepRow, SweepRow]]:
    """Neighbours of which the one with more has the lower pressure."""
    known = [row for row in line if row.pressure_bar is not None]
    return [(a, b) for a, b in pairwise(known) if b.pressure_bar < a.pressure_bar]


def _largest_fall(line: Sequence[SweepRow]) -> str:
    fallen = [1.0 - b.pressure_bar / a.pressure_bar for a, b in falls(line)]
    return f"{max(fallen):.3%}" if fallen else "none"


def measured(tables: Mapping[str, Sequence]) -> str:
    """The measured part of the page."""
    found = [*_series(tables["sweeps"]), "", *_sweeps(tables["sweeps"]), "", *_levels(tables["levels"])]
    return "\n".join(found)


def _series(rows: Sequence[SweepRow]) -> Iterator[str]:
    yield "| series | capacity | events on the way | largest change between neighbours | largest fall |"
    yield "|---|---|---|---|---|"
    for body, key, line in lines(rows):
        if body == "series":
            changes = [abs(b.pressure_bar / a.pressure_bar - 1.0) for a, b in pairwise(line)]
            events = [event for event, _ in groupby(row.event for row in line)]
            yield (
                f"| {key} {line[0].value:g} to {line[-1].value:g}, {len(line)} values "
                f"| {line[0].pressure_bar:.3f} to {line[-1].pressure_bar:.3f} bar | {', then '.join(events)} "
                f"| {max(changes):.3%} | {_largest_fall(line)} |"
            )


def _sweeps(rows: Sequence[SweepRow]) -> Iterator[str]:
    some = [(body, key, line) for body, key, line in lines(rows) if body != "series"]
    pairs = sum(len(line) - 1 for _, _, line in some)
    found = [(body, key, *jump) for body, key, line in some for jump in jumps(line)]
    gauges = [line for _, key, line in some if key == "shape.gauge_mm"]
    steep = [each for _, _, line in some for each in exponents(line) if abs(each) * log(1.003) > 0.01 * JUMP]
    apart = [max(each) - min(each) for _, _, line in some if (each := exponents(line))]
    yield f"{len(some)} sweeps of random bodies, {pairs} pairs of neighbours 0.3 % apart:"
    fallen = sum(len(falls(line)) for line in gauges)
    yield (
        f"{len(found)} jump by more than {JUMP} % beyond the slope of their line; "
        f"{fallen} fall though the gauge is larger."
    )
    if steep:
        yield (
            f"{len(steep)} differ by more than {JUMP} % because the line is as steep as that: "
            f"there pressure goes with the power {min(steep):.2f} to {max(steep):.2f} of what is swept."
        )
    yield f"Within a line that power changes by {median(apart):.2f} (median) to {max(apart):.2f}."
    for body, key, a, b, change in found:
        yield f"- {body}, {key} {a.value:.6g} to {b.value:.6g}: {change:+.2f} % ({a.event}, then {b.event})"


def _levels(rows: Sequence[LevelRow]) -> Iterator[str]:
    solved = [row for row in rows if row.pressure_bar is not None]
    yield f"{len(solved)} of {len(rows)} bodies have a capacity; it changes with the level by"
    yield ""
    yield "| level | median | largest | above the estimate | above twice the estimate |"
    yield "|---|---|---|---|---|"
    for name in LEVELS:
        pairs = [(abs(row.changes[name]), row.error_percent) for row in solved]
        sizes = sorted(change for change, _ in pairs)
        above, twice = (sum(change > times * error for change, error in pairs) for times in (1.0, 2.0))
        yield (
            f"| {name} | {sizes[len(sizes) // 2]:.3f} % | {sizes[-1]:.2f} % "
            f"| {above} ({above / len(pairs):.1%}) | {twice} ({twice / len(pairs):.1%}) |"
        )


def _number(text: str) -> float | None:
    return float(text) if text else None


def _text(value: object) -> str:
    return "" if value is None else f"{value:.8g}" if isinstance(value, float) else str(value)
