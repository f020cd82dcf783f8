"""[tolerances]: how far numbers of a case may be off, and by which law they scatter."""

import csv
import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from buckle.case.correlated import correlation_matrix
from buckle.case.dotted import leaves
from buckle.case.echo import EchoLine
from buckle.case.internal import is_number
from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.models import Correlation, FileTable, ToleranceTable
from buckle.case.validate import check_table
from buckle.case.values import flat, per_unit, same_quantity
from buckle.errors import CaseError
from buckle.inputs import read_bytes

PATH: KeyPath = ("tolerances",)
WITH_FILES = ("tolerances", "deviation")
"""Tables that may name a file beside the case."""
OF = ("shape", "material")
"""Tables whose numbers may have a tolerance."""
MARKS = frozenset(ToleranceTable.model_fields)
NEEDS: Mapping[str, tuple[str, ...]] = {
    "": ("minus", "plus"),
    "uniform": ("minus", "plus"),
    "triangular": ("minus", "plus"),
    "truncated": ("standard_deviation", "minus", "plus"),
    "normal": ("standard_deviation",),
    "lognormal": ("standard_deviation",),
    "measured": ("file",),
}
TAKES: Mapping[str, tuple[str, ...]] = {
    "normal": ("mean",),
    "truncated": ("mean",),
    "lognormal": ("mean",),
    "measured": ("column",),
}
DEVIATIONS = 3.0
"""How far the low end of a law without bounds lies from its mean, in standard deviations: 1 in 741 lies beyond."""
FEWEST = 5
"""Measured values that tell a scatter at all."""


@dataclass(frozen=True)
class Tolerance:
    """How far a number of a case may be off, all in the unit of its key.

    `minus` and `plus` are the distances to the low and the high end: the bounds; of a law without any, three standard
    deviations from its mean; of measured values the least and the largest. They are never negative unless the mean or
    the measured values lie wholly beside the case's value.
    """

    key: str  # dotted, as the case file has it: "shape.gauge_mm"
    nominal: float  # what the case says
    minus: float
    plus: float
    law: str = ""  # "" where only the bounds are known
    mean: float = math.nan  # of normal and truncated (before it is cut) and lognormal; else nil
    standard_deviation: float = math.nan
    sample: tuple[float, ...] = field(default=(), repr=False)  # measured values

    @property
    def low(self) -> float:
        """The low end."""
        return self.nominal - self.minus

    @property
    def high(self) -> float:
        """The high end."""
        return self.nominal + self.plus

    @property
    def bounded(self) -> bool:
        """Whether nothing lies beyond the ends."""
        return self.law not in ("normal", "lognormal")


@dataclass(frozen=True)
class ReadTolerances:
    """The tolerances of a case and the correlations (tolerances, tolerances) of their normal scores, or what is wrong.

    `echo` holds a line for each.
    """

    tolerances: tuple[Tolerance, ...] = ()
    correlation: NDArray[np.float64] = field(default_factory=lambda: np.eye(0))
    findings: tuple[Finding, ...] = ()
    echo: tuple[EchoLine, ...] = ()

    @property
    def hashed(self) -> dict[str, Any]:
        """What of them goes into the hash of the input; nothing where there are none."""
        if not self.tolerances:
            return {}
        rows = [[each.key, each.law, each.low, each.high, each.sample] for each in self.tolerances]
        moments = [[each.mean, each.standard_deviation] for each in self.tolerances]
        known = [[None if math.isnan(value) else value for value in row] for row in moments]
        return {"tolerances": [rows, known, self.correlation.tolist()]}


class _Correlated(FileTable):
    """The list of correlations, checked like any other table."""

    correlated: tuple[Correlation, ...] = ()


@dataclass(frozen=True)
class _Entry:
    """One key of [tolerances], what stands there, and the number of the case that it is about."""

    key: str  # the case's
    nominal: float
    unit: float  # of the entry's key in units of the case's
    table: ToleranceTable
    path: KeyPath


