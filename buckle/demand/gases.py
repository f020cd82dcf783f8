"""The gases in a headspace: state equation, fugacity, and what water takes of each."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from buckle.demand.drinks import WATER, Drink
from buckle.demand.limits import FREEZING, Reach
from buckle.demand.solubility import (
    CARBON_DIOXIDE,
    CARBON_DIOXIDE_REACH,
    G7_SOURCE,
    NITROGEN,
    NITROGEN_REACH,
    OXYGEN,
    OXYGEN_REACH,
    WEISS_REACH,
    WEISS_SOURCE,
    henry_constant,
    weiss_constant,
)

GAS_CONSTANT = 8314.462618
"""MPa mm3 / (mol K); SI of 2019."""
VOLUME = 22.263e6
"""mm3/mol of carbon dioxide at 0 degC and 1 atm, a real gas (1.977 g/l): what a 'volume' of carbonation counts."""
SQUEEZE_SOURCE = "I. R. Krichevsky and J. S. Kasarnovsky 1935 (from memory), partial volume by Weiss 1974"
VIRIAL_SOURCE = "second virial coefficient as given by Weiss 1974"

_VIRIAL_REACH = Reach("the second virial coefficient (range from memory)", 265.0 - FREEZING, 320.0 - FREEZING)
_PARTIAL_VOLUME = 32.3e3  # mm3/mol, Weiss 1974: carbon dioxide dissolved in water


@dataclass(frozen=True)
class Gas:
    """A gas by its laws, each a function of temperature [K].

    `henry` gives fugacity over mole fraction in water [MPa], None for a gas that is taken not to dissolve; `virial` the
    second virial coefficient [mm3/mol], None for an ideal gas. The partial volume [mm3/mol] of dissolved gas makes the
    liquid take less of it under pressure.
    """

    name: str
    henry: Callable[[float], float] | None = None
    virial: Callable[[float], float] | None = None
    partial_volume: float = 0.0
    drink: Drink = WATER
    source: str = ""
    reaches: tuple[Reach, ...] = ()

    def compressibility(self, pressure: float, temperature: float) -> float:
        """Z = 1 + B p / (R T) [-] at a partial pressure [MPa]."""
        return 1.0 + self._reduced(pressure, temperature)

    def fugacity(self, pressure: float, temperature: float) -> float:
        """F = p exp(B p / (R T)) [MPa] at a partial pressure [MPa]."""
        return pressure * math.exp(self._reduced(pressure, temperature))

    def _reduced(self, pressure: float, temperature: float) -> float:
        return 0.0 if self.virial is None else self.virial(temperature) * pressure / (GAS_CONSTANT * temperature)

    def in_headspace(self, pressure: float, volume: float, temperature: float) -> float:
        """Amount of gas [mol] in a volume [mm3] at a partial pressure [MPa]."""
        return pressure * volume / (self.compressibility(pressure, temperature) * GAS_CONSTANT * temperature)

    def in_liquid(self, pressure: float, water: float, temperature: float, total: float) -> float:
        """Amount of gas [mol] that so much water [mol] holds under a partial and a total pressure [MPa].

        Henry's law with the pressure on the liquid: x = s f / (k_H exp(v p_total / (R T))).
        """
        if self.henry is None:
            return 0.0
        constant = self.henry(temperature) / self.drink.factor * self.squeezed(total, temperature)
        fraction = self.fugacity(pressure, temperature) / constant
        return water * fraction / (1.0 - fraction)

    def squeezed(self, total: float, temperature: float) -> float:
        """How much Henry's constant grows under a total pressure [MPa], taken from zero and not from saturation [-]."""
        return math.exp(self.partial_volume * total / (GAS_CONSTANT * temperature))


def carbon_dioxide_virial(temperature: float) -> float:
    """Second virial coefficient of carbon dioxide [mm3/mol] at a temperature [K].

    Source: Weiss 1974: B = -1636.75 + 12.0408 T - 3.27957e-2 T^2 + 3.16528e-5 T^3 cm3/mol.
    """
    t = temperature
    return 1e3 * (-1636.75 + 12.0408 * t - 3.27957e-2 * t**2 + 3.16528e-5 * t**3)


def carbon_dioxide(drink: Drink) -> Gas:
    """Carbon dioxide in a drink, water's solubility by IAPWS G7-04."""
    return Gas(
        "carbon dioxide",
        _carbon_dioxide_constant,
        carbon_dioxide_virial,
        _PARTIAL_VOLUME,
        drink,
        G7_SOURCE,
        (CARBON_DIOXIDE_REACH, _VIRIAL_REACH),
    )


def by_weiss(gas: Gas) -> Gas:
    """Return carbon dioxide with water's solubility by Weiss instead."""
    return replace(gas, henry=weiss_constant, source=WEISS_SOURCE, reaches=(WEISS_REACH, _VIRIAL_REACH))


def nitrogen(drink: Drink) -> Gas:
    """Nitrogen, an ideal gas: its virial coefficient moves 10 bar by 0.2 %."""
    return Gas("nitrogen", _nitrogen_constant, None, 0.0, drink, G7_SOURCE, (NITROGEN_REACH,))


def oxygen(drink: Drink) -> Gas:
    """Oxygen, an ideal gas."""
    return Gas("oxygen", _oxygen_constant, None, 0.0, drink, G7_SOURCE, (OXYGEN_REACH,))


AIR = Gas("air", source="taken not to dissolve: the safe side")
"""Air beside carbon dioxide: water without air would take up to a third of it, and lower the pressure."""


def _carbon_dioxide_constant(temperature: float) -> float:
    return henry_constant(CARBON_DIOXIDE, temperature)


def _nitrogen_constant(temperature: float) -> float:
    return henry_constant(NITROGEN, temperature)


def _oxygen_constant(temperature: float) -> float:
    return henry_constant(OXYGEN, temperature)
