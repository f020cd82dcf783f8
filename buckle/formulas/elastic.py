"""Stiffnesses and reference values that several bodies share; plain numbers in, plain numbers out."""

import math


def bending_stiffness(youngs_modulus: float, poissons_ratio: float, thickness: float) -> float:
    """Return D = E t^3 / (12 (1 - nu^2)) [N mm]."""
    return youngs_modulus * thickness**3 / (12.0 * (1.0 - poissons_ratio**2))


def classical_factor(poissons_ratio: float) -> float:
    """Return 1 / sqrt(3 (1 - nu^2)): 0.605 at nu = 0.3."""
    return 1.0 / math.sqrt(3.0 * (1.0 - poissons_ratio**2))


def classical_sphere_pressure(youngs_modulus: float, poissons_ratio: float, radius: float, thickness: float) -> float:
    """Return 2 E (t/R)^2 / sqrt(3 (1 - nu^2)) [MPa]. Source: Zoelly 1915 (from memory)."""
    return 2.0 * youngs_modulus * (thickness / radius) ** 2 * classical_factor(poissons_ratio)


def decay_rate(poissons_ratio: float, radius: float, thickness: float) -> float:
    """Return beta = (3 (1 - nu^2))^(1/4) / sqrt(R t) [1/mm], the inverse decay length of edge bending of a cylinder."""
    return float((3.0 * (1.0 - poissons_ratio**2)) ** 0.25 / math.sqrt(radius * thickness))
