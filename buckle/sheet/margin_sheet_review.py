"""The work behind `buckle review`: margin sheets of cases or of stored runs, and what changed between them."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class Review:
    """Where to write and what to tell; revision '' leaves a blank line on the sheet."""

    out: Path
    json_file: str | None = None
    unit: str = "bar"
    revision: str = ""
    quiet: bool = False


def review(paths: Sequence[Path], wanted: Review) -> int:
    """Write the margin sheet of each path and, of several, what changed; returns the exit code."""
    raise NotImplementedError
