"""What the store keeps: a result under the key of its case, and which design of which study it belongs to."""

from collections.abc import Mapping, Sequence
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
    varied: Sequence[str]
    keep: Sequence[str]
    count: int
    random: bool = False  # drawn at random from tolerances, so that shares of rows are probabilities


@dataclass(frozen=True)
class Listed:
    """One design of a study: its number from 1, the key of its case and the values of its varied keys."""

    number: int
    key: str
    inputs: Mapping[str, object]
