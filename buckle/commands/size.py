"""The work behind `buckle size`: what value of one key just passes, or the lightest shape that does."""

import shlex
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path

from buckle.batch.asked import Designs, asking
from buckle.batch.whole import asked_of, is_required
from buckle.case import Case
from buckle.case.reader import PARTS
from buckle.commands.codes import MET, NOT_MET, UNFINISHED
from buckle.commands.output import check_writable, say, write_json
from buckle.container.container import Container
from buckle.container.reader import read_input
from buckle.errors import CaseError, SolveError
from buckle.margins.sufficient import lacks
from buckle.record.quantities import plain_mapping
from buckle.report.figures.all import save_figure
from buckle.report.figures.sizing import draw_front, draw_scan, draw_sizing
from buckle.report.size import front_text, scan_text, sized_text
from buckle.size.front import OnFront, front_of
from buckle.size.neighbourhood import checked
from buckle.size.objective import UNITS
from buckle.size.one import Scan, scan
from buckle.size.problem import bounds_of, problem_of
from buckle.size.record import crossing_words, front_name, front_record, front_words, scan_record, sized_record
from buckle.size.sizing import Sized, size_design
from buckle.size.trial import Trial, lower_decides, trial_of
from buckle.size.variable import WIDER, check_matters, inputs_of, variable
from buckle.size.written import write_design
from buckle.units import RECORDED, Units

WARM = (
    "the metal is taken at 20 degC at every temperature; it is weaker when it is warm: "
    "contents.warm_metal = true counts that"
)


@dataclass(frozen=True)
class Request:
    """What `buckle size` is asked for."""

    path: Path
    out: Path
    vary: str | None = None
    reserve: float | None = None
    between: tuple[float, float] | None = None
    check: int = 0
    front: int = 0
    jobs: int | None = None
    json_file: str | None = None
    units: Units = RECORDED
    quiet: bool = False
    formats: tuple[str, ...] = ("svg",)

    @property
    def prints(self) -> bool:
        """Tell whether text goes to standard output."""
        return not self.quiet and self.json_file != "-"

    @property
    def directory(self) -> Path:
        """Where the designs of this case are kept, and what comes of them."""
        return self.out / f"{self.path.stem}-size"


def size_case(request: Request) -> int:
    """Size a case or a container; returns 0 with an answer, 1 where none meets what is asked, 3 where analyses stopped.

    Raises CaseError for a case that asks for nothing or whose analyses cannot decide.
    """
    _check_asked_together(request)
    case = checked_input(request.path)
    check_writable([request.json_file], [request.directory])
    return _lightest(request, case) if request.vary is None else _answer(request, case, request.vary)


def _check_asked_together(request: Request) -> None:
    """Raise CaseError for what would be passed over in silence."""
    if request.vary is None and request.between is not None:
        raise CaseError("--between: says where one key may lie; allowed: with --vary KEY, or [size.vary] in the file")
    if request.vary is not None and (request.check or request.front):
        raise CaseError("--check, --front: are of the lightest design; allowed: without --vary")


def checked_input(path: Path) -> Case | Container:
    """Read a case or a container that can be judged: something is required of it, and its analyses can decide.

    Of a container every part of which something is required must be one that can.
    """
    found = read_input(path)
    if isinstance(found, Container):
        cases = {f"{PARTS}.{each.name}: ": each.case for each in asked_of(found)}
    else:
        cases = {"": found} if is_required(found) else {}
    for name, case in cases.items():
        reasons = [lacks(case, kind) for kind in case.analyses.run]
        if all(reasons):
            raise CaseError(f"{path}: {name}{reasons[-1]}")
    if not cases:
        what = "any part of the container" if isinstance(found, Container) else "the case"
        raise CaseError(f"{path}: requirements: nothing is required of {what}; allowed: such as pressure_bar = 6.2")
    return found


def _lightest(request: Request, case: Case | Container) -> int:
    """Find the lightest design that [size] allows, and leave it as a case file with its history and picture."""
    problem = problem_of(case, request.reserve)
    with _asking(request, case, f"{case.title}: {problem.table.minimise}") as designs:
        try:
            sized = size_design(designs, problem)
        except SolveError as error:
            return _none(request, designs, str(error))
        check = checked(designs, sized, request.check) if request.check else None
        front = front_of(designs, sized, request.front) if request.front else ()
    if request.prints:
        say(sized_text(case, sized, check, request.units))
    _leave_design(request, case, sized)
    content = {**sized_record(case, sized, designs.count, check), "case_file": str(_case_path(request))}
    if front:
        _leave_front(request, case, sized, front)
        content["front"] = front_record(case, front)
    write_json(request.json_file, plain_mapping(content))
    return MET if sized.holds else NOT_MET


