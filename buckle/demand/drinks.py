"""What a drink dissolves of carbon dioxide against water, and where that is from."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class Drink:
    """Solubility of carbon dioxide in a drink over that in water by G7-04 [-], with its source."""

    factor: float
    source: str


WATER = Drink(1.0, "water itself")
DRINKS: Mapping[str, Drink] = MappingProxyType(
    {
        "water": WATER,
        "lager": Drink(0.92, "2.4 g/(l bar) at 6 degC (article PMC8047704, table 1) over G7-04: 0.924"),
        "sparkling_wine": Drink(0.92, "2.1 g/(l bar) at 10 degC (article PMC8047704, table 1) over G7-04: 0.923"),
        "sugared": Drink(0.90, "about 10 degBrix dissolves 8 to 10 % less than water (from memory)"),
    }
)
"""Measured at one temperature each; that the ratio holds when it is warm is an assumption.

A chart for a beer of 4.2 % alcohol by mass (Speers and MacIntosh 2013) gives 0.97 to 0.98: enter it as a
solubility factor where that chart is the agreed one.
"""

UNKNOWN = Drink(
    0.89,
    "not named: just below all that is known here (lager over Weiss's water 0.894, wine 0.901, sugar 0.90)",
)
"""Less solubility is more pressure, so that the lowest factor is the safe side."""
