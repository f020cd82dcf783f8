"""Rows of docs/verification.md: rendered from trials of the benchmark cases, and read back."""

import re
from collections.abc import Iterable, Iterator
from statistics import median
from typing import NamedTuple

from buckle.case import Case
from buckle.margins import Comparison
from buckle.report.bench.trial import Trial

CASES = "../cases/benchmarks"
README_MARKS = ("<!-- written by scripts/pages -->\n", "<!-- end -->\n")
BODIES = {
    "sphere": "Complete spheres",
    "cap": "Spherical caps",
    "cylinder": "Cylinders, tubes and rings",
    "plate": "Circular plates",
    "head": "Torispherical and ellipsoidal heads",
    "junction": "Junctions, walked as a free meridian",
    "base": "Domed bases",
    "end": "Recessed ends",
    "neck": "Necks and cones",
}
HEAD = """\
# Verification

Made by `scripts/pages` from the cases in `cases/benchmarks`; a test holds it to them. `buckle bench` works
the values out again on your machine. Each case states in its file how the expected value is derived and why its
tolerance is what it is; "from memory" is said of a source whose wording was not looked up again, "not reproducible from
this repository" of a value whose computation is not part of it. Pressures in bar.

{count}
"""
COLUMNS = ("case", "quantity", "computed", "expected", "deviation", "tolerance", "source")


class Row(NamedTuple):
    """One expectation of one case, as the table tells it."""

    case: str
    quantity: str
    computed: str
    expected: str
    deviation: str
    tolerance: str
    source: str

    @property
    def lasting(self) -> tuple[str, ...]:
        """What no computation changes."""
        return self.case, self.quantity, self.expected, self.tolerance, self.source


def document(trials: Iterable[Trial]) -> str:
    """The whole page."""
    trials = list(trials)
    parts = [HEAD.format(count=count_line(trials))]
    for body, title in BODIES.items():
        rows = [row for trial in trials if trial.name.startswith(f"{body}/") for row in rows_of(trial)]
        parts.append(f"## {title}\n\n{table(rows)}")
    return "\n".join(parts)


def summary(rows: Iterable[Row]) -> str:
    """README's table: by body, how many cases and expectations, and deviations: median, largest, nearest to not met."""
    rows = list(rows)
    lines = [
        "| body | cases | expectations | exact ones | median deviation | largest, of tolerance | nearest to not met |"
    ]
    lines.append("|---|---:|---:|---:|---:|---|---|")
    for body, title in BODIES.items():
        own = [row for row in rows if row.case.startswith(f"{body}/")]
        measured = [(percent(row.deviation), percent(row.tolerance)) for row in own if row.deviation]
        middle = f"{median(found for found, _ in measured):.2g} %" if measured else ""
        cases = len({row.case for row in own})
        largest = of_tolerance(max(measured, default=None))
        nearest = of_tolerance(max(measured, key=lambda pair: pair[0] / pair[1], default=None))
        counted = f"{cases} | {len(own)} | {len(own) - len(measured)}"
        lines.append(f"| {title} | {counted} | {middle} | {largest} | {nearest} |")
    return "\n".join(lines) + "\n"


def of_tolerance(pair: tuple[float, float] | None) -> str:
    """A deviation and the tolerance it is held against [%]; nothing where all that is expected is exact."""
    return "" if pair is None else f"{pair[0]:.2g} % of {pair[1]:g} %"


def percent(text: str) -> float:
    """The number of '0.01 %' or '< 0.001 %'."""
    return float(text.removeprefix("< ").removesuffix(" %"))


def with_summary(readme: str, rows: Iterable[Row]) -> str:
    """README with its table of benchmark cases written anew between its marks."""
    start, end = README_MARKS
    before, _, rest = readme.partition(start)
    _, _, after = rest.partition(end)
    return before + start + summary(rows) + end + after


def counts(trials: list[Trial]) -> dict[str, int]:
    """How many cases and expectations there are and how many are met."""
    expectations = [each for trial in trials for each in trial.comparisons]
    return {"cases": len(trials), "expectations": len(expectations), "met": sum(each.met for each in expectations)}


def count_line(trials: list[Trial]) -> str:
    """The counts in words."""
    return "{cases} cases, {expectations} expectations, {met} met.".format(**counts(trials))


def table(rows: Iterable[Row]) -> str:
    """A Markdown table."""
    lines = [COLUMNS, ["---"] * 2 + ["---:"] * 4 + ["---"], *(with_link(row) for row in rows)]
    return "".join(f"| {' | '.join(line)} |\n" for line in lines)


def with_link(row: Row) -> Row:
    return row._replace(case=f"[{row.case}]({CASES}/{row.case}.toml)")


def rows_of(trial: Trial) -> Iterator[Row]:
    """One row an expectation."""
    for each in trial.comparisons:
        yield row_of(trial.name, each)


def row_of(name: str, each: Comparison) -> Row:
    return Row(
        name,
        each.quantity,
        cell(each.found),
        cell(each.expected),
        deviation(each),
        f"{each.tolerance_percent:g} %" if each.tolerance_percent else "exact",
        each.source.replace("|", "\\|"),
    )


def deviation(each: Comparison) -> str:
    """How far a measured value is off; nothing for what is met exactly or not at all."""
    if each.deviation_percent is None or not each.tolerance_percent:
        return ""
    return f"{each.deviation_percent:.2g} %" if each.deviation_percent >= 0.001 else "< 0.001 %"


def expected_rows(name: str, case: Case) -> list[tuple[str, ...]]:
    """What the rows of a case must say whatever comes out."""
    empty = [Comparison(e.quantity, e.value, None, None, e.tolerance_percent, False, e.source, "") for e in case.expect]
    return [row_of(name, each).lasting for each in empty]


def cell(value: object) -> str:
    """A number to seven digits, words as they are, a choice of values with commas."""
    if isinstance(value, tuple):
        return ", ".join(map(cell, value))
    return f"{value:.7g}" if isinstance(value, float) else "not found" if value is None else str(value)


def read_back(text: str) -> list[Row]:
    """Every row of a page that was rendered."""
    lines = re.findall(r"^\| \[(.*?)\]\(.*?\) \| (.*) \|$", text, flags=re.MULTILINE)
    return [Row(name, *rest.split(" | ")) for name, rest in lines]
