"""Blocks that a study file lists value by value: grids, paired columns, a file of designs."""

import csv
import io
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from buckle.case.dotted import leaves
from buckle.case.keys import Finding
from buckle.case.locator import KeyPath
from buckle.case.reader import read_text
from buckle.case.validate import check_table
from buckle.errors import CaseError
from buckle.study.axes import read_axis
from buckle.study.models import Designs
from buckle.study.study import LARGEST, Block

Read = tuple[dict[KeyPath, Block], list[Finding]]


def read_grid(table: Any) -> Read:
    """[vary]: every key is a block of its own, so that all combinations are designs."""
    columns, findings = _columns(table, ("vary",))
    return {("vary", key): Block((key,), [(value,) for value in values]) for key, values in columns.items()}, findings


def read_paired(tables: Any) -> Read:
    """[[paired]]: the keys of one entry change together."""
    if not isinstance(tables, list):
        return {}, [Finding(("paired",), "must be a list of tables", tables, "[[paired]]")]
    blocks: dict[KeyPath, Block] = {}
    findings: list[Finding] = []
    for at, table in enumerate(tables):
        path: KeyPath = ("paired", at)
        columns, wrong = _columns(table, path)
        lengths = {key: len(values) for key, values in columns.items()}
        if not wrong and len(set(lengths.values())) > 1:
            wrong = [Finding(path, "paired keys need equally many values", lengths)]
        findings += wrong
        if columns and not wrong:
            blocks[path] = Block(tuple(columns), list(zip(*columns.values(), strict=True)))
    return blocks, findings


def _columns(table: Any, path: KeyPath) -> tuple[dict[str, list[Any]], list[Finding]]:
    if not isinstance(table, Mapping):
        return {}, [Finding(path, "must be a table", table, '"shape.gauge_mm" = [0.23, 0.25]')]
    if not table:
        return {}, [Finding(path, "names no key", None, '"shape.gauge_mm" = [0.23, 0.25]')]
    columns: dict[str, list[Any]] = {}
    findings: list[Finding] = []
    for key, (written, value) in leaves(table).items():
        columns[key], wrong = read_axis(value, (*path, *written))
        findings += wrong
    return columns, findings


def read_csv_block(table: Any, folder: Path) -> Read:
    """[designs]: one row of a file a design; an empty cell leaves the base case's value."""
    path = ("designs", "file")
    checked = check_table(Designs, table, ("designs",))
    if checked.model is None:
        return {}, list(checked.findings)
    file = folder / checked.model.file
    rows = list(csv.reader(io.StringIO(read_text(file))))
    keys = tuple(key.strip() for key in rows[0]) if rows else ()
    if not keys or not all(keys) or len(set(keys)) < len(keys):
        return {}, [
            Finding(path, f"the first line of {file} must name each key once", list(keys), "shape.gauge_mm,...")
        ]
    filled = [(at, row) for at, row in enumerate(rows[1:], start=2) if any(cell.strip() for cell in row)]
    odd = [at for at, row in filled if len(row) != len(keys)]
    if odd:
        raise CaseError(f"{file}:{odd[0]}: has other columns than the first line; allowed: {len(keys)} values")
    if not 0 < len(filled) <= LARGEST:
        return {}, [Finding(path, f"{file} holds {len(filled)} designs", None, f"1 to {LARGEST}")]
    return {path: Block(keys, [[_cell(cell.strip()) for cell in row] for _, row in filled])}, []


def _cell(text: str) -> Any:
    if not text:
        return None
    try:
        return float(text)
    except ValueError:
        return {"true": True, "false": False}.get(text, text)
