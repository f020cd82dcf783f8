"""How much gas water dissolves: Henry's constants by IAPWS G7-04, and by Weiss for carbon dioxide."""

import math

from buckle.demand.limits import FREEZING, Reach
from buckle.demand.water import CRITICAL_TEMPERATURE, MOLAR_MASS, density, vapour_pressure

G7_SOURCE = (
    "IAPWS G7-04; R. Fernandez-Prini, J. L. Alvarez and A. H. Harvey, J. Phys. Chem. Ref. Data 32 (2003) 903-916"
)
WEISS_SOURCE = "R. F. Weiss, Marine Chemistry 2 (1974) 203-215, fresh water"

CARBON_DIOXIDE = (-8.55445, 4.01195, 9.52345)
NITROGEN = (-9.67578, 4.72162, 11.70585)
OXYGEN = (-9.44833, 4.43822, 11.42005)
"""A, B, C of G7-04; those of oxygen from memory."""

CARBON_DIOXIDE_REACH = Reach("solubility of carbon dioxide by G7-04", 274.19 - FREEZING, 642.66 - FREEZING)
NITROGEN_REACH = Reach("solubility of nitrogen by G7-04", 278.12 - FREEZING, 636.46 - FREEZING)
OXYGEN_REACH = Reach("solubility of oxygen by G7-04 (range from memory)", 274.15 - FREEZING, 616.52 - FREEZING)
WEISS_REACH = Reach("solubility by Weiss (range from memory)", -1.0, 40.0)

_ATMOSPHERE = 0.101325  # MPa


def henry_constant(coefficients: tuple[float, float, float], temperature: float) -> float:
    """Henry's constant, fugacity over mole fraction of a gas in water [MPa], at a temperature [K].

    Source: G7-04: ln(k_H/p_sat) = A/T_r + B tau^0.355/T_r + C T_r^-0.41 exp(tau), T_r = T/T_c, tau = 1 - T_r.
    """
    a, b, c = coefficients
    reduced = temperature / CRITICAL_TEMPERATURE
    tau = 1.0 - reduced
    exponent = a / reduced + b * tau**0.355 / reduced + c * reduced**-0.41 * math.exp(tau)
    return vapour_pressure(temperature) * math.exp(exponent)


def weiss_solubility(temperature: float) -> float:
    """Carbon dioxide in fresh water [mol/(l atm)] at a temperature [K].

    Source: Weiss 1974: ln K0 = -58.0931 + 90.5069 (100 K/T) + 22.2940 ln(T/100 K).
    """
    return math.exp(-58.0931 + 90.5069 * 100.0 / temperature + 22.2940 * math.log(temperature / 100.0))


def weiss_constant(temperature: float) -> float:
    """Henry's constant of carbon dioxide [MPa] that Weiss's solubility stands for, at a temperature [K].

    A litre of solution is taken as a litre of water at that temperature.
    """
    water = density(temperature - FREEZING) / (1000.0 * MOLAR_MASS)  # mol/l
    return water * _ATMOSPHERE / weiss_solubility(temperature)
