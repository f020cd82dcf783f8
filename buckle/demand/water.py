"""Water: the pressure of its vapour, its density and how many moles a mass of it is."""

import math

CRITICAL_TEMPERATURE = 647.096  # K
CRITICAL_PRESSURE = 22.064  # MPa
MOLAR_MASS = 18.015268e-3  # kg/mol (IAPWS-95)

VAPOUR_SOURCE = "W. Wagner and A. Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783, saturation equation, also in IAPWS-95"
DENSITY_SOURCE = "G. S. Kell, J. Chem. Eng. Data 20 (1975) 97, density at 1 atm (coefficients from memory)"

_VAPOUR = (
    (-7.85951783, 1.0),
    (1.84408259, 1.5),
    (-11.7866497, 3.0),
    (22.6807411, 3.5),
    (-15.9618719, 4.0),
    (1.80122502, 7.5),
)
_ABOVE = (999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12)
_BELOW = 16.879850e-3


def vapour_pressure(temperature: float) -> float:
    """Pressure of saturated water vapour [MPa] at a temperature [K] from the triple to the critical point.

    Source: Wagner and Pruss 1993: ln(p/p_c) = (T_c/T) sum a_i (1 - T/T_c)^e_i.
    """
    theta = 1.0 - temperature / CRITICAL_TEMPERATURE
    total = sum(a * theta**exponent for a, exponent in _VAPOUR)
    return CRITICAL_PRESSURE * math.exp(CRITICAL_TEMPERATURE / temperature * total)


def density(temperature: float) -> float:
    """Density of liquid water at 1 atm [kg/m3] at a temperature [degC] of 0 to 150.

    Source: Kell 1975, a quotient of polynomials; coefficients from memory, held against other forms by a test.
    """
    above = sum(a * temperature**power for power, a in enumerate(_ABOVE))
    return above / (1.0 + _BELOW * temperature)


def moles(mass: float) -> float:
    """Amount of water [mol] in a mass [kg]."""
    return mass / MOLAR_MASS
