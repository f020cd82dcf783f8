"""Up to which temperature the contents are held, as plain data and back again."""

from collections.abc import Mapping

from buckle.demand.reached import Held
from buckle.margins.contents import holding_sentence
from buckle.margins.holding import Holding
from buckle.record.quantities import Fields
from buckle.record.reading import number_of
from buckle.units import bar, convert


def holding_fields(holding: Holding | None) -> Fields:
    """Return up to which temperature the contents are held; nothing where that could not be recorded."""
    if holding is None:
        return {}
    return {
        "holds_to_temperature_degC": holding.held.temperature,
        "holds_to": {
            "at_least": holding.held.at_least or holding.at_least,
            "liquid_fills_the_container": holding.held.full,
            "capacity_over_partial_factor_bar": bar(holding.capacity),
            "partial_factor": holding.partial_factor,
            "metal_temperature_degC": holding.metal,
            "metal_softens": holding.softened,
            "altitude_m": holding.altitude,
            "in_words": holding_sentence(holding),
            **({"limited_by": holding.limited_by} if holding.limited_by else {}),
        },
    }


def holding_of(recorded: Fields) -> Holding | None:
    """Return what a record holds of how far the contents are held; None where that was not recorded."""
    given = recorded.get("holds_to")
    if not isinstance(given, Mapping):
        return None
    factor, metal, altitude, capacity = (
        number_of(given.get(key)) or 0.0
        for key in ("partial_factor", "metal_temperature_degC", "altitude_m", "capacity_over_partial_factor_bar")
    )
    at_least, full, softens = (
        bool(given.get(key)) for key in ("at_least", "liquid_fills_the_container", "metal_softens")
    )
    held = Held(number_of(recorded.get("holds_to_temperature_degC")), at_least, full)
    carried, limited_by = convert(capacity, "pressure", "bar"), str(given.get("limited_by", ""))
    return Holding(held, carried, factor, metal, altitude, softens, at_least, limited_by)