def read_tolerances(table: object, numbers: Mapping[str, float], folder: Path) -> ReadTolerances:
    """Return what [tolerances] says of the numbers of a case, {key: value}; measured files stand in its folder."""
    if not isinstance(table, Mapping):
        return ReadTolerances(findings=(Finding(PATH, "must be a table", table, '"shape.gauge_mm" = 0.005'),))
    own = leaves({key: value for key, value in table.items() if key != "correlated"}, MARKS)
    entries, findings = [], []
    for key, (written, value) in own.items():
        entry, wrong = _entry(key, value, (*PATH, *written), numbers)
        findings += wrong
        if entry is not None:
            entries.append((entry, *_tolerance(entry, folder)))
    findings += [finding for _, _, wrong in entries for finding in wrong]
    keys = [entry.key for entry, _, _ in entries]
    findings += [
        Finding(entry.path, "has a tolerance already, in another unit", entry.key)
        for at, (entry, _, _) in enumerate(entries)
        if entry.key in keys[:at]
    ]
    checked = check_table(_Correlated, {"correlated": table.get("correlated", [])}, PATH)
    findings += checked.findings
    if findings:
        return ReadTolerances(findings=tuple(findings))
    pairs = [_of_the_case(pair, keys) for pair in checked.model.correlated]
    matrix, wrong = correlation_matrix(pairs, keys, PATH, "[tolerances]")
    lines = tuple(EchoLine(f"tolerances.{key}", value, "file") for key, (_, value) in own.items())
    return ReadTolerances(tuple(found for _, found, _ in entries if found), matrix, tuple(wrong), lines)


def numbers_of(tables: Mapping[str, Any], echo: Sequence[EchoLine]) -> dict[str, float]:
    """Return {key: value} of the numbers that may have a tolerance: under the file's keys, else the grade's."""
    by_grade = [pair for line in echo if line.origin == "grade" for pair in flat(line.value, line.key)]
    given = [*by_grade, *(pair for name in OF for pair in flat(tables.get(name, {}), name))]
    return {key: float(value) for key, value in given if is_number(value)}


def anchored(tables: Mapping[str, Any], path: str | None) -> Mapping[str, Any]:
    """Return the tables with measured files by their whole names, so that a variant of the case finds them too."""
    if path is None:
        return tables
    folder = Path(path).absolute().parent
    return {**tables, **{name: _anchored(tables[name], folder) for name in WITH_FILES if name in tables}}


def _anchored(value: Any, folder: Path) -> Any:
    if not isinstance(value, Mapping):
        return value
    return {
        key: str(folder / inner) if key == "file" and isinstance(inner, str) else _anchored(inner, folder)
        for key, inner in value.items()
    }


def _of_the_case(pair: Correlation, keys: Sequence[str]) -> Correlation:
    """Return the pair under the keys of the case."""
    found = (next((known for known in keys if same_quantity(key, known)), key) for key in pair.keys)
    return pair.model_copy(update={"keys": tuple(found)})


def _entry(key: str, value: Any, path: KeyPath, numbers: Mapping[str, float]) -> tuple[_Entry | None, list[Finding]]:
    known = next((each for each in numbers if same_quantity(key, each)), None)
    if known is None:
        problem = unknown_word("number of the case", key, numbers)
        return None, [Finding(path, problem, value, "a key of [shape] or [material] that the case gives")]
    given = {"minus": value, "plus": value} if is_number(value) else value
    checked = check_table(ToleranceTable, given, path)
    if checked.model is None:
        if not is_number(value):
            return None, list(checked.findings)
        return None, [Finding(path, "out of range", value, ">= 0, or a table")]
    return _Entry(known, numbers[known], per_unit(key, known), checked.model, path), []


