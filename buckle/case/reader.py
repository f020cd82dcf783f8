"""Reading a case file: TOML, or JSON under the same keys; whatever is wrong becomes lines of one CaseError."""

import codecs
import json
import re
import tomllib
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from buckle.case.assemble import Case, assemble
from buckle.case.keys import Finding
from buckle.case.locator import KeyPath, nearest_line, toml_lines
from buckle.case.texts import depth_findings, text_findings
from buckle.errors import CaseError, Fault, printable
from buckle.inputs import read_bytes

PARTS = "parts"
"""The table by which a file is that of a container (`buckle.container.reader`)."""


def read_case(path: str | Path) -> Case:
    """Return the validated case of a file; raises CaseError with one line `file:line: key: problem` for each fault."""
    name, data = str(path), read_bytes(path)
    tables, lines = _tables(name, data, "a case file with [material], [shape], [supports], [loads], [analyses]")
    if PARTS in tables:
        problem = "is of a container, and one case is asked for here"
        raise findings_error(name, [Finding((PARTS,), problem, None, "the file of one of its parts")], lines)
    return replace(_assembled(tables, name, name, lines), data=data)


def read_tables(path: str | Path, content: str) -> tuple[Mapping[str, Any], Mapping[KeyPath, int] | None]:
    """Return the tables of a TOML or JSON file and the line of each key; raises CaseError if it holds no tables.

    `content` says what an empty file should hold. There are no lines of JSON: whatever writes it may put all on one,
    and the path of a key tells where it stands.
    """
    return _tables(str(path), read_bytes(path), content)


def _tables(name: str, data: bytes, content: str) -> tuple[Mapping[str, Any], Mapping[KeyPath, int] | None]:
    text = _decoded(name, data)
    if not text.strip():
        raise _file_error(name, 1, "is empty", content)
    is_json = name.endswith(".json")
    tables = (_parse_json if is_json else _parse_toml)(name, text)
    for finding in depth_findings(tables):  # before its lines are sought, which walks as deep
        raise findings_error(name, [finding], None if is_json else _line_of_word(text, str(finding.path[0])))
    return tables, None if is_json else toml_lines(text)


def _line_of_word(text: str, word: str) -> Mapping[KeyPath, int]:
    """Return the line on which a table is opened, by the first place that its name stands at."""
    found = re.search(rf"^[\s\[\"']*{re.escape(word)}(?![\w-])", text, re.MULTILINE)
    return {(word,): text.count("\n", 0, found.end()) + 1 if found else 1}


def case_from_dict(tables: Mapping[str, Any], name: str = "case") -> Case:
    """Return the validated case of tables that are already in memory, keys as in a file; raises CaseError."""
    return _assembled(tables, None, name, None)


def read_text(path: str | Path) -> str:
    """Return the text of an input file; raises CaseError if it is not a readable UTF-8 text of bearable size."""
    return _decoded(str(path), read_bytes(path))


def _decoded(name: str, data: bytes) -> str:
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise _file_error(name, 1, "is not UTF-8 but UTF-16, as its first bytes say", "a text file in UTF-8")
    if b"\0" in data:
        raise _file_error(name, data.count(b"\n", 0, data.index(b"\0")) + 1, "is a binary file", "a text file in UTF-8")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise _file_error(name, line, "is not UTF-8", "a text file in UTF-8") from error


def _parse_toml(name: str, text: str) -> Mapping[str, Any]:
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:  # ValueError: also a number of thousands of digits
        reason, line = _toml_reason_and_line(str(error), text)
        raise _error(name, [_toml_fault(text.split("\n")[line - 1].strip(), reason, line)]) from error


def _toml_reason_and_line(reason: str, text: str) -> tuple[str, int]:
    """Return the reader's reason and line; where it gives none, that of an endless number or key, or the last."""
    found = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)", reason)
    if found and found[1]:
        return _plain(reason[: found.start()]), int(found[1])
    endless = re.search(r"\d{4000}|^(?:[^.\n]*\.){1000}", text, re.MULTILINE)
    reached = text[: endless.start()] if endless and not found else text.rstrip()
    return _plain(reason[: found.start()] if found else reason), reached.count("\n") + 1


