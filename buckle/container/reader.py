"""Reading a container's file: parts by reference or inline, faults at the file and line that they stand on."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from buckle.case import Case, case_from_dict, read_case, replace_keys
from buckle.case.assemble import assemble
from buckle.case.contents import demand_of, own_findings
from buckle.case.echo import input_hash
from buckle.case.keys import Finding, unknown_word
from buckle.case.locator import KeyPath
from buckle.case.reader import PARTS, findings_error, read_tables
from buckle.case.texts import depth_findings, text_findings
from buckle.case.tolerances import anchored
from buckle.case.validate import Checked, check_table, in_file, value_at
from buckle.container.container import Container, Loaded
from buckle.container.merge import is_pressed, merged, untaken_findings, with_handed
from buckle.container.models import NAMES, OWN, Blanks, Filling, Whole
from buckle.container.summary import cuts_of, volumes_of
from buckle.container.tolerances import TABLE as TOLERANCES
from buckle.container.tolerances import scattered
from buckle.container.walk import joined_walk
from buckle.container.whole import meeting_findings
from buckle.demand.balance import balance
from buckle.demand.conditions import ROUND_OFF
from buckle.errors import CaseError, ContentsError, Fault, ShapeError
from buckle.units import pressure_text

REFERENCE, STATES = "case", "states"
TABLES = (*OWN, TOLERANCES, PARTS)
OF_LOAD = ("requirements", "contents")
STATE = re.compile(r"[A-Za-z]\w*")
_HOLDS = "a container's file with [parts.base], [parts.wall], [parts.neck], [parts.end]"

FILLED_AT = "filled_at_degC"
"""Of a state: the temperature at which the contents make the pressure that stays."""

Lines = Mapping[KeyPath, int] | None
Tables = dict[str, Any]


@dataclass(frozen=True)
class _File:
    """Where keys stand."""

    name: str
    lines: Lines


@dataclass(frozen=True)
class _Given:
    """The tables of a part, and the file that they came from if that is another one."""

    tables: dict[str, Any]
    file: _File | None = None
    path: str | None = None


@dataclass(frozen=True)
class _Which:
    """A part, or a state of one."""

    part: str
    state: str = ""


@dataclass
class _Reading:
    """A container's file as it is read, and what was wrong on the way, by file."""

    file: _File
    tables: Mapping[str, Any]
    folder: Path | None
    found: dict[str, tuple[_File, list[Finding]]] = field(default_factory=dict)

    def note(self, finding: Finding, file: _File | None = None) -> None:
        """Keep a finding at its file."""
        where = file or self.file
        self.found.setdefault(where.name, (where, []))[1].append(finding)

    def refuse(self) -> None:
        """Raise CaseError if anything was wrong."""
        errors = [findings_error(file.name, found, file.lines) for file, found in self.found.values()]
        if errors:
            faults: list[Fault] = [fault for error in errors for fault in error.faults]
            raise CaseError("\n".join(map(str, errors)), faults)


def is_container(tables: Mapping[str, Any]) -> bool:
    """Tell whether tables are those of a container."""
    return PARTS in tables


def read_input(path: str | Path) -> Case | Container:
    """Return the case or the container of a file; raises CaseError with one line for each fault."""
    tables, lines = read_tables(path, "a case file, or a container's")
    if not is_container(tables):
        return read_case(path)
    return _read(_Reading(_File(str(path), lines), tables, Path(path).parent))


def input_from_dict(tables: Mapping[str, Any], name: str = "case") -> Case | Container:
    """Return the case or the container of tables that are already in memory; raises CaseError."""
    if not is_container(tables):
        return case_from_dict(tables, name)
    return replace(_read(_Reading(_File(name, None), tables, None)), path=None)


def without_expectations(tables: Mapping[str, Any]) -> dict[str, Any]:
    """Return tables of a case or a container without what it expects of itself."""
    return _each_part(tables, lambda part: {name: table for name, table in part.items() if name != "expect"})


def changed_tables(tables: Mapping[str, Any], change: Callable[[Mapping[str, Any]], dict[str, Any]]) -> dict[str, Any]:
    """Return tables of a case changed, or of a container that is itself and whose parts are."""
    return change(_each_part(tables, change)) if is_container(tables) else change(tables)


