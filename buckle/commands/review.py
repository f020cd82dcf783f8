"""The work behind `buckle review`: margin sheets of cases or of stored runs, and what changed between them."""

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from functools import partial
from itertools import pairwise
from pathlib import Path

from rich.console import Group, RenderableType
from rich.text import Text

from buckle.case import Case
from buckle.cautions import CAUTIONS
from buckle.commands.codes import UNFINISHED
from buckle.commands.container import run_container_into
from buckle.commands.output import check_writable, say, write_json
from buckle.commands.run import run_into
from buckle.commands.solve import code_of
from buckle.container.container import Container
from buckle.container.reader import read_input
from buckle.errors import CaseError
from buckle.margins import Word
from buckle.marked import plain
from buckle.record.artefacts import SHEET
from buckle.record.container import FAMILY
from buckle.record.directory import check_target
from buckle.record.quantities import Record
from buckle.record.reading import rows_of
from buckle.record.sheet.container import container_sheet
from buckle.record.sheet.content import sheet_of
from buckle.record.sheet.head import sheet_date
from buckle.record.stored import read_record
from buckle.record.stored_container import is_container_record, read_container_record
from buckle.report.console import printed_table
from buckle.report.container.page import container_html, container_json, container_markdown, tables_of
from buckle.report.files import Shown, write_container, write_results
from buckle.report.pages import rendered
from buckle.report.sheet.comparison import RunComparison, Side, body_table, change_table, compare_runs, moved_table
from buckle.report.sheet.page import html_of, json_of, markdown_of
from buckle.report.sheet.tables import TableData, expectation_table, margin_table
from buckle.shapes import FAMILIES, described
from buckle.units import RECORDED, Units

COMPARISON = "comparison"


@dataclass(frozen=True)
class Review:
    """Where to write and what to tell; revision '' leaves a blank line on the sheet."""

    out: Path
    json_file: str | None = None
    units: Units = RECORDED
    revision: str = ""
    quiet: bool = False


@dataclass(frozen=True)
class _Reviewed:
    """A run with the directory of its pictures, its name among the others, and its exit code.

    `parts` are the records of a container's.
    """

    name: str
    directory: Path
    recorded: Record
    code: int
    stored: bool
    parts: Mapping[str, Record] = field(default_factory=dict)

    @property
    def sides(self) -> Mapping[str, tuple[str, Record]]:
        """What is compared with other runs: the run, or each part of a container, by name and record."""
        if self.recorded["family"] != FAMILY:
            return {"": (self.name, self.recorded)}
        return {part: (f"{self.name}, {part}", each) for part, each in self.parts.items()}


def review(paths: Sequence[Path], wanted: Review) -> int:
    """Write the margin sheet of each path and, of several, what changed; returns the exit code.

    Raises CaseError before any work if a path is neither a case nor the results of a run.
    """
    loud = not wanted.quiet and wanted.json_file != "-"
    sources = _sources(paths, wanted.out)
    directories = [source.directory for source in sources.values()]
    check_writable([wanted.json_file], [*([wanted.out] if len(sources) > 1 else []), *directories])
    runs = [_reviewed(name, source, wanted) for name, source in sources.items()]
    sheets = [_with_sheet(run, wanted, loud=loud) for run in runs]
    if len(sheets) == 1:
        write_json(wanted.json_file, sheets[0])
        return runs[0].code
    found = [each for before, after in pairwise(runs) for each in _compared(before, after, wanted)]
    recorded = _comparison_record(found, runs)
    _write_comparison(wanted, found, recorded)
    if loud:
        say(Group(*(_printed_comparison(each, wanted.units) for each in found)))
        say(f"Comparison: {wanted.out / COMPARISON}.html\n")
    write_json(wanted.json_file, recorded)
    return max(run.code for run in runs)


# Runs -----------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Source:
    """A case to be run into a directory, or the record that a directory holds."""

    directory: Path
    case: Case | Container | None = None
    recorded: Record | None = None
    parts: Mapping[str, Record] = field(default_factory=dict)

    @property
    def family(self) -> str:
        """Family of the body."""
        if isinstance(self.case, Container):
            return FAMILY
        return self.case.family if self.case is not None else str((self.recorded or {})["family"])