def _toml_fault(written: str, reason: str, line: int) -> Fault:
    """Name the key and the value that stand on the line where the TOML reader stopped."""
    key, equals, value = (part.strip() for part in written.partition("="))
    return Fault(
        key if equals else "file", f"is not valid TOML: {reason}", (value if equals else written) or None, "", line
    )


def _plain(reason: str) -> str:
    """Return the reader's reason as one line, with the usual mistake behind it."""
    reason = " ".join(reason.split())
    hints = {
        "Cannot overwrite a value": "the key is given twice",
        "Cannot declare": "the table is given twice",
        "Invalid value": "numbers are written 0.25, texts in quotes",
    }
    return reason + "".join(f" ({hint})" for start, hint in hints.items() if reason.startswith(start))


def _parse_json(name: str, text: str) -> Mapping[str, Any]:
    try:
        tables = json.loads(text, object_pairs_hook=lambda pairs: _table(name, pairs))
    except json.JSONDecodeError as error:
        raise _file_error(name, error.lineno, f"is not valid JSON: {error.msg}") from error
    except (ValueError, RecursionError) as error:
        raise _file_error(name, 1, f"is not valid JSON: {_plain(str(error))}") from error
    if not isinstance(tables, dict):
        raise _file_error(name, 1, "holds no tables", '{"material": {...}, "shape": {...}, ...}')
    return tables


def _table(name: str, pairs: Sequence[tuple[str, Any]]) -> dict[str, Any]:
    """Return a table of a JSON text. Raises CaseError for a key that is given twice, which TOML itself forbids."""
    table = dict(pairs)
    if len(table) < len(pairs):
        doubled = [key for key, times in Counter(key for key, _ in pairs).items() if times > 1]
        raise _error(name, [Fault(key, "given twice", allowed="once in one table") for key in doubled])
    return table


def _file_error(name: str, line: int | None, problem: str, allowed: str = "") -> CaseError:
    return _error(name, [Fault("file", problem, None, allowed, line)])


def _assembled(tables: Mapping[str, Any], file: str | None, name: str, lines: Mapping[KeyPath, int] | None) -> Case:
    """Return the case of tables; raises CaseError if there are findings, told in the order of the file."""
    unspeakable = list(depth_findings(tables)) or list(text_findings(tables))
    case, findings = (None, unspeakable) if unspeakable else assemble(tables, file)
    if case is not None:
        return case
    raise findings_error(name, findings, lines)


def findings_error(name: str, findings: Iterable[Finding], lines: Mapping[KeyPath, int] | None) -> CaseError:
    """Return the error that tells all findings of a file in the order of its lines."""
    faults = [
        Fault(_dotted(each.path), each.problem, each.value, each.allowed, _line(each.path, lines)) for each in findings
    ]
    return _error(name, sorted(faults, key=lambda fault: fault.line or 0))


def refusal(case: Case, table_and_key: tuple[str, str], problem: str, allowed: str) -> CaseError:
    """Return the error that refuses a sound case for what a table and a key of it say, at its line of the file.

    The key is an internal name, '' for the whole table.
    """
    table, name = table_and_key
    given = case.tables.get(table, {})
    key = next((key for key in given if key == name or key.startswith(f"{name}_")), name) if name else ""
    path: KeyPath = (table, key) if key else (table,)
    lines = None if case.path is None else read_tables(case.path, "a case")[1]
    return findings_error(case.path or "case", [Finding(path, problem, given.get(key), allowed)], lines)


def _line(path: KeyPath, lines: Mapping[KeyPath, int] | None) -> int | None:
    """Return the line of a key; 1 for a table that the file lacks; None if there is no file."""
    return None if lines is None else nearest_line(lines, path) or 1


def _error(name: str, faults: list[Fault]) -> CaseError:
    shown = printable(name)
    texts = [f"{shown}:{fault.line}: {fault}" if fault.line else f"{shown}: {fault}" for fault in faults]
    return CaseError("\n".join(texts), faults)


def _dotted(path: KeyPath) -> str:
    """Return a key path as people write it: shape.pieces[2].arc_mm."""
    text = "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in path)
    return " ".join(text.removeprefix(".").split())
