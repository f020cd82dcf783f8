"""What a batch comes to, as plain data: counts, causes, exponents, the share that falls short, its rows."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from buckle.batch.numbers import CONFIDENCE, Slope, batch_of, exponents, shortfall
from buckle.batch.progress import BatchProgress
from buckle.cautions import CAUTIONS
from buckle.record.quantities import Record, versions
from buckle.store import RowStatus, Table
from buckle.store.table import NUMBER, REASON, STATUS


@dataclass(frozen=True)
class Cause:
    """Why designs have no verdict: status and reason, how many, and the first of them."""

    status: str
    reason: str
    count: int
    example: int


@dataclass(frozen=True)
class Forecast:
    """What a study would take: designs, and the mean time [s] of those that were timed."""

    title: str
    designs: int
    timed: int
    mean: float | None
    jobs: int
    first: Sequence[Mapping[str, Any]]

    @property
    def seconds(self) -> float | None:
        """Return the time of the whole study [s]; None if no design that was tried could be built."""
        return None if self.mean is None else self.mean * self.designs / min(self.jobs, self.designs)

    @property
    def record(self) -> Record:
        """Return plain data."""
        content = {
            "study": self.title,
            "designs": self.designs,
            "timed": self.timed,
            "seconds_a_design": self.mean,
            "jobs": self.jobs,
            "seconds": self.seconds,
            "first": [dict(row) for row in self.first],
        }
        return {key: value for key, value in content.items() if value is not None}


def causes(table: Table) -> list[Cause]:
    """Return why designs have no verdict, the commonest first; numbers in a reason do not make it another one."""
    groups: dict[tuple[str, str], list[Mapping[str, Any]]] = {}
    for row in table.rows:
        if row[STATUS] != RowStatus.SOLVED:
            groups.setdefault((row[STATUS], re.sub(r"\d[\d.e+-]*", "#", row[REASON])), []).append(row)
    found = [Cause(rows[0][STATUS], rows[0][REASON], len(rows), rows[0][NUMBER]) for rows in groups.values()]
    return sorted(found, key=lambda cause: -cause.count)


def counts(table: Table) -> dict[str, int]:
    """Return {status: rows} for every status that occurs."""
    found = [row[STATUS] for row in table.rows]
    return {str(status): found.count(status) for status in RowStatus if status in found}


def sweep_record(table: Table, progress: BatchProgress, resume: str, unreadable: int = 0) -> Record:
    """Return what a batch came to as plain data; times are left out, since they differ from run to run."""
    content: Record = {
        "study": table.title,
        "designs": progress.total,
        "complete": not resume,
        "counts": counts(table),
        "causes": [asdict(cause) for cause in causes(table)],
        "exponents": {each.name: {"value": each.slope, "standard_error": each.error} for each in exponents_of(table)},
        "rows": _rows(table),
        "versions": versions(),
        "cautions": list(CAUTIONS),
    }
    short = shortfall(table)
    if short is not None:
        content["falling_short"] = {**asdict(short), "interval": list(short.interval), "confidence": CONFIDENCE}
    return content | ({"resume": resume} if resume else {}) | _unreadable_record(unreadable)


def _unreadable_record(lines: int) -> Record:
    return {"unreadable_lines": lines} if lines else {}


def table_record(table: Table, whole: int, where: str | None, unreadable: int = 0) -> Record:
    """Return the rows of a batch that were asked for as plain data."""
    content: Record = {"study": table.title, "rows_kept": whole, "columns": list(table.columns), "rows": _rows(table)}
    content |= ({"where": where} if where else {}) | {"cautions": list(CAUTIONS)}
    return content | _unreadable_record(unreadable)


def _rows(table: Table) -> list[Record]:
    return [{column: row[column] for column in table.columns if column in row} for row in table.rows]


def exponents_of(table: Table) -> list[Slope]:
    """Return the exponents of a batch; empty where it has none."""
    batch = batch_of(table)
    return [] if batch is None else exponents(batch)
