"""Cases of simple bodies, written as a user would write them, for the tests of the solver."""

import math
from typing import Any

from buckle.case import Case, case_from_dict

E = 69000.0
IDEAL = {"law": "none"}

# [shape] tables, all dimensions invented
BASE = {
    "family": "domed_base",
    "wall_radius_mm": 29.8,
    "stand_radius_mm": 22.9,
    "nose_radius_mm": 1.3,
    "inner_leg_angle_deg": 6.0,
    "dome_corner_radius_mm": 1.4,
    "dome_radius_mm": 44.0,
    "dome_depth_mm": 9.2,
    "outer_leg_angle_deg": 26.0,
    "heel_radius_mm": 4.4,
    "wall_height_mm": 25.0,
    "gauge_mm": 0.24,
}
END = {
    "family": "recessed_end",
    "panel_diameter_mm": 43.6,
    "panel_radius_mm": 0.45,
    "panel_depth_mm": 2.45,
    "countersink_radius_mm": 0.5,
    "chuck_wall_angle_deg": 10.0,
    "chuck_wall_length_mm": 3.5,
    "gauge_mm": 0.22,
}
SPHERE = {"family": "complete_sphere", "radius_mm": 100.0, "thickness_mm": 1.0}
TUBE = {"family": "cylinder", "radius_mm": 100.0, "length_mm": 50.0, "thickness_mm": 1.0}
CAP = {"family": "spherical_cap", "radius_mm": 300.0, "half_angle_rad": 0.3, "thickness_mm": 1.0}
TORISPHERE = {
    "family": "torispherical_head",
    "crown_radius_mm": 1000.0,
    "knuckle_radius_mm": 100.0,
    "diameter_mm": 1000.0,
    "cylinder_length_mm": 120.0,
}
"""Without its thickness."""

TEA = """\
[contents]
gas = "carbon_dioxide"
carbonation_volumes = 3.8
liquid_ml = 355
headspace_ml = 20
fill_temperature_degC = 4
temperatures_degC = [4, 20, 38, 60]
"""
"""Sparkling tea, invented, as it stands in a case file."""

STAND = {
    "yield_stress": 258.0,
    "hardening_increment": 37.0,
    "hardening_rate": 40.0,
    "youngs_modulus": 69e3,
    "poissons_ratio": 0.33,
    "stand_radius": 24.13,
    "nose_radius_inner": 1.66,
    "nose_radius_outer": 1.66,
    "thickness": 0.27,
    "inner_leg_angle": math.radians(6.0),
    "leg_length": 1.9903,
    "dome_corner_radius": 2.3,
    "dome_radius": 45.7,
    "dome_half_angle": math.radians(27.4163),
    "outer_leg_angle": math.radians(28.0),
    "outer_leg_length": 1.2,
    "chime_radius": 3.0,
    "chime_turn": math.radians(30.0),
}
"""What the formula of a rolling stand asks of an unreformed base."""


def case(
    shape: dict[str, Any],
    *,
    run: str,
    nu: float = 0.3,
    side: str = "outside",
    edges: dict[str, str] | None = None,
    waves: tuple[int, int] = (0, 20),
    metal: dict[str, Any] | None = None,
    **tables: dict[str, Any],
) -> Case:
    """A case with E = 69 GPa; `edges` are the supports, `tables` further tables or more keys of [loads]."""
    material = {"youngs_modulus_MPa": E, "poissons_ratio": nu, **(metal or {})}
    return case_from_dict(
        {
            "material": material,
            "shape": shape,
            "supports": edges or {},
            "loads": {"pressure_side": side, **tables.pop("loads", {})},
            "analyses": {"run": [run], "wave_numbers": list(waves)},
            **tables,
        }
    )


def classical(radius_over_thickness: float, nu: float) -> float:
    """Zoelly's pressure [MPa]."""
    return 2.0 * E / radius_over_thickness**2 / math.sqrt(3.0 * (1.0 - nu**2))


def cap_shape(parameter: float, radius_over_thickness: float, nu: float) -> dict[str, Any]:
    """A cap of 1 mm by its chord-based parameter [12 (1 - nu^2)]^(1/4) sqrt(R/t) 2 sin(phi/2)."""
    chord = parameter / ((12.0 * (1.0 - nu**2)) ** 0.25 * math.sqrt(radius_over_thickness))
    return {
        "family": "spherical_cap",
        "radius_mm": radius_over_thickness,
        "half_angle_rad": 2.0 * math.asin(chord / 2.0),
        "thickness_mm": 1.0,
    }


def cylinder_shape(radius_over_thickness: float, length_over_radius: float) -> dict[str, Any]:
    """A cylinder of 1 mm."""
    return {
        "family": "cylinder",
        "radius_mm": radius_over_thickness,
        "length_mm": radius_over_thickness * length_over_radius,
        "thickness_mm": 1.0,
    }
