"""What metal a part is cut from and what it costs: disc, skeleton of the strip, trim, and scrap that goes back.

Money is in the currency of the prices; costs are of a thousand parts.
"""

import math
from dataclasses import dataclass

from buckle.errors import CaseError

_ROUND_OFF = 1e-9


@dataclass(frozen=True)
class Sheet:
    """Sheet that discs are cut from: gauge [mm], density [kg/m3], price and price of clean scrap [money/kg]."""

    gauge: float
    density: float
    price: float
    scrap_price: float

    def disc_mass(self, diameter: float) -> float:
        """Return the mass [g] of a disc of a diameter [mm]."""
        return 0.25 * math.pi * diameter**2 * self.gauge * self.density * 1e-6


@dataclass(frozen=True)
class Metal:
    """Masses of one part [g]: bought with the strip, cut out as disc, left in the part; and money for a thousand."""

    bought: float
    disc: float
    part: float
    paid: float  # for the metal bought
    returned: float  # for the scrap that goes back

    @property
    def skeleton(self) -> float:
        """Mass that the discs leave of the strip [g]."""
        return self.bought - self.disc

    @property
    def trimmed(self) -> float:
        """Mass that is trimmed off the drawn part [g]."""
        return self.disc - self.part

    @property
    def net(self) -> float:
        """Cost of the metal of a thousand parts, scrap taken back."""
        return self.paid - self.returned


def metal_of(sheet: Sheet, diameter: float, strip_share: float, mass: float) -> Metal:
    """Return the metal of a part [g] drawn from a disc of a diameter [mm], where a share of the strip becomes discs.

    All skeleton and trim go back at the scrap price; spoilage, coatings and conversion are not counted. Raises
    CaseError for a share outside (0, 1] and for a disc that is lighter than the part.
    """
    if not 0.0 < strip_share <= 1.0:
        raise CaseError(f"strip_share: {strip_share} is no share; allowed: (0, 1]")
    disc = sheet.disc_mass(diameter)
    if disc < mass * (1.0 - _ROUND_OFF):
        raise CaseError(f"diameter: a disc of {diameter:.6g} mm has {disc:.6g} g, less than the part's {mass:.6g} g")
    bought = disc / strip_share
    return Metal(bought, disc, mass, bought * sheet.price, (bought - mass) * sheet.scrap_price)
