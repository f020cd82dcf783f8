"""Reading back what a run of a container left: the whole must follow from its file and the records of its parts."""

from collections.abc import Iterator, Mapping
from itertools import chain
from pathlib import Path

from buckle.container.container import Container
from buckle.container.reader import read_input
from buckle.errors import CaseError
from buckle.record.artefacts import RECORD
from buckle.record.container import FAMILY, JOINT, container_record
from buckle.record.differences import differences
from buckle.record.joint import joint_disagreements
from buckle.record.quantities import Fields, Record, versions
from buckle.record.reading import texts_of
from buckle.record.seal import SEAL
from buckle.record.stored import (
    case_file_fault,
    digest_faults,
    file_faults,
    parsed_record,
    read_record,
    refuse,
    version_of,
)
from buckle.results import Status


def is_container_record(directory: Path) -> bool:
    """Tell whether a results directory is that of a container; raises CaseError where it holds no record."""
    return parsed_record(directory / RECORD).get("family") == FAMILY


def read_container_record(directory: Path) -> tuple[Record, dict[str, Record]]:
    """Return the record of a container and those of its parts.

    Raises CaseError, in one line, if a part's does not agree, or the whole does not with its parts, its file or the
    files beside it.
    """
    path = directory / RECORD
    recorded = parsed_record(path)
    names = texts_of(recorded.get("parts"))
    failed = {name: str(recorded.get(f"{name}.reason")) for name in names if _has_failed(recorded, name)}
    records = {name: read_record(directory / name) for name in names if name not in failed}
    fault = case_file_fault(directory, recorded)
    refuse(path, iter([fault] if fault else []))
    if version_of(recorded) == versions()["buckle"]:  # another version may read it otherwise
        refuse(path, _faults(directory, recorded, records, failed))
    refuse(path, chain(file_faults(directory, recorded), digest_faults(recorded)))
    return recorded, records


def _has_failed(recorded: Fields, name: str) -> bool:
    return recorded.get(f"{name}.status") == Status.FAILED


def _faults(
    directory: Path, recorded: Fields, records: Mapping[str, Record], failed: Mapping[str, str]
) -> Iterator[str]:
    """Yield what does not follow from the container's file and the records of its parts."""
    try:
        container = read_input(directory / _kept_as(recorded))
    except CaseError as error:
        yield f"its file can no longer be read: {str(error).splitlines()[0]}"
        return
    if not isinstance(container, Container):
        yield "its file is none of a container"
        return
    cases = {each.name: each.case.input_hash for each in container.loaded}
    if list(cases) != list(texts_of(recorded.get("parts"))):
        yield "parts: are not those of its file"
    for name, each in records.items():
        if each["input_sha256"] != cases.get(name):
            yield f"{name}: is of another case than its file says"
    yield from joint_disagreements(container, recorded)
    joint = {key: value for key, value in recorded.items() if key.startswith(JOINT)}
    own = container_record(container, records, failed, joint)
    if not container.tables.get("case", {}).get("title"):
        own["title"] = recorded.get("title")  # it is named after its file
    kept = {key: value for key, value in recorded.items() if key != SEAL}
    for key in sorted({*own, *kept} - {"versions", "benchmarks"}):
        yield from differences(key, own.get(key), kept.get(key))


def _kept_as(recorded: Fields) -> str:
    seal = recorded[SEAL]
    assert isinstance(seal, Mapping)  # its form has been seen to
    return str(seal["case_file"]["kept_as"])