def with_analyses(tables: Mapping[str, Any], run: list[str]) -> dict[str, Any]:
    """Return tables of a case, or of every part of a container and its states, that run other analyses."""

    def changed(part: Mapping[str, Any]) -> dict[str, Any]:
        states = {
            name: replace_keys(state, {"analyses.run": run}) if "analyses" in state else state
            for name, state in part.get(STATES, {}).items()
        }
        return {**replace_keys(part, {"analyses.run": run}), **({STATES: states} if states else {})}

    return _each_part(tables, changed)


def _each_part(tables: Mapping[str, Any], change: Callable[[Mapping[str, Any]], dict[str, Any]]) -> dict[str, Any]:
    """Return tables of a case changed, or of a container whose parts are."""
    if not is_container(tables):
        return change(tables)
    return {**tables, PARTS: {name: change(part) for name, part in tables[PARTS].items()}}


def _read(reading: _Reading) -> Container:
    for finding in [*depth_findings(reading.tables), *text_findings(reading.tables)]:
        reading.note(finding)
    reading.refuse()
    own = _own_tables(reading)
    given = dict(_given(reading))
    reading.refuse()
    loaded = list(_loaded(reading, given, own))
    reading.refuse()
    needs = own["requirements"].model if "requirements" in own else None
    for finding in untaken_findings(needs, [each.case.loads for each in loaded]):
        path = own["requirements"].keys.get(finding.path, finding.path)
        reading.note(replace(finding, path=path, value=value_at(reading.tables, path)))
    reading.refuse()
    container = _container(reading, own, given, loaded)
    for finding in meeting_findings(container):
        reading.note(replace(finding, path=(PARTS, *finding.path)))
    reading.refuse()
    keys = {internal: path for checked in own.values() for internal, path in checked.keys.items()}
    for finding in _summary_findings(container):
        path = keys.get(finding.path, finding.path)
        reading.note(replace(finding, path=path, value=value_at(reading.tables, path)))
    reading.refuse()
    found = scattered(reading.tables.get(TOLERANCES), container.parts, reading.folder or Path())
    for finding in found.findings:
        reading.note(finding)
    reading.refuse()
    return replace(container, tolerances=found.tolerances, correlation=found.correlation)


def _summary_findings(container: Container) -> Iterator[Finding]:
    """Yield why a container cannot be filled as it says, or its parts not be cut from their discs."""
    try:
        volumes_of(container)
    except ShapeError as error:
        fault, line = error.fault, container.whole.fill_below_brim
        path = ("container", "fill_below_brim") if fault.key == "level" and line else ("contents", "liquid")
        yield Finding(path, f"{fault.key} {fault.problem}", allowed=fault.allowed)
    try:
        if container.seam is not None:
            joined_walk(container)
    except ShapeError as error:
        yield Finding(("seam",), f"the parts make no one shell: {error.fault.problem}", None, "no table [seam]")
    try:
        cuts_of(container)
    except CaseError as error:
        yield Finding(("blanks",), str(error))


def _own_tables(reading: _Reading) -> dict[str, Checked]:
    """Return the tables of the container itself; those of other names are faults."""
    for name, value in reading.tables.items():
        if name not in TABLES:
            reading.note(Finding((name,), unknown_word("table", name, TABLES), value, ", ".join(TABLES)))
    checked = {
        name: check_table(model, reading.tables[name], (name,)) for name, model in OWN.items() if name in reading.tables
    }
    for each in checked.values():
        for finding in each.findings:
            reading.note(finding)
    contents = checked.get("contents")
    if contents is not None and contents.model is not None:
        for finding in in_file(own_findings(contents.model), contents.keys, reading.tables):
            reading.note(finding)
    return checked


# Parts ----------------------------------------------------------------------------------------------------------------


def _given(reading: _Reading) -> Iterator[tuple[str, _Given]]:
    """Yield the tables of every part, from below to above."""
    parts = reading.tables[PARTS]
    if not isinstance(parts, Mapping) or not parts:
        reading.note(Finding((PARTS,), "must be tables, one for each part", parts, _HOLDS))
        return
    for name, value in parts.items():
        if name not in NAMES:
            reading.note(Finding((PARTS, name), unknown_word("part", name, NAMES), value, ", ".join(NAMES)))
        elif not isinstance(value, Mapping):
            reading.note(Finding((PARTS, name), "must be a table", value, 'case = "FILE", or the tables of a case'))
    for name in (name for name in NAMES if isinstance(parts.get(name), Mapping)):
        made = _one(reading, name, parts[name])
        if made is not None:
            yield name, made