def _none(request: Request, designs: Designs, reason: str) -> int:
    if request.prints:
        say(f"ANSWER: none: {reason}.\n")
    write_json(request.json_file, plain_mapping({"design": {}, "reason": reason, "evaluations": designs.count}))
    return NOT_MET


def _leave_design(request: Request, case: Case | Container, sized: Sized) -> None:
    path, unit = _case_path(request), UNITS[sized.problem.table.minimise]
    words = (
        f"Sized by buckle: {sized.problem.table.minimise} {sized.visit.objective:.5g} {unit} "
        f"for a reserve factor of {sized.problem.asked:g}."
    )
    after = write_design(case, inputs_of(sized.problem.variables, sized.values), path, words)
    said = [f"The sized {_kind(case)}: {path}; buckle run {shlex.quote(str(path))} judges it in full."]
    if request.formats:
        save_figure(
            draw_sizing(case, sized, after, request.units), request.directory, "sizing", request.formats, request.units
        )
        said.append(f"Picture: {request.directory / 'sizing'}.{request.formats[0]}")
    if request.prints:
        say("\n".join(said) + "\n")


def _leave_front(request: Request, case: Case | Container, sized: Sized, front: Sequence[OnFront]) -> None:
    """Write each design of a front as a case file, and a picture of all."""
    if request.prints:
        say(front_text(sized, front))
    for each in front:
        write_design(case, each.inputs, request.directory / front_name(each, case), front_words(each))
    if request.formats:
        save_figure(draw_front(case, sized, front), request.directory, "front", request.formats)
    if request.prints:
        say(f"Designs of the front: {request.directory / front_name(front[0], case)} and so on.\n")


def _asking(request: Request, case: Case | Container, title: str) -> AbstractContextManager[Designs]:
    return asking(case, request.directory, title, jobs=request.jobs)


def _answer(request: Request, case: Case | Container, key: str) -> int:
    asked = 1.0 if request.reserve is None else request.reserve
    between = request.between or bounds_of(case, key)
    with _asking(request, case, f"{case.title}: {key}") as designs:
        moving = variable(case, key, between)
        check_matters(designs, [moving])
        found = scan(designs, moving, asked)
        if found.answer is None and between is None:
            wider = variable(case, key, None, WIDER)
            found = scan(designs, wider, asked) if (wider.low, wider.high) != _span(found) else found
        sure = _sure(designs, found)
    cautions = tuple(_cautions(case, key))
    if request.prints:
        say(scan_text(case, found, sure, cautions, request.units))
    _leave(request, case, found)
    content = scan_record(found, designs.count, sure, cautions)
    if found.answer is not None:
        content["case_file"] = str(_case_path(request))
    write_json(request.json_file, plain_mapping(content))
    if found.answer is not None:
        return MET
    return UNFINISHED if found.stopped or not found.judged else NOT_MET


def _span(found: Scan) -> tuple[float, float]:
    return found.variable.low, found.variable.high


def _sure(designs: Designs, found: Scan) -> Trial | None:
    """Return the answer once more, with its numerical error."""
    if found.answer is None:
        return None
    inputs = found.variable.at(found.answer.value)
    trial = trial_of(inputs, designs.results([inputs], sure=True)[0], lower_counts=lower_decides(designs.base))
    return trial if trial.judged else None


def _kind(base: Case | Container) -> str:
    return "container" if isinstance(base, Container) else "case"


def _cautions(case: Case | Container, key: str) -> Iterator[str]:
    warm = case.contents is not None and case.contents.warm_metal
    if key.startswith("contents.temperature") and not warm:
        yield WARM
    if isinstance(case, Container):
        left = [each.name for each in case.loaded if not is_required(each.case)]
        if left:
            yield f"nothing is required of {', '.join(left)}, which did not count"


def _case_path(request: Request) -> Path:
    return request.directory / request.path.name


def _leave(request: Request, case: Case | Container, found: Scan) -> None:
    """Write the sized case and the picture, and say where."""
    said = []
    if found.answer is not None:
        path = _case_path(request)
        write_design(case, found.variable.at(found.answer.value), path, crossing_words(found, found.answer))
        said.append(f"The sized {_kind(case)}: {path}; buckle run {shlex.quote(str(path))} judges it in full.")
    if request.formats:
        name = "reserve-along-it"
        save_figure(draw_scan(case, found, request.units), request.directory, name, request.formats, request.units)
        said.append(f"Picture: {request.directory / name}.{request.formats[0]}")
    if request.prints:
        say("\n".join(said) + "\n")
