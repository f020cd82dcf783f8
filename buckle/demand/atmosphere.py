"""The air outside: pressure against height by the standard atmosphere."""

SEA_LEVEL = 0.101325
"""MPa; 1 atm."""
SOURCE = "ISO 2533:1975, standard atmosphere, troposphere (from memory)"


def air_pressure(altitude: float) -> float:
    """Pressure of the atmosphere [MPa] at a height above sea level [m], up to 11 km.

    Source: ISO 2533, T = 288.15 K - 6.5 K/km: p = p0 (1 - 2.25577e-5 h)^5.25588.
    """
    return SEA_LEVEL * (1.0 - 2.25577e-5 * altitude) ** 5.25588