def _sources(paths: Sequence[Path], out: Path) -> Mapping[str, _Source]:
    """Read what every path names. Raises CaseError with the faults of all."""
    found: dict[str, _Source] = {}
    problems = []
    for path, name in zip(paths, names(paths), strict=True):
        try:
            found[name] = _stored(path) if path.is_dir() else _Source(out / name, read_input(path))
            if found[name].case is not None:
                check_target((out / name).resolve())
        except CaseError as error:
            problems.append(str(error))
    problems += [] if problems else _strangers(found)
    if problems:
        raise CaseError("\n".join(problems))
    return found


def _stored(directory: Path) -> _Source:
    """Return what a results directory holds, of a case or of a container. Raises CaseError where it does not agree."""
    if is_container_record(directory):
        recorded, parts = read_container_record(directory)
        return _Source(directory, recorded=recorded, parts=parts)
    return _Source(directory, recorded=read_record(directory))


def _strangers(sources: Mapping[str, _Source]) -> Iterator[str]:
    """Yield what names bodies of different families, of which one is no revision of the other."""
    for (old, before), (new, after) in pairwise(sources.items()):
        families = (before.family, after.family)
        if before.family != after.family and (
            FAMILY in families or not any(described(each).any_body for each in families)
        ):
            free = " or ".join(family.name for family in FAMILIES.values() if family.any_body)
            yield (
                f"{old} and {new} cannot be compared: {before.family} and {after.family}; allowed: revisions of one"
                f" family, or of one that is walked as a free {free}"
            )


def names(paths: Sequence[Path]) -> list[str]:
    """Return what to call each path: its own name, with its folder's where two are alike, else with its number."""
    own = [path.resolve().name if path.is_dir() else path.stem for path in paths]
    longer = [
        f"{path.resolve().parent.name}-{name}" if own.count(name) > 1 else name
        for path, name in zip(paths, own, strict=True)
    ]
    return [f"{name}-{i + 1}" if longer.count(name) > 1 else name for i, name in enumerate(longer)]


def _reviewed(name: str, source: _Source, wanted: Review) -> _Reviewed:
    """Run a case and leave its results, or take those that are there."""
    if source.case is None:
        assert source.recorded is not None
        code = max(map(stored_code, (source.recorded, *source.parts.values())))
        return _Reviewed(name, source.directory, source.recorded, code, stored=True, parts=source.parts)
    loud = not wanted.quiet and wanted.json_file != "-"
    shown = Shown(units=wanted.units)
    if isinstance(source.case, Container):
        write = partial(write_container, shown=shown)
        recorded, code = run_container_into(source.directory, source.case, wanted.units, write, loud=loud)
        parts = read_container_record(source.directory)[1]
        return _Reviewed(name, source.directory, recorded, code, stored=False, parts=parts)
    recorded, code = run_into(
        source.directory,
        source.case,
        wanted.units,
        partial(write_results, shown=shown),
        loud=loud,
        sensitivities=bool(source.case.tolerances),
    )
    return _Reviewed(name, source.directory, recorded, code, stored=False)


def stored_code(recorded: Record) -> int:
    """Return the exit code that the run of a record had."""
    if "failed" in {value for key, value in recorded.items() if key.endswith(".status")}:
        return UNFINISHED
    missed = any(row.get("met") is False for row in rows_of(recorded.get("expectations")))
    return code_of(Word(str(recorded["verdict"])), required=bool(recorded.get("required")), missed=missed)


# Sheets ---------------------------------------------------------------------------------------------------------------


def _with_sheet(run: _Reviewed, wanted: Review, *, loud: bool) -> Record:
    """Write a run's sheet in its three forms and say where it lies; the margins too, if no run has told them.

    Returns the sheet as plain data.
    """
    made = _of_container(run, wanted) if run.recorded["family"] == FAMILY else _of_case(run, wanted)
    _write(run.directory, SHEET, made.html, made.markdown)
    _write_text(run.directory / f"{SHEET}.json", _json(made.content))
    if loud:
        if run.stored:
            say(Group(*map(printed_table, made.tables)))
        say(Text(wanted.units.words(made.opening), style="bold"))
        say(f"Margin sheet: {run.directory / SHEET}.html, .md and .json\n")
    return made.content


