"""What the contents of a container make, as it stands on a margin sheet."""

from collections.abc import Mapping
from dataclasses import dataclass

from buckle.record.quantities import Fields
from buckle.record.reading import number_of, rows_of, texts_of


@dataclass(frozen=True)
class Filled:
    """A condition of a filled container: temperature [degC], altitude [m], time [min], pressures [bar], room [ml]."""

    name: str
    temperature: float
    altitude: float
    time: float | None
    pressure: float
    vapour: float
    headspace: float
    by_weiss: float | None


@dataclass(frozen=True)
class Contents:
    """All conditions, and what follows from them in words."""

    demand: str
    holds: str
    conditions: tuple[Filled, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]


def contents_of(recorded: Fields) -> Contents | None:
    """Return what a record tells of contents; None where the case has none."""
    if "demand_in_words" not in recorded:
        return None
    holds = recorded.get("holds_to")
    return Contents(
        str(recorded["demand_in_words"]),
        str(holds.get("in_words", "")) if isinstance(holds, Mapping) else "",
        tuple(map(_filled, rows_of(recorded.get("demand_conditions")))),
        texts_of(recorded.get("demand_assumptions")),
        texts_of(recorded.get("demand_cautions")),
    )


def _filled(row: Fields) -> Filled:
    temperature, altitude, pressure, vapour, headspace = (
        number_of(row.get(key)) or 0.0
        for key in ("temperature_degC", "altitude_m", "pressure_bar", "water_vapour_bar", "headspace_ml")
    )
    time, other = number_of(row.get("time_min")), number_of(row.get("by_weiss_bar"))
    return Filled(str(row.get("name", "")), temperature, altitude, time, pressure, vapour, headspace, other)
