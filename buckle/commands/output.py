"""What a command gives: exit code, printed text, machine-readable content."""

import json
import os
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from rich.console import Console, RenderableType

from buckle.errors import CaseError, printable
from buckle.record.quantities import Record

PIPE_WIDTH = 150  # columns of a table that goes to a file


def say(what: RenderableType) -> None:
    """Print to standard output, whole tables in a pipe; goes on silently when the reader has gone (head, less).

    Text is printed as it is: brackets in it are those of tables and paths, not marks of style.
    """
    console = Console() if sys.stdout.isatty() else Console(width=PIPE_WIDTH)
    with console.capture() as captured:
        console.print(what, soft_wrap=isinstance(what, str), markup=not isinstance(what, str))
    _write(captured.get())


def _write(text: str) -> None:
    """Write to standard output, with '?' for what its encoding lacks."""
    encoding = sys.stdout.encoding or "utf-8"
    try:
        sys.stdout.write(text.encode(encoding, errors="replace").decode(encoding))
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def write_json(json_file: str | None, recorded: Record | list[Record]) -> None:
    """Write the machine-readable content to a file or, for '-', to standard output. Raises CaseError if it cannot."""
    if json_file is None:
        return
    if json_file == "-":
        _write(_json(recorded, ensure_ascii=not (sys.stdout.encoding or "").lower().startswith("utf")))
        return
    text = _json(recorded, ensure_ascii=False)
    try:
        Path(json_file).write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise _unwritable(json_file, error) from error


def _json(content: Record | list[Record], *, ensure_ascii: bool) -> str:
    return json.dumps(content, indent=1, allow_nan=False, ensure_ascii=ensure_ascii) + "\n"


def check_writable(files: Sequence[str | Path | None], directories: Sequence[Path] = ()) -> None:
    """Raise CaseError, before any work, if what a command is to leave cannot be written; nothing is left of the try.

    `directories` are those that the command fills, made with their parents where they are missing; a file may lie in
    one of them. A file that is None or '-', standard output, needs no place.
    """
    for directory in directories:
        _tried(directory, _try_directory)
    made = {directory.resolve() for directory in directories}
    for file in files:
        if (
            file is not None
            and str(file) != "-"
            and (Path(file).parent.exists() or Path(file).resolve().parent not in made)
        ):
            _tried(Path(file), _try_file)


def _tried(path: Path, attempt: Callable[[Path], None]) -> None:
    try:
        attempt(path)
    except (OSError, ValueError) as error:  # ValueError: a null character in the name
        raise _unwritable(path, error) from error


def _try_file(path: Path) -> None:
    """Open a file for writing as it is, or make it and take it away again."""
    if path.is_file() or path.is_dir():
        os.close(os.open(path, os.O_WRONLY | os.O_APPEND))
    elif not path.exists():  # a device or a pipe may wait for a reader: it is left alone
        os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL))
        path.unlink()


def _try_directory(path: Path) -> None:
    """Make a directory in the nearest one above a path that exists, and take it away again."""
    there = next(parent for parent in (path, *path.resolve().parents) if _exists(parent))
    Path(tempfile.mkdtemp(prefix=".buckle-", dir=there)).rmdir()


def _exists(path: Path) -> bool:
    """Tell whether there is such a path. Raises OSError for a name that none can have, which `Path.exists` hides."""
    try:
        path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return False
    return True


def _unwritable(path: str | Path, error: Exception) -> CaseError:
    reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return CaseError(f"{printable(str(path))}: cannot be written: {reason}")