def _tolerance(entry: _Entry, folder: Path) -> tuple[Tolerance | None, list[Finding]]:
    given, law, names = entry.table, entry.table.law or "", set(entry.table.model_fields_set) - {"law"}
    findings = list(_misfits(entry, names))
    if findings:
        return None, findings
    unit, nominal = entry.unit, entry.nominal
    if law == "measured":
        sample, findings = _sample(entry, folder)
        if findings:
            return None, findings
        values = [unit * value for value in sample]
        return Tolerance(
            entry.key, nominal, nominal - min(values), max(values) - nominal, law, sample=tuple(values)
        ), []
    mean = nominal if given.mean is None else unit * given.mean
    if law == "lognormal" and mean <= 0.0:
        return None, [Finding(entry.path, "a lognormal quantity is above nil", mean, "another law")]
    deviation = math.nan if given.standard_deviation is None else unit * given.standard_deviation
    if law in ("normal", "lognormal"):
        low, high = _far(law, mean, deviation)
        return Tolerance(entry.key, nominal, nominal - low, high - nominal, law, mean, deviation), []
    minus, plus = unit * (given.minus or 0.0), unit * (given.plus or 0.0)
    if law == "truncated" and not nominal - minus < mean < nominal + plus:
        return None, [Finding((*entry.path, "mean"), "lies outside the bounds", given.mean, "a mean between them")]
    return Tolerance(entry.key, nominal, minus, plus, law, mean if law == "truncated" else math.nan, deviation), []


def _misfits(entry: _Entry, names: set[str]) -> list[Finding]:
    """Return what a law lacks and what means nothing to it."""
    law, needs = entry.table.law or "", NEEDS[entry.table.law or ""]
    words = repr(law) if law else "no law"
    bounds = {"minus", "plus"}
    if bounds <= {*needs} and not (entry.table.minus or entry.table.plus):
        return [Finding(entry.path, "has no width", None, "minus, plus or both above 0")]
    missing = [name for name in needs if name not in names and name not in bounds]
    strange = sorted(names - {*needs, *TAKES.get(law, ())})
    return [
        *(Finding((*entry.path, name), f"missing with {words}") for name in missing),
        *(Finding((*entry.path, name), f"means nothing with {words}", getattr(entry.table, name)) for name in strange),
    ]


def _far(law: str, mean: float, deviation: float) -> tuple[float, float]:
    """Return both ends, three standard deviations away; of a lognormal law, of the logarithm's."""
    if law == "normal":
        return mean - DEVIATIONS * deviation, mean + DEVIATIONS * deviation
    middle, scatter = lognormal_parameters(mean, deviation)
    return math.exp(middle - DEVIATIONS * scatter), math.exp(middle + DEVIATIONS * scatter)


def lognormal_parameters(mean: float, deviation: float) -> tuple[float, float]:
    """Return mean and standard deviation of the logarithm of a quantity from its own.

    Source: any text on the lognormal law; ln(1 + (deviation/mean)^2) is the variance of the logarithm.
    """
    variance = math.log1p((deviation / mean) ** 2)
    return math.log(mean) - 0.5 * variance, math.sqrt(variance)


def _sample(entry: _Entry, folder: Path) -> tuple[list[float], list[Finding]]:
    """Return the measured values of a column of a file; of its only one where none is named."""
    assert entry.table.file is not None
    path, file = (*entry.path, "file"), folder / entry.table.file
    try:
        rows = list(csv.reader(io.StringIO(read_bytes(file).decode("utf-8-sig"))))
    except CaseError as error:
        return [], [Finding(path, error.faults[0].problem, entry.table.file, "a file beside the case")]
    except (UnicodeDecodeError, csv.Error):
        return [], [Finding(path, "is no text of comma-separated values in UTF-8", entry.table.file)]
    heads = [head.strip() for head in rows[0]] if rows else []
    column = entry.table.column or (heads[0] if len(heads) == 1 else "")
    if heads.count(column) != 1:
        return [], [Finding((*entry.path, "column"), "no such column", entry.table.column, ", ".join(heads))]
    at, values = heads.index(column), []
    for number, row in enumerate(rows[1:], start=2):
        cell = row[at].strip() if at < len(row) else ""
        value = _number(cell)
        if cell and value is None:
            return [], [Finding(path, f"holds no number on line {number}", cell)]
        values += [] if value is None else [value]
    if len(values) < FEWEST:
        return [], [Finding(path, f"holds {len(values)} values", entry.table.file, f"{FEWEST} or more")]
    return values, []


def _number(cell: str) -> float | None:
    try:
        value = float(cell)
    except ValueError:
        return None
    return value if math.isfinite(value) else None
