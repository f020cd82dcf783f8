"""Cases of simple bodies, written as a user would write them, for the tests of the solver."""

import math
from typing import Any

from buckle.case import Case, case_from_dict

E = 69000.0
IDEAL = {"law": "none"}


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
