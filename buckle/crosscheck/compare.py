"""Shell and solid line by line: how far apart they are, how far they may be, and whether they are."""

from collections.abc import Iterator
from dataclasses import dataclass

from buckle.crosscheck.bands import PLASTIC, Thickness
from buckle.crosscheck.side import Side
from buckle.results import Event
from buckle.units import pressure_text

Value = float | int | str | None


@dataclass(frozen=True)
class Line:
    """A quantity by shell and solid, pressures in MPa; without a band, or with nothing to judge, it has no verdict."""

    quantity: str
    shell: Value
    solid: Value
    band_percent: float | None = None
    met: bool | None = None
    growth: float | None = None  # mm, at which the pressure is
    remark: str = ""

    @property
    def key(self) -> tuple[str, float | None]:
        """What tells it from other lines."""
        return self.quantity, self.growth

    @property
    def is_pressure(self) -> bool:
        """Whether its values are pressures."""
        return self.quantity.endswith(("_pressure", "pressure_at_growth"))

    @property
    def difference_percent(self) -> float | None:
        """By how much the shell is above the solid; None unless both tell a pressure."""
        if isinstance(self.shell, float) and isinstance(self.solid, float) and self.solid:
            return 100.0 * (self.shell / self.solid - 1.0)
        return None


def compare(kind: str, shell: Side, solid: Side, thickness: Thickness) -> tuple[Line, ...]:
    """All lines of a path of a kind of analysis."""
    plastic = solid.shear_share is not None
    limit, waves = (PLASTIC, PLASTIC) if plastic else (thickness.limit, thickness.waves)
    lines = [_limit(f"{kind}.limit_pressure", shell, solid, limit, plastic)]
    if plastic:
        lines += _capacity(kind, shell, solid, limit)
    lines += [
        _judged(f"{kind}.pressure_at_growth", pressure, solid.at_growth.get(growth), limit, growth)
        for growth, pressure in shell.at_growth.items()
    ]
    lines += _waves(f"{kind}.bifurcation", (shell.onset, solid.onset), (shell, solid), waves)
    if plastic:
        lower = (shell.lower_onset, solid.lower_onset)
        lines += _waves(f"{kind}.deformation_theory_bifurcation", lower, (shell, solid), waves)
    return tuple(line for line in lines if line.shell is not None or line.solid is not None)


def _judged(quantity: str, shell: float | None, solid: float | None, band: float, growth: float | None = None) -> Line:
    """A line that is met if both have the pressure and differ by no more than the band; one of them has no verdict."""
    line = Line(quantity, shell, solid, band, None, growth)
    return line if line.difference_percent is None else _met(line, abs(line.difference_percent) <= band)


def _met(line: Line, met: bool, remark: str = "") -> Line:
    return Line(line.quantity, line.shell, line.solid, line.band_percent, met, line.growth, remark)


def _limit(quantity: str, shell: Side, solid: Side, band: float, plastic: bool) -> Line:
    """First limits, where they are the highest pressure of both.

    A shelf that one model passes, a dip of a fraction of a per cent, need not be there in the other: it is told, and
    capacities are compared. So it is where one meets a ceiling before it has a limit.
    """
    one, other = _pressure(shell.limit), _pressure(solid.limit)
    if shell.passed or solid.passed:
        return Line(quantity, one, other, remark="a limit that is passed: the capacity counts")
    if (one is None or other is None) and plastic:
        return Line(quantity, one, other, remark="no limit before a stop in one of them: the capacity counts")
    return _one_sided(_judged(quantity, one, other, band), shell, solid)


def _capacity(kind: str, shell: Side, solid: Side, band: float) -> Iterator[Line]:
    """The capacity, what it ends in, and the highest pressure without waves where waves decide in one of them."""
    one, other = shell.capacity, solid.capacity
    yield _judged(f"{kind}.capacity_pressure", _pressure(one), _pressure(other), band)
    yield Line(f"{kind}.capacity_event", one.kind if one else None, other.kind if other else None)
    if (one, other) != (shell.highest, solid.highest):
        tops = _pressure(shell.highest), _pressure(solid.highest)
        yield _judged(f"{kind}.axisymmetric_capacity_pressure", tops[0], tops[1], band)


def _waves(
    stem: str, onsets: tuple[Event | None, Event | None], sides: tuple[Side, Side], band: float
) -> Iterator[Line]:
    one, other = onsets
    line = _judged(f"{stem}_pressure", _pressure(one), _pressure(other), band)
    watched = all(side.watched for side in sides)
    yield _one_sided(line, *sides) if watched else Line(line.quantity, line.shell, line.solid, remark="not watched")
    numbers = [None if onset is None else onset.wave_number for onset in onsets]
    yield Line(f"{stem}_wave_number", numbers[0], numbers[1])


def _one_sided(line: Line, shell: Side, solid: Side) -> Line:
    """Judge what one model finds and the other does not: it must not have gone on beyond by more than the band."""
    if (line.shell is None) == (line.solid is None):
        return line
    found, other, name = (line.shell, solid, "solid") if line.solid is None else (line.solid, shell, "shell")
    assert isinstance(found, float)
    assert line.band_percent is not None
    remark = f"the {name} has none up to {pressure_text(other.reached)}"
    return _met(line, other.reached <= found * (1.0 + 0.01 * line.band_percent), remark)


def _pressure(event: Event | None) -> float | None:
    return None if event is None else event.pressure
