"""Reading back what a run left: the record of a results directory, refused where it or a file beside it was changed."""

import json
import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import chain, islice
from pathlib import Path
from typing import Any, NoReturn

from buckle.case import Case, read_case
from buckle.cautions import CAUTIONS
from buckle.errors import CaseError, clipped, printable
from buckle.margins import Word, compare
from buckle.margins.held import holding
from buckle.record.agreement import demand_disagreements, disagreements
from buckle.record.artefacts import PICTURES, RECORD, SHEET
from buckle.record.differences import differences
from buckle.record.form import form_faults, seal_faults
from buckle.record.holding import holding_fields
from buckle.record.judged import judged_disagreements
from buckle.record.margins import asked_fields, expectation_rows, margin_of
from buckle.record.outcomes import outcomes_of
from buckle.record.paths import path_disagreements
from buckle.record.quantities import Fields, Record, of_case, plain_mapping, versions
from buckle.record.reading import rows_of
from buckle.record.seal import DIGEST, FORM, SEAL, digest_of, file_sha256

LARGEST = 50_000_000
"""Largest results.json that is read [bytes]."""
MOST_NAMED = 3
"""Disagreements that are named before the rest is counted."""
LONGEST = 230
"""Characters of one disagreement that are told, whatever texts of the record it repeats: the names of its margin, two
values, and what is wrong with them."""
_ALLOWED = "a case file, or a directory that a run wrote"
_AGAIN = "run the case again"


def read_record(directory: Path) -> Record:
    """Return the record of a results directory.

    Raises CaseError, in one line, if there is none, if a run before this form of record wrote it, or if it does not
    agree with itself, its case file or the files beside it.
    """
    path = directory / RECORD
    recorded = parsed_record(path)
    refuse(path, form_faults(recorded))
    margins = list(rows_of(recorded["margins"]))
    case = _own_case(directory, recorded)
    of_case = _case_disagreements(case, recorded) if isinstance(case, Case) else iter(filter(None, [case]))
    refuse(path, chain(disagreements(recorded, margins), of_case))
    refuse(path, chain(file_faults(directory, recorded), digest_faults(recorded)))
    if isinstance(case, Case):
        outcomes = outcomes_of(case, recorded)
        found = judged_disagreements(case, recorded, outcomes), path_disagreements(directory, case, outcomes)
        refuse(path, chain(*found))
    return recorded


def parsed_record(path: Path) -> Record:
    """Return a record of this form, of which nothing else is known yet. Raises CaseError where it is none."""
    recorded = _parsed(path)
    if not isinstance(recorded, dict) or not {"title", "input_sha256", "margins"} <= set(recorded):
        raise CaseError(f"{path}: is not the record of a run; allowed: {_ALLOWED}")
    if SEAL not in recorded:
        raise CaseError(
            f"{path}: has no {SEAL!r}: an earlier version wrote it, or it was taken out; its numbers cannot be"
            f" checked; {_AGAIN}"
        )
    form = recorded[SEAL].get("form") if isinstance(recorded[SEAL], dict) else None
    if form != FORM:
        raise CaseError(f"{path}: its form is not {FORM} ({SEAL}.form), so that another version wrote it; {_AGAIN}")
    refuse(path, seal_faults(recorded))
    if not isinstance(version_of(recorded), str):
        raise CaseError(f"{path}: versions: names no buckle that wrote it; {_AGAIN}")
    return recorded


def _parsed(path: Path) -> object:
    """Return the content of a JSON file that keeps to the standard: no NaN, no key twice. Raises CaseError."""
    try:
        if not path.is_file() and path.exists():
            raise CaseError(f"{path}: is not a file; allowed: {_ALLOWED}")
        if path.stat().st_size > LARGEST:
            raise CaseError(f"{path}: is too large; allowed: up to {LARGEST} bytes")
        return json.loads(
            path.read_text(encoding="utf-8"), object_pairs_hook=_object, parse_constant=_constant, parse_float=_float
        )
    except OSError as error:
        reason = error.strerror or str(error)
        raise CaseError(f"{path}: cannot be read: {reason}; allowed: {_ALLOWED}") from error
    except (ValueError, RecursionError) as error:  # UnicodeDecodeError is a ValueError
        raise CaseError(f"{path}: is not the record of a run: {_line(str(error))}; {_AGAIN}") from error


def _object(pairs: Sequence[tuple[str, object]]) -> Record:
    made = dict(pairs)
    if len(made) < len(pairs):
        keys = [key for key, _ in pairs]
        raise ValueError(f"{next(key for key in keys if keys.count(key) > 1)!r} is given twice")
    return made


def _constant(text: str) -> NoReturn:
    raise ValueError(f"{text} is no number")


def _float(text: str) -> float:
    value = float(text)
    if not math.isfinite(value):
        raise ValueError(f"{text[:40]} is no finite number")
    return value


