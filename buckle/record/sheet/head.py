"""What identifies a margin sheet: title, revision, case file and its SHA-256, when and with what it was analysed."""

import time
from collections.abc import Mapping
from dataclasses import dataclass

from buckle.record.quantities import Fields
from buckle.record.seal import SEAL, fixed_time


@dataclass(frozen=True)
class Head:
    """What identifies a sheet; revision '' is a line to be filled in by hand, and a record not yet kept has no file."""

    title: str
    revision: str
    date: str
    input_sha256: str
    versions: Mapping[str, str]
    case_file: str
    case_sha256: str
    analysed_at: str


def sheet_date() -> str:
    """Return today's date, or that of SOURCE_DATE_EPOCH where a sheet must come out the same again."""
    fixed = fixed_time()
    return time.strftime("%Y-%m-%d", time.localtime() if fixed is None else time.gmtime(fixed))


def head_of(recorded: Fields, date: str, revision: str) -> Head:
    """Return the head of the sheet of a record."""
    seal = _mapping(recorded.get(SEAL))
    file = _texts(seal.get("case_file"))
    return Head(
        str(recorded["title"]),
        revision,
        date,
        str(recorded["input_sha256"]),
        _texts(recorded.get("versions")),
        file.get("name", "not kept"),
        file.get("sha256", "not kept"),
        str(seal.get("analysed_at", "not told")),
    )


def _texts(value: object) -> Mapping[str, str]:
    return {key: str(each) for key, each in _mapping(value).items()}


def _mapping(value: object) -> Fields:
    return value if isinstance(value, Mapping) else {}
