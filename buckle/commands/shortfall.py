"""The work behind `buckle shortfall`: how many of all that are made will not meet what is required."""

from dataclasses import dataclass, field
from pathlib import Path

from buckle.batch.asked import asking
from buckle.commands.codes import MET
from buckle.commands.output import check_writable, say, write_json
from buckle.commands.size import checked_input
from buckle.record.quantities import plain_mapping
from buckle.report.figures.all import save_figure
from buckle.report.figures.shortfall import draw_shortfall
from buckle.report.shortfall import shortfall_text
from buckle.shortfall.distribution import Effort
from buckle.shortfall.engine import scatter_of_case, shortfall
from buckle.shortfall.record import shortfall_record
from buckle.units import RECORDED, Units


@dataclass(frozen=True)
class Request:
    """What `buckle shortfall` is asked for."""

    path: Path
    out: Path
    reserve: float | None = None
    effort: Effort = field(default_factory=Effort)
    jobs: int | None = None
    json_file: str | None = None
    units: Units = RECORDED
    quiet: bool = False
    formats: tuple[str, ...] = ("svg",)


def count_shortfall(request: Request) -> int:
    """Work out how many fall short of a case; returns 0. Raises CaseError where nothing is said of what scatters."""
    case = checked_input(request.path)
    scatter = scatter_of_case(case)
    directory = request.out / f"{request.path.stem}-shortfall"
    check_writable([request.json_file], [directory])
    asked = 1.0 if request.reserve is None else request.reserve
    with asking(case, directory, f"{case.title}: shortfall", jobs=request.jobs) as designs:
        made, _ = shortfall(designs, scatter, asked, request.effort)
    loud = not request.quiet and request.json_file != "-"
    if loud:
        say(shortfall_text(case, made, scatter, request.units))
    if request.formats:
        save_figure(draw_shortfall(case, made, scatter), directory, "shortfall", request.formats)
        if loud:
            say(f"Picture: {directory / 'shortfall'}.{request.formats[0]}\n")
    write_json(request.json_file, plain_mapping(shortfall_record(made, scatter, designs.count)))
    return MET
