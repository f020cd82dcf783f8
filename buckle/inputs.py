"""Files that are handed in: read whole or refused in one line. Loads nothing, so that a wrong name is told at once."""

from collections.abc import Iterable
from pathlib import Path

from buckle.errors import CaseError, Fault, printable

LARGEST = 5_000_000
"""Largest file that is read [bytes]; a case of thousands of pieces stays far below."""


def read_bytes(path: str | Path) -> bytes:
    """Return what a file holds; raises CaseError if it is not a regular file of bearable size that can be read."""
    try:
        file = Path(path)
        if file.exists() and not file.is_file():
            raise _refusal(path, "is a directory" if file.is_dir() else "is not a regular file", "a TOML file")
        if file.exists() and file.stat().st_size > LARGEST:
            raise _refusal(path, "is too large", f"up to {LARGEST} bytes")
        return file.read_bytes()
    except (OSError, ValueError) as error:  # ValueError: a null character in the name
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _refusal(path, f"cannot be read: {reason}") from error


def check_readable(paths: Iterable[Path]) -> None:
    """Raise CaseError with a line for each file that cannot be read."""
    problems = []
    for path in paths:
        try:
            read_bytes(path)
        except CaseError as error:
            problems.append(str(error))
    if problems:
        raise CaseError("\n".join(problems))


def _refusal(path: str | Path, problem: str, allowed: str = "") -> CaseError:
    fault = Fault("file", problem, None, allowed)
    return CaseError(f"{printable(str(path))}: {fault}", [fault])
