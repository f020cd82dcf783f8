"""The work behind `buckle crosscheck`."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console

from buckle.case import read_case
from buckle.commands.codes import MET, UNFINISHED
from buckle.commands.output import check_writable, say, write_json
from buckle.crosscheck import crosscheck
from buckle.marked import plain
from buckle.report.crosscheck import crosscheck_record, crosscheck_text
from buckle.units import RECORDED, Units


@dataclass(frozen=True)
class Request:
    """What `buckle crosscheck` is asked for; `full` adds how far numbers move with the discretisation."""

    path: Path
    full: bool = False
    json_file: str | None = None
    units: Units = RECORDED
    quiet: bool = False


def crosscheck_case(request: Request) -> int:
    """Tell how shell and solid agree on a case; 0 within the bands, 3 if they differ or one could not be followed.

    Raises CaseError for a case that is wrong or that the solid cannot be made of.
    """
    case = read_case(request.path)
    check_writable([request.json_file])
    with _progress(case.title, quiet=request.quiet) as tell:
        both = crosscheck(case, full=request.full, say=tell)
    if not request.quiet and request.json_file != "-":
        say(crosscheck_text(both, request.units))
    write_json(request.json_file, crosscheck_record(both))
    return MET if both.met else UNFINISHED


@contextmanager
def _progress(title: str, *, quiet: bool) -> Iterator[Callable[[str], None]]:
    """Lend a function that shows what is being done, on standard error if that is a terminal."""
    console = Console(stderr=True)
    if quiet or not console.is_terminal:
        yield lambda _: None
        return
    with console.status(title) as status:
        yield lambda what: status.update(f"{title}: {plain(what)}")
