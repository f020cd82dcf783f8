"""Up to which temperature a container holds: where the pressure of its contents comes to what it carries."""

from collections.abc import Callable
from dataclasses import dataclass

import scipy

from buckle.demand.balance import HIGHEST, balance
from buckle.demand.filling import Filling
from buckle.demand.limits import TEMPERATURES
from buckle.errors import ContentsError

SHARP = 1e-11
"""degC that a temperature is found to."""
JUMP = 1e-4
"""MPa that pressure does not climb in ten of those, unless the room is used up."""


@dataclass(frozen=True)
class Held:
    """Temperature [degC] that a pressure is held up to; None if not even the coldest that is looked at.

    `at_least` says that the pressure is not reached up to there; `full`, that the liquid leaves no room beyond.
    """

    temperature: float | None
    at_least: bool = False
    full: bool = False


def held_up_to(filling: Filling, capacity: Callable[[float], float], altitude: float = 0.0) -> Held:
    """Return the temperature at which the gauge pressure of the contents comes to a capacity [MPa] at that temperature.

    The capacity must not rise with temperature.
    """

    def excess(temperature: float) -> float:
        """Pressure above the capacity; that of a container that leaves no room is taken as the highest."""
        try:
            return balance(filling, temperature, altitude).gauge - capacity(temperature)
        except ContentsError:
            return HIGHEST

    low, high = TEMPERATURES.low, TEMPERATURES.high
    if excess(low) >= 0.0:
        return Held(None)
    if excess(high) < 0.0:
        return Held(high, at_least=True)
    root = float(scipy.optimize.brentq(excess, low, high, xtol=SHARP))
    return Held(root, full=excess(root - 10.0 * SHARP) < -JUMP)
