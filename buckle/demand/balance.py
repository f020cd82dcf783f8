"""The balance in a closed container: what gas stands in the headspace and what in the liquid, and at which pressure."""

from collections.abc import Callable
from dataclasses import dataclass

import scipy

from buckle.demand.atmosphere import air_pressure
from buckle.demand.filling import Charge, Filling
from buckle.demand.gases import GAS_CONSTANT
from buckle.demand.limits import ALTITUDES, FREEZING, TEMPERATURES
from buckle.demand.water import vapour_pressure
from buckle.errors import ContentsError
from buckle.units import pressure_text

HIGHEST = 5.0
"""MPa; no container of sheet comes near it, and the second virial coefficient alone does not reach farther."""
_FINEST = 1e-15
_RELATIVE = 8.9e-16  # four units of the last digit, the least that the root finder takes


@dataclass(frozen=True)
class Share:
    """One gas in balance: partial pressure [MPa], and amounts in headspace and in the liquid [mol]."""

    charge: Charge
    pressure: float
    in_headspace: float
    in_liquid: float

    @property
    def gap(self) -> float:
        """What is missing of the gas that was closed in, of its amount [-]."""
        amount = self.charge.amount
        return (self.in_headspace + self.in_liquid - amount) / amount if amount else 0.0

    @property
    def name(self) -> str:
        """Name of the gas."""
        return self.charge.gas.name


@dataclass(frozen=True)
class State:
    """A closed container at a temperature [degC] and an altitude [m]: pressures [MPa], volumes [mm3]."""

    temperature: float
    altitude: float
    outside: float
    vapour: float
    shares: tuple[Share, ...]
    liquid: float
    headspace: float
    swelling: float

    @property
    def absolute(self) -> float:
        """Pressure inside [MPa]."""
        return self.vapour + sum(share.pressure for share in self.shares)

    @property
    def gauge(self) -> float:
        """Pressure inside above that outside [MPa]; negative is a vacuum."""
        return self.absolute - self.outside


def balance(filling: Filling, temperature: float, altitude: float = 0.0) -> State:
    """Return the state at a temperature [degC] and an altitude [m]; both phases have come to balance.

    Raises ContentsError outside 0 to 100 degC or -1 to 11 km, if the liquid fills the container, and above HIGHEST.
    """
    _check_reach(temperature, altitude)
    body, kelvin = filling.body, temperature + FREEZING
    vapour, outside, liquid = vapour_pressure(kelvin), air_pressure(altitude), body.liquid_at(temperature)

    def headspace(absolute: float) -> float:
        return body.closed_volume - liquid + body.swelling(absolute - outside)

    def shares(absolute: float) -> tuple[Share, ...]:
        room = headspace(absolute)
        return tuple(_share(charge, body.water, room, kelvin, absolute) for charge in filling.charges)

    def excess(absolute: float) -> float:
        """Pressure of what is inside above a trial of it; infinitely high while the liquid has no room."""
        if headspace(absolute) < 0.0 or (headspace(absolute) == 0.0 and _needs_room(filling)):
            return HIGHEST
        return vapour + sum(share.pressure for share in shares(absolute)) - absolute

    absolute = _root(excess, vapour, HIGHEST) if excess(HIGHEST) < 0.0 else HIGHEST
    if headspace(absolute) < 0.0 or abs(excess(absolute)) > 1e-9:
        raise _without_state(filling, temperature, headspace(HIGHEST))
    room = headspace(absolute)
    swelling = body.swelling(absolute - outside)
    return State(temperature, altitude, outside, vapour, shares(absolute), liquid, room, swelling)


def _needs_room(filling: Filling) -> bool:
    """Tell whether a gas is there that has no place but the headspace."""
    dry = not filling.body.water
    return any(charge.amount and (charge.gas.henry is None or dry) for charge in filling.charges)


def _share(charge: Charge, water: float, room: float, kelvin: float, absolute: float) -> Share:
    """Return how a gas parts between room [mm3] and water [mol], so that none is lost."""
    gas, amount = charge.gas, charge.amount

    def surplus(pressure: float) -> float:
        held = gas.in_liquid(pressure, water, kelvin, absolute)
        return held + gas.in_headspace(pressure, room, kelvin) - amount

    if gas.henry is None and gas.virial is None:  # an ideal gas that does not dissolve
        pressure = amount * GAS_CONSTANT * kelvin / room if amount else 0.0
    elif surplus(HIGHEST) <= 0.0:
        pressure = HIGHEST
    else:
        pressure = _root(surplus, 0.0, HIGHEST)
    held, above = gas.in_liquid(pressure, water, kelvin, absolute), gas.in_headspace(pressure, room, kelvin)
    return Share(charge, pressure, above, held)


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    return float(scipy.optimize.brentq(function, low, high, xtol=_FINEST, rtol=_RELATIVE, maxiter=300))


def _check_reach(temperature: float, altitude: float) -> None:
    for reach, key, value in ((TEMPERATURES, "temperatures", temperature), (ALTITUDES, "altitude", altitude)):
        if not reach.contains(value):
            allowed = f"{reach.low:g} to {reach.high:g} {reach.unit}"
            raise ContentsError(key, value, f"outside {reach.what}", allowed)


def _without_state(filling: Filling, temperature: float, room: float) -> ContentsError:
    """Return the refusal of contents that leave no room [mm3] at the highest pressure, or come to more than that."""
    body = filling.body
    if room > 0.0:
        problem = f"the contents come to more than {pressure_text(HIGHEST)} at {temperature:g} degC"
    else:
        expansion = 1e-3 * (body.liquid_at(temperature) - body.liquid)
        problem = f"the liquid fills the container at {temperature:g} degC: it expands by {expansion:.3g} ml"
    return ContentsError("headspace", body.headspace, problem, "more headspace, less gas or a lower temperature")
