"""One margin: a capacity against a demand, with the method it comes from."""

from dataclasses import dataclass
from enum import StrEnum

from buckle.formulas.base import Formula


class Verdict(StrEnum):
    """What a margin says; outside a formula's range is neither met nor not met."""

    MET = "met"
    NOT_MET = "not met"
    NO_REQUIREMENT = "no requirement"
    FOR_COMPARISON = "for comparison"
    NOT_FOUND = "not found"
    NOT_RUN = "not run"


@dataclass(frozen=True)
class Hand:
    """A hand value beside a computed one; value None outside the formula's range, and `why` says so."""

    formula: Formula
    why: str  # one plain sentence: why the two differ, or why there is no value
    ratio: float | None  # hand / computed

    @property
    def value(self) -> float | None:
        """Hand value in the unit of the margin."""
        return self.formula.value


@dataclass(frozen=True)
class Margin:
    """Capacity and demand of one limit state; unit 'MPa' or 'mm'."""

    limit_state: str
    method: str  # analysis kind
    event: str
    capacity: float | None
    demand: float | None
    unit: str
    verdict: Verdict
    governs: bool = False
    wave_number: int | None = None
    error_percent: float | None = None
    at_least: bool = False  # no event was met up to this capacity
    hand: tuple[Hand, ...] = ()
    reason: str = ""

    @property
    def reserve(self) -> float | None:
        """Reserve factor: capacity / demand of a pressure, allowed / found of a growth; 1 or more is met."""
        if self.capacity is None or self.demand is None:
            return None
        if self.unit == "MPa":
            return self.capacity / self.demand
        return self.demand / self.capacity if self.capacity > 0.0 else None
