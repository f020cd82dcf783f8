"""Up to which temperature a container holds: where the pressure of its contents comes to what it carries."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.optimize import brentq

from buckle.demand.balance import balance
from buckle.demand.filling import Filling
from buckle.demand.limits import TEMPERATURES
from buckle.errors import ContentsError

STEP = 1.0
"""degC between looks: pressure rises all the way, so that the first look beyond is enough."""


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
        return balance(filling, temperature, altitude).gauge - capacity(temperature)

    below = None
    for temperature in np.arange(TEMPERATURES.low, TEMPERATURES.high + 0.5 * STEP, STEP):
        try:
            beyond = excess(float(temperature)) >= 0.0
        except ContentsError:  # too full, or too much gas: what happens in this last step is not looked at
            return Held(below, full=below is not None)
        if beyond:
            root = None if below is None else float(brentq(excess, below, float(temperature), xtol=1e-9))
            return Held(root)
        below = float(temperature)
    return Held(below, at_least=True)
