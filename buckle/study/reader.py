"""Reading a study file; whatever is wrong becomes lines of one CaseError, as with a case file."""

import math
import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib import import_module
from itertools import combinations
from pathlib import Path
from types import ModuleType
from typing import Any

from buckle.case import Case
from buckle.case.dotted import leaves
from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.reader import findings_error, read_tables
from buckle.case.texts import text_findings
from buckle.case.validate import check_table
from buckle.case.values import known_values, same_quantity, value_in
from buckle.container.container import Container
from buckle.container.reader import input_from_dict, read_input, with_analyses, without_expectations
from buckle.errors import CaseError
from buckle.expression import Expression, read_expression
from buckle.study.models import Header
from buckle.study.study import LARGEST, Block, Study
from buckle.study.trial import try_keys
from buckle.study.value_blocks import read_csv_block, read_grid, read_paired

TABLES = ("study", "vary", "paired", "designs", "fill", "tolerance", "derived")

LONGEST_PROBLEM = 400
"""Longest sentence about a file that is not there, whose name may be of any length [characters]."""


@dataclass(frozen=True)
class _Source:
    """The file as it was read."""

    name: str
    tables: Mapping[str, Any]
    lines: Mapping[KeyPath, int] | None

    def refuse(self, findings: Sequence[Finding]) -> None:
        """Raise CaseError if there are findings."""
        if findings:
            raise findings_error(self.name, findings, self.lines)


def read_study(path: str | Path) -> Study:
    """Return the study of a file; raises CaseError with one line `file:line: key: problem` for each fault.

    A key that none of its values can be used under is such a fault; a single design that cannot be built is not.
    """
    tables, lines = read_tables(path, "a study file with [study] and [vary]")
    source = _Source(str(path), tables, lines)
    source.refuse(list(text_findings(tables)))
    header = _header(source)
    folder = Path(path).parent
    base = _base(source, header, folder)
    blocks, findings = _blocks(tables, base, folder)
    derived, more = _derived(tables.get("derived", {}), blocks, base)
    source.refuse([*findings, *more, *_clashes(blocks, derived), *_size(blocks)])
    title = header.title or Path(path).stem
    study = Study(title, base, tuple(blocks.values()), derived, header.keep, header.estimate_error)
    source.refuse(list(try_keys(study, _paths(blocks, derived))))
    return study


def _header(source: _Source) -> Any:
    tables = source.tables
    strays = [
        Finding((name,), unknown_word("table", name, TABLES), value, ", ".join(TABLES))
        for name, value in tables.items()
        if name not in TABLES
    ]
    if "study" not in tables:
        strays.append(Finding(("study",), "missing", allowed="a table [study] with base_case"))
    if not set(TABLES[1:6]) & set(tables):
        strays.append(Finding(("vary",), "nothing varies", allowed="a table " + " or ".join(TABLES[1:6])))
    checked = check_table(Header, tables.get("study", {}), ("study",)) if "study" in tables else None
    source.refuse([*strays, *(checked.findings if checked else ())])
    assert checked is not None
    return checked.model


def _base(source: _Source, header: Any, folder: Path) -> Case | Container:
    """Return the base case with the study's analyses; what it expects says nothing of its variants and is left out."""
    file = folder / header.base_case
    if not os.path.isfile(file):  # unlike Path's, False for a name that no file can have
        problem = f"no such file: {file}"[:LONGEST_PROBLEM]
        source.refuse([Finding(("study", "base_case"), problem, header.base_case, "a path from the study file")])
    tables = without_expectations(read_input(file).tables)
    if not header.analyses:
        return input_from_dict(tables)
    try:
        return input_from_dict(with_analyses(tables, list(header.analyses)))
    except CaseError as error:
        path = ("study", "analyses")
        findings = [Finding(path, fault.problem, fault.value, fault.allowed) for fault in error.faults]
        raise findings_error(source.name, findings, source.lines) from error


def _blocks(
    tables: Mapping[str, Any], base: Case | Container, folder: Path
) -> tuple[dict[KeyPath, Block], list[Finding]]:
    """Return {place in the file: block} in the order grid, paired columns, file of designs, filling, tolerances."""
    blocks: dict[KeyPath, Block] = {}
    findings: list[Finding] = []
    readers = (
        ("vary", read_grid),
        ("paired", read_paired),
        ("designs", lambda table: read_csv_block(table, folder)),
        ("fill", lambda table: _sampling().read_fill(table)),
        ("tolerance", lambda table: _sampling().read_tolerance(table, known_values(base.tables, base.echo))),
    )
    for name, reader in readers:
        if name in tables:
            found, wrong = reader(tables[name])
            blocks |= found
            findings += wrong
    return blocks, findings


def _sampling() -> ModuleType:
    """Return what reads samples, loaded for a study that has some: its statistics take longer than all else here."""
    return import_module("buckle.study.sampled_blocks")


def _derived(
    table: Any, blocks: Mapping[KeyPath, Block], base: Case | Container
) -> tuple[dict[str, Expression], list[Finding]]:
    """Return {key: expression} of [derived]; each may speak of varied keys, of earlier ones and of the base case."""
    if not isinstance(table, Mapping):
        return {}, [Finding(("derived",), "must be a table", table)]
    varied = [key for block in blocks.values() for key in block.keys]
    known = known_values(base.tables, base.echo) | dict.fromkeys(varied, 1.0)
    derived: dict[str, Expression] = {}
    findings: list[Finding] = []
    for key, (written, text) in leaves(table).items():
        path = ("derived", *written)
        try:
            if not isinstance(text, str):
                raise CaseError("must be an expression in quotes; allowed: such as '0.4 * shape.gauge_mm'")
            derived[key] = read_expression(text)
        except CaseError as error:
            findings.append(Finding(path, str(error), text if not isinstance(text, str) else None))
            continue
        strange = [name for name in derived[key].names if value_in(name, known) is None]
        findings += [Finding(path, unknown_word("key", name, known), name, "keys of the case") for name in strange]
        known[key] = 1.0
    return derived, findings


def _paths(blocks: Mapping[KeyPath, Block], derived: Mapping[str, Expression]) -> dict[str, KeyPath]:
    """Return {key: where the file gives its values}."""
    given = {key: (path if path[-1] == key else (*path, key)) for path, block in blocks.items() for key in block.keys}
    return given | {key: ("derived", key) for key in derived}


def _clashes(blocks: Mapping[KeyPath, Block], derived: Mapping[str, Expression]) -> Iterator[Finding]:
    """Yield keys that vary in two places, in the same or in another unit."""
    given = [(key, path) for path, block in blocks.items() for key in block.keys]
    given += [(key, ("derived",)) for key in derived]
    for (one, first), (other, second) in combinations(given, 2):
        if same_quantity(one, other):
            path = second if second[-1] == other else (*second, other)
            yield Finding(path, f"varies already in [{first[0]}]", one, "one place for each quantity")


def _size(blocks: Mapping[KeyPath, Block]) -> Iterator[Finding]:
    count = math.prod(len(block.rows) for block in blocks.values())
    if count > LARGEST:
        yield Finding(next(iter(blocks)), f"all combinations are {count} designs", None, f"at most {LARGEST}")