def refuse(path: Path, found: Iterator[str]) -> None:
    """Raise CaseError with the first of what was found."""
    named = list(islice(found, MOST_NAMED))
    if named:
        more = sum(1 for _ in found)
        others = f"; and {more} more" if more else ""
        raise CaseError(
            f"{path}: does not agree: {'; '.join(map(_line, named))}{others}; changed after the run? {_AGAIN}"
        )


def _line(text: str) -> str:
    """Return what is said of a record in one line of bearable length; it may repeat texts of it, whatever they hold."""
    return clipped(printable(" ".join(text.split())), LONGEST)


def _seal(recorded: Fields) -> Mapping[str, Any]:
    seal = recorded[SEAL]
    assert isinstance(seal, Mapping)  # its form has been seen to
    return seal


# The case file --------------------------------------------------------------------------------------------------------


def case_file_fault(directory: Path, recorded: Fields) -> str:
    """Return what is wrong with the file that a directory keeps of its case; '' if nothing is."""
    kept = _seal(recorded)["case_file"]
    return _file_fault(directory / str(kept["kept_as"]), str(kept["sha256"]))


def _own_case(directory: Path, recorded: Fields) -> Case | str:
    """Return the case file that the directory keeps, or what is wrong with it; '' where another version read it.

    That version may have read it otherwise.
    """
    path = directory / str(_seal(recorded)["case_file"]["kept_as"])
    fault = case_file_fault(directory, recorded)
    if fault or version_of(recorded) != versions()["buckle"]:
        return fault
    try:
        return read_case(path)
    except CaseError as error:
        return f"{path.name}: can no longer be read: {str(error).splitlines()[0]}"


def version_of(recorded: Fields) -> object:
    """Return the version of buckle that wrote a record; None where it names none."""
    made = recorded.get("versions")
    return made.get("buckle") if isinstance(made, Mapping) else None


def _case_disagreements(case: Case, recorded: Fields) -> Iterator[str]:
    own = {**of_case(case), **asked_fields(case), "title": _title(case, recorded)}
    for key in own:
        yield from differences(key, own[key], recorded.get(key))
    run = [key.removesuffix(".status") for key in recorded if key.endswith(".status")]
    if sorted(run) != sorted(case.analyses.run):
        has = clipped(", ".join(run)) or "none"
        yield f"analyses: the record has {has}, the case file {', '.join(case.analyses.run)}"
    yield from demand_disagreements(case, list(rows_of(recorded["margins"])))
    expected = plain_mapping({"expectations": expectation_rows(compare(case, recorded))})["expectations"]
    yield from _holding_disagreements(case, recorded)
    yield from differences("cautions", list(CAUTIONS), recorded["cautions"])
    yield from differences("expectations", expected, recorded.get("expectations", []))


def _title(case: Case, recorded: Fields) -> str:
    """Return the title that a run of the kept file had: without one it is named after its file, if it came from one."""
    if case.tables.get("case", {}).get("title"):
        return case.title
    return "" if recorded["title"] == "" else Path(str(_seal(recorded)["case_file"]["name"])).stem


def _holding_disagreements(case: Case, recorded: Fields) -> Iterator[str]:
    """Yield what is wrong with the temperature up to which contents are held: it follows from case and margins."""
    margins = [margin_of(row) for row in rows_of(recorded["margins"]) if "beside" not in row]
    own = plain_mapping(holding_fields(holding(case, margins, Word(str(recorded["verdict"])))))
    for key in ("holds_to_temperature_degC", "holds_to"):
        yield from differences(key, own.get(key), recorded.get(key))


# Files and the record itself ------------------------------------------------------------------------------------------


def file_faults(directory: Path, recorded: Fields) -> Iterator[str]:
    """Yield artefacts that are gone or changed, and pictures that the run did not write."""
    artefacts = _seal(recorded)["artefacts_sha256"]
    for name, sha256 in artefacts.items():
        fault = "" if name == f"{SHEET}.html" else _file_fault(directory / name, sha256)  # a review writes it anew
        if fault:
            yield fault
    for name in PICTURES:
        if f"{name}.svg" not in artefacts and (directory / f"{name}.svg").exists():
            yield f"{name}.svg: was not written by this run"


def _file_fault(path: Path, sha256: str) -> str:
    """Return what is wrong with a file of a known SHA-256, '' if nothing is."""
    try:
        if not path.is_file():
            return f"{path.name}: is missing"
        return "" if file_sha256(path) == sha256 else f"{path.name}: its SHA-256 is not the one recorded"
    except OSError as error:
        return f"{path.name}: cannot be read: {error.strerror or error}"


def digest_faults(recorded: Fields) -> Iterator[str]:
    """Yield that a record is not what its digest was worked out from."""
    if _seal(recorded)[DIGEST] != digest_of(recorded):
        yield f"{SEAL}.{DIGEST}: is not that of this record; a number or text in {RECORD} is not what the run wrote"
