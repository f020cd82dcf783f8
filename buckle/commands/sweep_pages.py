"""The pictures and the page of a finished batch; loaded when there is something to draw."""

from collections.abc import Iterator

from buckle.case import Case
from buckle.commands.output import say
from buckle.commands.sweep import Finished, Request
from buckle.container.container import Container
from buckle.container.models import END
from buckle.container.whole import standing_parts
from buckle.record.seal import file_sha256
from buckle.report.batch.explorer import Outline, outline, write_explorer
from buckle.report.batch.figures import write_figures
from buckle.store import RowStatus, Store, Table
from buckle.study.study import Study

PAGE = "explorer.html"
EXPLORED = 10_000  # designs that one page shows without becoming slow: it answers in a quarter of a second


def write_pages(request: Request, finished: Finished) -> None:
    """Write pictures and page of a finished batch and say where. Raises CaseError if they cannot be written."""
    study, table = finished.study, finished.table
    pictures = write_figures(table, request.out, request.formats, request.units)
    page = [request.out / PAGE] if study.count <= EXPLORED else []
    for path in page:
        write_explorer(path, table, dict(_outlines(study, table)), request.units.pressure, request.units.length)
    with Store(request.out, create=True) as store:
        store.note_pages(finished.fingerprint, {path.name: file_sha256(path) for path in [*pictures, *page]})
    if request.prints:
        count = len({path.stem for path in pictures})
        say(f"Pictures: {count} in {request.out}" + "".join(f"; page: {path}" for path in page) + "\n")


def _outlines(study: Study, table: Table) -> Iterator[tuple[int, Outline]]:
    """Yield the outline of every design that could be built, by number."""
    for row in table.rows:
        if row["status"] != RowStatus.NOT_BUILT:
            yield row["design"], _outline(study.case(study.design(row["design"])))


def _outline(case: Case | Container) -> Outline:
    """Return the middle surface of a case; of a container that of all its parts, one after the other."""
    if isinstance(case, Case):
        return outline(case.meridian)
    walks = [list(outline(part.meridian))[:: -1 if part.name == END else 1] for part in standing_parts(case)]
    return [point for walk in walks for point in walk]
