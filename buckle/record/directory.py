"""The directory of a run: what no run wrote is never destroyed, and what one wrote is replaced whole or not at all."""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from buckle.errors import CaseError
from buckle.record.artefacts import RECORD
from buckle.record.seal import KEPT

OURS = (".json", ".csv", ".svg", ".png", ".vtu", ".html")
"""Kinds of files that a run writes; others that lie in a results directory are carried over."""
_STALE = ("margin-sheet.md", *KEPT)  # written by a run or a review of it under a name of another kind
_OLD = "old"


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
        if (fresh / path.name).is_dir():
            continue  # a part of a container, written anew
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


def _unwritable(target: Path, error: OSError) -> CaseError:
    return CaseError(f"{target}: cannot be written: {error.strerror or error}")
