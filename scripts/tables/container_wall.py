"""The wall by hand: what makes it as thin as it is, and an adult who stands on it; shared by the page and its test."""

import math
from dataclasses import dataclass

from scipy.optimize import brentq

from buckle.container.stack import ADULT, weight
from buckle.formulas.cylinder import axial
from buckle.material import grades

WALL = grades()["AL-ironed-wall"].values
METAL = {"youngs_modulus": 1e3 * WALL["youngs_modulus_GPa"], "poissons_ratio": WALL["poissons_ratio"]}
YIELD = WALL["yield_stress_MPa"]
DESIGN, WARM, FILL = 0.62, 0.4, 0.2  # MPa: common practice, no source
RADIUS = 32.5  # mm: a container of 65 mm
MEASURED = 0.076  # mm: wall of three containers that were crushed empty at 600 to 845 N
GAUGES = (MEASURED, 0.09, 0.1, 0.105)  # mm
DENTED = 1.0
"""Ripples in wall thicknesses: an eye does not see a tenth of a millimetre."""


def thickness_for_yield(pressure: float) -> float:
    """Thickness [mm] whose equivalent membrane stress under a pressure [MPa] is the yield stress; closed ends."""
    return math.sqrt(0.75) * pressure * RADIUS / YIELD


def thickness_for_force(force: float) -> float:
    """Thickness [mm] whose lower bound without pressure is a force [N]."""

    def excess(thickness: float) -> float:
        found = axial.axial_force_lower_bound(**METAL, radius=RADIUS, thickness=thickness).value
        assert found is not None
        return found - force

    return float(brentq(excess, RADIUS / 1490.0, RADIUS / 51.0))


@dataclass(frozen=True)
class Stood:
    """What a wall carries of an adult: forces [N], pressures [MPa], ripples in wall thicknesses and in mm."""

    thickness: float
    classical: float
    bound: float
    ripples: float
    rippled: float  # the force left by ripples of one wall
    rippled_at_fill: float  # and with the thrust of the pressure at fill


def adult() -> float:
    """Weight of a standing adult [N], at rest and in the middle."""
    return weight(1000.0 * ADULT)


def relieving() -> float:
    """Inside pressure at which the adult no longer compresses the wall [MPa]."""
    found = axial.relieving_pressure(axial_force=adult(), radius=RADIUS).value
    assert found is not None
    return found


def stood(thickness: float) -> Stood:
    """Work out one thickness [mm]."""
    shell = {**METAL, "radius": RADIUS, "thickness": thickness}
    classical, bound = axial.axial_force(**shell).value, axial.axial_force_lower_bound(**shell).value
    assert classical is not None
    assert bound is not None
    share = adult() / classical
    ripples = float(brentq(lambda e: _left(e, thickness) - share, 1e-3, 1.4))
    rippled = _left(DENTED, thickness) * classical
    return Stood(thickness, classical, bound, ripples, rippled, rippled + FILL * math.pi * RADIUS**2)


def _left(ripples: float, thickness: float) -> float:
    """Share of the classical force that ripples [walls] leave."""
    found = axial.axial_knock_down_of_ripples(
        poissons_ratio=METAL["poissons_ratio"], amplitude=ripples * thickness, thickness=thickness
    ).value
    assert found is not None
    return found
