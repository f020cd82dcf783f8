"""What one of the two models tells of the path of a case: frozen data."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from buckle.results import Event


@dataclass(frozen=True)
class Side:
    """Events of a path in MPa, pressures at growths [mm], the discretisation; `trouble` says what could not be done."""

    limit: Event | None = None  # the first local maximum before a stop
    highest: Event | None = None  # the highest pressure before a stop, waves left aside; None where it is not decided
    onset: Event | None = None  # of waves, by flow theory (or elastic)
    lower_onset: Event | None = None  # by deformation theory
    reached: float = 0.0  # highest pressure of the path that was followed
    watched: bool = True  # for waves, up to that pressure
    growth_at_highest: float = 0.0  # mm
    at_growth: Mapping[float, float] = field(default_factory=dict)
    settings: Mapping[str, object] = field(default_factory=dict)
    notes: tuple[str, ...] = ()
    trouble: str = ""
    shear_share: float | None = None  # of the plastic work at the highest pressure
    seconds: float = 0.0

    @property
    def capacity(self) -> Event | None:
        """What the body carries: the highest pressure, or the onset of waves before it."""
        events = [event for event in (self.highest, self.onset) if event is not None]
        return min(events, key=lambda event: event.pressure, default=None)

    @property
    def passed(self) -> bool:
        """Whether pressure rises beyond the first limit."""
        return self.limit is not None and self.highest is not None and self.highest.pressure > self.limit.pressure
