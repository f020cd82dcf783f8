"""What binds a record to its case file, its time and the files beside it: SHA-256 of each, and of the record itself.

They tell accidents and careless edits. They are no signature: whoever changes the numbers on purpose can work them out
anew, which is why a review also recomputes what follows from other parts of the record.
"""

import hashlib
import json
import os
import time
from collections.abc import Iterable, Mapping
from pathlib import Path

from buckle.case import Case
from buckle.container.container import Container
from buckle.record.quantities import Fields, Record

SEAL = "record"
"""Key of the object in results.json that holds all this."""
DIGEST = "digest_sha256"
KEPT = ("case.toml", "case.json")
"""Names under which a results directory keeps the case file, whatever its own name is."""
FORM = 2
"""Of results.json; raised when a reader of the one before could not read it. 2: numbers and ranges of hand values are
rows with symbol, value and unit, and quantities in texts are marked."""
_LAST_SECOND = 253402300799  # of the year 9999


def with_origin(recorded: Fields, case: Case | Container, when: str) -> Record:
    """Return a record with the case file that it came from and the time of its analysis."""
    name = kept_name(case)
    file = {
        "name": Path(case.path).name if case.path else name,
        "kept_as": name,
        "sha256": hashlib.sha256(case_bytes(case)).hexdigest(),
    }
    return {**recorded, SEAL: {"form": FORM, "case_file": file, "analysed_at": when}}


def sealed(recorded: Fields, artefacts: Iterable[Path]) -> Record:
    """Return a record that has an origin with the SHA-256 of the files beside it, and of itself."""
    seal = {**_seal(recorded), "artefacts_sha256": {path.name: file_sha256(path) for path in sorted(artefacts)}}
    return {**recorded, SEAL: {**seal, DIGEST: digest_of({**recorded, SEAL: seal})}}


def digest_of(recorded: Fields) -> str:
    """Return the SHA-256 of a record's canonical JSON (sorted keys, no blanks, ASCII), its own digest left out."""
    bare = {**recorded, SEAL: {key: value for key, value in _seal(recorded).items() if key != DIGEST}}
    text = json.dumps(bare, sort_keys=True, separators=(",", ":"), allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _seal(recorded: Fields) -> Fields:
    seal = recorded[SEAL]
    assert isinstance(seal, Mapping)  # made above, or its form has been seen to
    return seal


def file_sha256(path: Path) -> str:
    """Return the SHA-256 of a file's bytes, as sha256sum tells it. Raises OSError."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def kept_name(case: Case | Container) -> str:
    """Return the name under which the case file is kept."""
    return KEPT[0] if case.data is not None and case.path and not case.path.endswith(".json") else KEPT[1]


def case_bytes(case: Case | Container) -> bytes:
    """Return the bytes of the case file; of a case that was read from none, its tables as JSON, which can be read.

    A container is kept with the parts that stand in other files put in.
    """
    if case.data is not None:
        return case.data
    return (json.dumps(case.tables, indent=1, allow_nan=False, ensure_ascii=False) + "\n").encode()


def analysis_time() -> str:
    """Return the time in UTC (ISO 8601), or that of SOURCE_DATE_EPOCH where a run must come out the same again."""
    return time.strftime("%Y-%m-%dT%H:%M:%SZ", time.gmtime(fixed_time()))


def fixed_time() -> int | None:
    """Return SOURCE_DATE_EPOCH [s], the convention of reproducible builds; None where it is not given or no time."""
    fixed = os.environ.get("SOURCE_DATE_EPOCH", "")
    return int(fixed) if fixed.isdecimal() and int(fixed) <= _LAST_SECOND else None
