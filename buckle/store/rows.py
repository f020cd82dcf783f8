"""What the store keeps: a result under the key of its case, and which design of which study it belongs to."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

Value = float | int | str | bool


class RowStatus(StrEnum):
    """How a design ended; the first three are those of its analyses, the worst of them."""

    SOLVED = "solved"
    NO_LIMIT = "no limit found"
    FAILED = "failed"
    NOT_BUILT = "not built"
    DIED = "worker died"


@dataclass(frozen=True)
class Result:
    """What one case came to; quantities under their flat names, pressures in bar, absent when not found."""

    key: str
    status: RowStatus
    reason: str = ""
    quantities: Mapping[str, Value] = field(default_factory=dict)
    seconds: float = 0.0


@dataclass(frozen=True)
class About:
    """A study: the digest that names it, what varies, which quantities to keep (none: all), number of designs."""

    study: str
    title: str
    varied: tuple[str, ...]
    keep: tuple[str, ...]
    count: int
    random: bool = False  # random samples of tolerances, so that shares of rows are probabilities


@dataclass(frozen=True)
class DesignRow:
    """One design of a study: its number from 1, the key of its case and the values of its varied keys."""

    study: str
    number: int
    key: str
    inputs: Mapping[str, object]


@dataclass(frozen=True)
class Pages:
    """The files that were made of a finished table, {name: SHA-256}; its fingerprint tells it from every other."""

    fingerprint: str
    files: Mapping[str, str]


@dataclass(frozen=True)
class Mended:
    """All that could not be read before this line is made good."""


Row = About | DesignRow | Result | Pages | Mended
