"""The files of a run, written whole or not at all."""

import json
import os
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from buckle.case import Case
from buckle.errors import CaseError
from buckle.record.artefacts import RECORD
from buckle.record.quantities import Fields, Record, record
from buckle.record.seal import KEPT, analysis_time, case_bytes, kept_name, sealed, with_origin
from buckle.record.surfaces import surfaces, write_vtu
from buckle.record.tables import path_table, wave_table
from buckle.report.figures.all import figures, save_figure
from buckle.report.figures.sheet import save_svg, sheet_figures
from buckle.report.sheet.page import write_html
from buckle.results import Outcome
from buckle.units import RECORDED, Units

OURS = (".json", ".csv", ".svg", ".png", ".vtu", ".html")
"""Kinds of files that a run writes; others that lie in a results directory are carried over."""
_STALE = ("margin-sheet.md", *KEPT)  # written by a run or a review of it under a name of another kind
_OLD = "old"


def write_results(
    directory: str | Path,
    case: Case,
    outcomes: Sequence[Outcome],
    verdict: Fields,
    expectations: Sequence[Fields] = (),
    when: str | None = None,
    units: Units = RECORDED,
) -> Record:
    """Write everything that a run leaves behind and return the record of it; `when` is the time of the analysis.

    Pictures and sheet are in the units of a reader, all else in those of the record.

    Interrupted at any time, the directory holds what it held before or the new results, never a mixture. Raises
    CaseError if it cannot be written, or if it holds something that is not the results of a run.
    """
    target = Path(directory).resolve()
    check_target(target)
    told = with_origin(record(case, outcomes, verdict, expectations), case, when or analysis_time())
    with replaced(target) as fresh:
        _write_artefacts(fresh, case, outcomes, told, units)
        told = sealed(told, fresh.iterdir())
        (fresh / kept_name(case)).write_bytes(case_bytes(case))
        _write_text(fresh / RECORD, json.dumps(told, indent=1, allow_nan=False, ensure_ascii=False) + "\n")
    return told


def check_target(target: Path) -> None:
    """Raise CaseError if a directory may not be replaced: what no run wrote is never destroyed."""
    try:
        if target.exists() and not target.is_dir():
            raise CaseError(f"{target}: is not a directory; allowed: a new one, or one that a run wrote")
        if target.is_dir() and any(target.iterdir()) and not (target / RECORD).is_file():
            raise CaseError(f"{target}: holds files but no {RECORD}; allowed: a new directory, or one that a run wrote")
    except OSError as error:
        raise _unwritable(target, error) from error


@contextmanager
def replaced(target: Path) -> Iterator[Path]:
    """Lend an empty directory beside the target that takes its place when the block ends without an exception.

    Two renames do it. A process killed between them leaves both directories whole in `.NAME.*` beside the target; any
    exception puts the old one back.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        beside = Path(tempfile.mkdtemp(prefix=f".{target.name}.", dir=target.parent))
    except OSError as error:
        raise _unwritable(target, error) from error
    try:
        fresh = beside / "new"
        fresh.mkdir()
        yield fresh
        _carry_over(target, fresh)
        _swap(target, fresh, beside / _OLD)
    except OSError as error:
        raise _unwritable(target, error) from error
    finally:
        if target.exists() or not (beside / _OLD).exists():  # else the old results are nowhere but here
            shutil.rmtree(beside, ignore_errors=True)


def _carry_over(target: Path, fresh: Path) -> None:
    """Copy what is not ours from the old directory to the new one."""
    for path in target.iterdir() if target.is_dir() else ():
        if path.is_dir():
            shutil.copytree(path, fresh / path.name, symlinks=True)
        elif path.suffix not in OURS and path.name not in _STALE:
            shutil.copy2(path, fresh / path.name, follow_symlinks=False)


def _swap(target: Path, fresh: Path, old: Path) -> None:
    """Move the old directory aside and the new one to its place; put the old one back if that fails."""
    if not target.exists():
        os.rename(fresh, target)
        return
    try:
        os.rename(target, old)
        os.rename(fresh, target)
    except BaseException:  # an interrupt too, wherever it comes
        if old.exists() and not target.exists():
            os.rename(old, target)
        raise


def _write_artefacts(directory: Path, case: Case, outcomes: Sequence[Outcome], kept: Record, units: Units) -> None:
    """Write tables, pictures, surfaces and the sheet: all that the record holds the SHA-256 of."""
    tables = {"path.csv": path_table(outcomes), "by_wave_number.csv": wave_table(outcomes)}
    for name, text in tables.items():
        if text:
            _write_text(directory / name, text)
    for name, figure in figures(case, outcomes):
        save_figure(figure, directory, name)
    for name, figure in sheet_figures(case, outcomes, kept):
        save_svg(figure, directory, name)
    for name, surface in surfaces(case.meridian, outcomes):
        write_vtu(directory / f"{name}.vtu", surface)
    write_html(directory, kept, units)


def _write_text(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8", newline="\n")


def _unwritable(target: Path, error: OSError) -> CaseError:
    return CaseError(f"{target}: cannot be written: {error.strerror or error}")
