"""The work behind `buckle demand`: the pressure that the contents of a case make."""

from dataclasses import replace
from pathlib import Path

from rich.text import Text

from buckle.analysis.swelling import swelled
from buckle.case import Case, refusal
from buckle.case.contents import with_demand
from buckle.commands.output import say, write_json
from buckle.container.container import Container
from buckle.container.reader import read_input
from buckle.demand.conditions import Demand
from buckle.demand.swelling import Swelled
from buckle.errors import CaseError
from buckle.marked import plain
from buckle.record.demand import condition_fields, demand_fields, step_fields, swelling_fields, swelling_sentence
from buckle.record.quantities import Record, plain_mapping
from buckle.report.demand import demand_sheet
from buckle.report.figures.all import save_figure
from buckle.report.figures.demand import draw_demand
from buckle.units import Units, bar


def show_demand(
    path: Path, out: Path | None, json_file: str | None, units: Units, *, quiet: bool, compliance: bool = False
) -> int:
    """Print what the contents of a case make, with its picture if `out` is given; returns the exit code.

    `compliance` lets the case's own body give way. Raises CaseError for a case without contents, and where the picture
    cannot be written; SolveError where the body has no path.
    """
    case = _filled(read_input(path))
    if case.demand is None:
        problem = "missing: nothing is said of what the container holds"
        raise refusal(case, ("contents", ""), problem, "a table [contents]")
    own = _swelled(case) if compliance else None
    demand = case.demand if own is None else own.demand
    case = replace(case, demand=demand, requirements=with_demand(case.asked, demand))
    loud = not quiet and json_file != "-"
    if loud:
        say(demand_sheet(case, demand, units))
        if own is not None:
            say(Text(units.words(swelling_sentence(own))))
    if out is not None:
        name = f"{path.stem}-demand"
        _draw(case, out, name, units)
        if loud:
            say(f"Picture: {out / name}.svg")
    given_way = {} if own is None else {"swelling": swelling_fields(own)}
    write_json(json_file, demand_content(case, demand) | given_way)
    return 0


def _swelled(case: Case) -> Swelled:
    if case.loads.pressure_side != "inside":
        problem = "the body is followed as the pressure inside rises, and this one acts from outside"
        raise refusal(case, ("loads", "pressure_side"), problem, '"inside", or without --compliance')
    return swelled(case)


def _filled(given: Case | Container) -> Case:
    """Return the case whose contents count: of a container those of its first part that has some."""
    if isinstance(given, Case):
        return given
    case = given.filled or next(iter(given.parts.values()))
    return replace(case, title=given.title, path=given.path)


def demand_content(case: Case, demand: Demand) -> Record:
    """Return the demand as plain data under the contract's names."""
    fields = demand_fields(case)
    asked, judged = case.asked.pressure, case.requirements.pressure
    return plain_mapping(
        {
            "title": case.title,
            "input_sha256": case.input_hash,
            "conditions": fields["demand_conditions"],
            "demand_bar": fields["demand_bar"],
            "vacuum_bar": fields["demand_vacuum_bar"],
            "governing": condition_fields(demand.governing),
            "steps": step_fields(demand),
            "required_pressure_bar": None if asked is None else bar(asked),
            "judged_pressure_bar": None if judged is None else bar(judged),
            "in_words": plain(str(fields["demand_in_words"])),
            "assumptions": _plain(fields["demand_assumptions"]),
            "cautions": _plain(fields["demand_cautions"]),
        }
    )


def _plain(texts: object) -> list[str] | None:
    """Return texts with their quantities in bar and mm."""
    return [plain(each) for each in texts] if isinstance(texts, list) else None


def _draw(case: Case, out: Path, name: str, units: Units) -> None:
    try:
        out.mkdir(parents=True, exist_ok=True)
        save_figure(draw_demand(case, units=units), out, name, units=units)
    except OSError as error:
        raise CaseError(f"{out}: cannot be written: {error.strerror or error}") from error
