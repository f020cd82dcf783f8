"""The load that increases in an analysis: its name in keys, its unit, and how its size is told."""

from dataclasses import dataclass

from buckle.units import bar, force_text, margin_bar, margin_pressure, pressure_text


@dataclass(frozen=True)
class Increasing:
    """A pressure, sized in MPa, or an axial force, sized in N; sizes are never negative and are told as they act.

    `sense` is the sign of what acts: a pressure is positive on its side of the wall, a force that presses negative.
    """

    name: str  # as in keys
    unit: str  # of records
    sense: float = 1.0

    @property
    def key(self) -> str:
        """How a quantity of a record that has such a size ends."""
        return f"{self.name}_{self.unit}"

    @property
    def is_pressure(self) -> bool:
        """Whether a pressure increases."""
        return self.name == "pressure"

    @property
    def words(self) -> str:
        """The load in words."""
        return self.name.replace("_", " ")

    def recorded(self, size: float) -> float:
        """Return a size as records hold it: a pressure in bar, a force in N as it acts, compression negative."""
        return bar(size) if self.is_pressure else self.sense * size

    def in_margin(self, size: float | None) -> float | None:
        """Return a size of a margin as its row holds it [bar] or [N]."""
        return margin_bar(size) if self.is_pressure or size is None else self.sense * size

    def of_margin(self, recorded: float | None) -> float | None:
        """Return a size of a margin from that of its row."""
        return margin_pressure(recorded) if self.is_pressure or recorded is None else self.sense * recorded

    def text(self, size: float) -> str:
        """Return a size as a part of a text, as it acts."""
        return self.amount(self.sense * size)

    def amount(self, difference: float) -> str:
        """Return a difference of sizes as a part of a text, without a sense."""
        return pressure_text(difference) if self.is_pressure else force_text(difference)


PRESSURE = Increasing("pressure", "bar")
PUSH = Increasing("axial_force", "N", -1.0)
PULL = Increasing("axial_force", "N")
