"""What a command gives: exit code, printed text, machine-readable content."""

import json
import os
import sys
from pathlib import Path

from rich.console import Console, RenderableType

from buckle.errors import CaseError
from buckle.record.quantities import Record

PIPE_WIDTH = 150  # columns of a table that goes to a file


def say(what: RenderableType) -> None:
    """Print to standard output, whole tables in a pipe; goes on silently when the reader has gone (head, less)."""
    console = Console() if sys.stdout.isatty() else Console(width=PIPE_WIDTH)
    with console.capture() as captured:
        console.print(what, soft_wrap=isinstance(what, str))
    _write(captured.get())


def _write(text: str) -> None:
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def write_json(json_file: str | None, recorded: Record | list[Record]) -> None:
    """Write the machine-readable content to a file or, for '-', to standard output. Raises CaseError if it cannot."""
    if json_file is None:
        return
    text = json.dumps(recorded, indent=1, allow_nan=False, ensure_ascii=False) + "\n"
    if json_file == "-":
        _write(text)
        return
    try:
        Path(json_file).write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise CaseError(f"{json_file}: cannot be written: {error.strerror or error}") from error