def _one(reading: _Reading, name: str, part: Mapping[str, Any]) -> _Given | None:
    own = {key: value for key, value in part.items() if key != STATES}
    reference = own.get(REFERENCE)
    if not isinstance(reference, str):
        return _Given(own)
    del own[REFERENCE]
    path = (PARTS, name, REFERENCE)
    if reading.folder is None:
        reading.note(Finding(path, "tables in memory stand in no folder", reference, "the tables of the case"))
        return None
    file = reading.folder / reference
    try:
        tables, lines = read_tables(file, "a case file")
    except CaseError as error:
        reading.note(Finding(path, str(error), reference, "a path from this file"))
        return None
    if is_container(tables):
        reading.note(Finding(path, "is a container itself", reference, "a case file"))
        return None
    wrong = list(text_findings(tables))
    for finding in wrong:
        reading.note(finding, _File(str(file), lines))
    return None if wrong else _Given(merged(tables, own), _File(str(file), lines), None if own else str(file))


def _states(reading: _Reading, name: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """Yield the states of a part beside its own, each with the keys that differ."""
    states = reading.tables[PARTS][name].get(STATES, {})
    if not isinstance(states, Mapping):
        reading.note(Finding((PARTS, name, STATES), "must be tables", states, f"[parts.{name}.states.NAME]"))
        return
    for state, changes in states.items():
        path = (PARTS, name, STATES, state)
        if not STATE.fullmatch(state):
            reading.note(Finding(path, "is no name", state, "letters, digits and _, a letter first"))
        elif not isinstance(changes, Mapping) or "shape" in changes or "material" in changes:
            allowed = f"{FILLED_AT}, and tables of another load: supports, loads, analyses, requirements"
            reading.note(Finding(path, "a state is the same body under another load", None, allowed))
        else:
            yield state, changes


def _with_filling(reading: _Reading, at: _Which, tables: Mapping[str, Any], own: Mapping[str, Checked]) -> Tables:
    """Return the tables of a state with the pressure that stays: what the contents make at the temperature it names."""
    given = {key: value for key, value in tables.items() if key.startswith("filled_at")}
    if not given:
        return dict(tables)
    rest = {key: value for key, value in tables.items() if key not in given}
    path: KeyPath = (PARTS, at.part, STATES, at.state)
    checked = check_table(Filling, given, path)
    contents = own["contents"].model if "contents" in own else None
    for finding in checked.findings:
        reading.note(finding)
    if checked.model is None or contents is None or not is_pressed(rest):
        if checked.model is not None:
            allowed = 'a table [contents], and loads = { increases = "axial_force", ... } in the state'
            key, value = next(iter(given.items()))
            reading.note(Finding((*path, key), "the contents make no pressure that stays here", value, allowed))
        return rest
    loads = {
        key: value for key, value in rest["loads"].items() if not key.startswith("pressure_") or key.endswith("side")
    }
    try:
        gauge = balance(demand_of(contents, "inside").filling, checked.model.filled_at).gauge
    except ContentsError as error:
        key, value = next(iter(given.items()))
        reading.note(Finding((*path, key), error.fault.problem, value, error.fault.allowed))
        return rest
    side = "outside" if loads.get("pressure_side") == "outside" else "inside"
    acting, other = (gauge, "outside") if side == "inside" else (-gauge, "inside")
    if acting < -ROUND_OFF:
        key, value = next(iter(given.items()))
        problem = f"the contents make {pressure_text(abs(gauge))} then that acts from the {other}, not from the {side}"
        reading.note(Finding((*path, key), problem, value, f'pressure_side = "{other}" in the loads of the state'))
        return rest
    return {**rest, "loads": {**loads, "pressure_MPa": max(0.0, acting)}}


def _loaded(reading: _Reading, given: Mapping[str, _Given], own: Mapping[str, Checked]) -> Iterator[Loaded]:
    title = _title(reading, own)
    for name, part in given.items():
        yield from _case(reading, _Which(name), part, part.tables, title)
        for state, changes in _states(reading, name):
            tables = {**part.tables, **changes}
            if "loads" in changes:  # what is required under one load says nothing of another
                tables = {key: value for key, value in tables.items() if key in changes or key not in OF_LOAD}
            at = _Which(name, state)
            yield from _case(reading, at, part, _with_filling(reading, at, tables, own), title)


def _case(reading: _Reading, at: _Which, part: _Given, tables: Mapping[str, Any], title: str) -> Iterator[Loaded]:
    """Yield the case of a part under one load; none where something is wrong with it."""
    own = reading.tables
    handed = with_handed(tables, own.get("requirements"), own.get("contents"))
    named = _titled(handed, at, title)
    untouched = not at.state and handed == tables and part.path is not None
    if untouched and part.path is not None:
        yield Loaded(at.part, "", read_case(part.path))
        return
    case, findings = assemble(named, reading.file.name if part.file is None else part.file.name)  # scans lie beside it
    for finding in findings:
        reading.note(*_placed(reading, at, part, finding))
    if case is not None:
        yield Loaded(at.part, at.state, replace(case, path=None))


def _titled(tables: Mapping[str, Any], at: _Which, title: str) -> dict[str, Any]:
    """Return tables with a title: the part's own, or the container's with the part; the state's name behind it."""
    heading = tables.get("case", {})
    if not isinstance(heading, Mapping):
        return dict(tables)  # a fault, which is found where the case is
    own = str(heading.get("title") or f"{title}, {at.part}")
    state = f", {at.state.replace('_', ' ')}" if at.state else ""
    return {**tables, "case": {**heading, "title": f"{own}{state}"}}


def _placed(reading: _Reading, at: _Which, part: _Given, finding: Finding) -> tuple[Finding, _File]:
    """Return a finding at the path that it has in the file that says so, with that file."""
    path, inline = finding.path, reading.tables[PARTS][at.part]
    changes = inline.get(STATES, {}).get(at.state, {}) if at.state else {}
    if path[0] in changes:
        return replace(finding, path=(PARTS, at.part, STATES, at.state, *path)), reading.file
    if value_at(inline, path) is None:
        handed = value_at(reading.tables, path) is not None and path[0] in ("requirements", "contents")
        if handed and value_at(part.tables, path) is None:
            return finding, reading.file
        if part.file is not None:
            return finding, part.file
    return replace(finding, path=(PARTS, at.part, *path)), reading.file


# The whole ------------------------------------------------------------------------------------------------------------


def _title(reading: _Reading, own: Mapping[str, Checked]) -> str:
    heading = own["case"].model if "case" in own else None
    return heading.title if heading is not None and heading.title else Path(reading.file.name).stem


def _container(
    reading: _Reading, own: Mapping[str, Checked], given: Mapping[str, _Given], loaded: list[Loaded]
) -> Container:
    models = {name: checked.model for name, checked in own.items()}
    heading = models.get("case")
    own_parts = reading.tables[PARTS]
    states = {name: dict(_states(reading, name)) for name in given}
    parts = {name: dict(_anchored(reading, part, states[name])) for name, part in given.items()}
    judged = {name: model for name, model in models.items() if name not in ("requirements", "size")}
    return Container(
        title=_title(reading, own),
        purpose=heading.purpose if heading is not None else "design",
        loaded=tuple(loaded),
        whole=models.get("container") or Whole(),
        contents=models.get("contents"),
        seam=models.get("seam"),
        pallet=models.get("pallet"),
        blanks=models.get("blanks") or Blanks(),
        size=models.get("size"),
        input_hash=input_hash({**judged, PARTS: {each.name: each.case.input_hash for each in loaded}}),
        tables={**reading.tables, PARTS: parts},
        path=reading.file.name,
        references={name: part[REFERENCE] for name, part in own_parts.items() if isinstance(part.get(REFERENCE), str)},
    )


def _anchored(reading: _Reading, part: _Given, states: Mapping[str, Mapping[str, Any]]) -> Iterator[tuple[str, Any]]:
    """Yield the tables of a part and its states, files that they name by their whole names, for variants."""
    beside = part.file.name if part.file is not None else reading.file.name if reading.folder is not None else None
    yield from anchored(part.tables, beside).items()
    if states:
        yield STATES, {name: anchored(state, beside) for name, state in states.items()}
