"""One margin: a capacity against a demand, with the method it comes from."""

from dataclasses import dataclass
from enum import StrEnum

from buckle.formulas.base import Formula
from buckle.increasing import PRESSURE, Increasing


class Verdict(StrEnum):
    """What a margin says; outside a formula's range is neither met nor not met."""

    MET = "met"
    DOUBT = "met with doubt"
    NOT_MET = "not met"
    NO_VERDICT = "no verdict"
    NO_REQUIREMENT = "no requirement"
    FOR_COMPARISON = "for comparison"
    NOT_FOUND = "not found"
    NOT_RUN = "not run"


JUDGED = (Verdict.MET, Verdict.DOUBT, Verdict.NOT_MET)
OPEN = (Verdict.NOT_FOUND, Verdict.NOT_RUN)


@dataclass(frozen=True)
class Hand:
    """A hand value beside a computed one; value None outside the formula's range, and `why` says so."""

    formula: Formula
    why: str  # one plain sentence: why the two differ, or why there is no value
    ratio: float | None  # hand / computed

    @property
    def value(self) -> float | None:
        """Hand value in the unit of what it stands beside."""
        return self.formula.value


@dataclass(frozen=True)
class Size:
    """A movement [mm] or a plastic strain (unit '') under the demand, and how much of it is allowed; None: any."""

    found: float | None
    allowed: float | None
    unit: str


@dataclass(frozen=True)
class Margin:
    """Load that a limit state is reached at, and the load up to which it must not be: MPa, or N in the force's sense.

    Of a movement or a strain the capacity is the load at which what is allowed of it is reached, or that which the
    body carries if that comes before.
    """

    limit_state: str
    method: str  # analysis kind
    event: str
    capacity: float | None
    demand: float | None
    verdict: Verdict
    governs: bool = False
    wave_number: int | None = None
    error_percent: float | None = None
    at_least: bool = False  # the limit state was not met up to this capacity
    partial_factor: float = 1.0  # that the capacity is divided by
    size: Size | None = None
    hand: tuple[Hand, ...] = ()
    reason: str = ""
    increasing: Increasing = PRESSURE  # of what capacity and demand are sizes

    @property
    def reserve(self) -> float | None:
        """Reserve factor: capacity / partial factor / demand; 1 or more is met."""
        return None if self.capacity is None else reserve_factor(self.capacity, self.partial_factor, self.demand)

    @property
    def compared(self) -> float | None:
        """What the hand values beside it are compared with: the size if it has one, else the capacity."""
        return self.capacity if self.size is None else self.size.found


def reserve_factor(capacity: float, partial_factor: float, demand: float | None) -> float | None:
    """Return capacity / partial factor / demand, None without a demand."""
    return None if not demand else capacity / (partial_factor * demand)