@dataclass(frozen=True)
class _Made:
    """A sheet in its forms, what it begins with, and the tables that are printed of a stored run."""

    html: str
    markdown: str
    content: Record
    opening: str
    tables: Sequence[TableData]


def _of_case(run: _Reviewed, wanted: Review) -> _Made:
    sheet, units = sheet_of(run.recorded, sheet_date(), wanted.revision), wanted.units
    tables = [margin_table(sheet, units), *([expectation_table(sheet, units)] if sheet.expectations else [])]
    html, markdown = html_of(sheet, run.directory, units), markdown_of(sheet, run.directory, units)
    return _Made(html, markdown, json_of(sheet, run.directory), sheet.opening, tables)


def _of_container(run: _Reviewed, wanted: Review) -> _Made:
    sheet, units = container_sheet(run.recorded, run.parts, sheet_date(), wanted.revision), wanted.units
    directories = {name: run.directory / name for name in run.parts}
    return _Made(
        container_html(sheet, directories, run.directory, units),
        container_markdown(sheet, directories, units),
        container_json(sheet, directories),
        sheet.opening,
        [each for each in tables_of(sheet, units, judged_alone=True).values() if each.rows],
    )


def _compared(before: _Reviewed, after: _Reviewed, wanted: Review) -> Iterator[RunComparison]:
    """Yield what changed from a run to the next, of containers part by part."""
    old, new = (
        {
            part: Side(name, sheet_of(recorded, sheet_date(), wanted.revision))
            for part, (name, recorded) in each.sides.items()
        }
        for each in (before, after)
    )
    yield from (compare_runs(old[part], new[part]) for part in old if part in new)


def _comparison_record(found: Sequence[RunComparison], runs: Sequence[_Reviewed]) -> Record:
    return {
        "names": [run.name for run in runs],
        "date": sheet_date(),
        "comparisons": [_plain_comparison(each) for each in found],
        "cautions": list(CAUTIONS),
    }


def _plain_comparison(found: RunComparison) -> Record:
    """Return a comparison as plain data in the units of the records."""
    return {**asdict(found), "opening": plain(found.opening), "openings": list(map(plain, found.openings))}


def _write_comparison(wanted: Review, found: Sequence[RunComparison], recorded: Record) -> None:
    tables = [
        {
            "comparison": each,
            "inputs": change_table("Inputs that changed", each.inputs, each.names),
            "versions": change_table("Versions that changed", each.versions, each.names),
            "margins": moved_table(each, wanted.units),
            "body": body_table(each, wanted.units),
        }
        for each in found
    ]
    content = {**recorded, "comparisons": tables, "units": wanted.units}
    html, markdown = (rendered(f"{COMPARISON}.{kind}.j2", content) for kind in ("html", "md"))
    _write(wanted.out, COMPARISON, html, markdown)
    _write_text(wanted.out / f"{COMPARISON}.json", _json(recorded))


def _json(recorded: Record) -> str:
    return json.dumps(recorded, indent=1, allow_nan=False, ensure_ascii=False) + "\n"


def _write(directory: Path, name: str, html: str, markdown: str) -> None:
    _write_text(directory / f"{name}.html", html)
    _write_text(directory / f"{name}.md", markdown)


def _write_text(path: Path, text: str) -> None:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
    except OSError as error:
        raise CaseError(f"{path}: cannot be written: {error.strerror or error}") from error


# What is printed ------------------------------------------------------------------------------------------------------


def _printed_comparison(found: RunComparison, units: Units) -> RenderableType:
    return Group(
        Text(units.words(found.opening), style="bold"),
        printed_table(change_table("Inputs that changed", found.inputs, found.names)),
        printed_table(moved_table(found, units)),
    )
