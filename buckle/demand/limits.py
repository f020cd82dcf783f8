"""How far each source reaches: what lies outside of a range is refused or told as a caution."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

FREEZING = 273.15
"""0 degC in K."""


@dataclass(frozen=True)
class Reach:
    """What a source is about and the temperatures [degC] or heights [m] that it was made for."""

    what: str
    low: float
    high: float
    unit: str = "degC"

    def contains(self, value: float) -> bool:
        """Tell whether a value lies within the reach, its ends included."""
        return self.low <= value <= self.high

    def caution(self, values: Sequence[float]) -> str:
        """Return what to say of values outside; empty if all of them lie within."""
        outside = sorted(value for value in values if not self.contains(value))
        if not outside:
            return ""
        beyond = ", ".join(f"{value:g}" for value in outside)
        return f"{self.what} reaches from {self.low:.4g} to {self.high:.4g} {self.unit}; extrapolated at {beyond}"


TEMPERATURES = Reach("liquid water at the pressure of a container", 0.0, 100.0)
"""Colder it freezes, which bursts a container in another way; hotter no source below was looked at."""
ALTITUDES = Reach("the troposphere of the standard atmosphere", -1000.0, 11000.0, "m")


def cautions_of(reaches: Sequence[Reach], temperatures: Sequence[float]) -> Iterator[str]:
    """Yield the caution of every reach that temperatures [degC] leave."""
    yield from (caution for reach in reaches if (caution := reach.caution(temperatures)))
