"""All figures of a batch by name."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from matplotlib.figure import Figure

from buckle.batch.numbers import Batch, batch_of, effects, shortfall
from buckle.errors import CaseError
from buckle.report.batch.curves import draw_responses
from buckle.report.batch.map import can_map, draw_map
from buckle.report.batch.scatter import draw_front, draw_matrix
from buckle.report.batch.tolerance import draw_histogram, draw_tornado
from buckle.report.figures.all import SVG, save_figure
from buckle.store import Table
from buckle.units import RECORDED, Units

FOR_MATRIX = 20  # designs from which a scatter matrix shows more than the response curves


def batch_figures(table: Table, units: Units = RECORDED) -> Iterator[tuple[str, Figure]]:
    """Yield every figure that a batch has something to show for, with its name, in a reader's units."""
    batch = batch_of(table, units)
    if batch is None:
        return
    yield from _over_parameters(batch)
    if batch.mass is not None and batch.mass.min() < batch.mass.max():
        yield "mass", draw_front(batch)
    if table.random and effects(batch):  # a standard deviation of a grid means nothing
        yield "tornado", draw_tornado(batch)
    if table.random:
        yield "histogram", draw_histogram(batch, shortfall(table))


def _over_parameters(batch: Batch) -> Iterator[tuple[str, Figure]]:
    if batch.parameters:
        yield "responses", draw_responses(batch)
    if can_map(batch):
        yield "map", draw_map(batch)
    if len(batch.names) > 1 and len(batch.load) >= FOR_MATRIX:
        yield "scatter", draw_matrix(batch)


def write_figures(
    table: Table, directory: Path, formats: Sequence[str] = (SVG,), units: Units = RECORDED
) -> list[Path]:
    """Write every figure of a batch in each format; returns the paths. Raises CaseError if it cannot."""
    written: list[Path] = []
    for name, figure in batch_figures(table, units) if formats else ():
        try:
            save_figure(figure, directory, name, formats, units)
        except OSError as error:
            raise CaseError(f"{directory / name}: cannot be written: {error.strerror or error}") from error
        written += [directory / f"{name}.{each}" for each in formats]
    return written
