"""What stops a path, from a case to its capacity."""

import pytest

from buckle.analysis import run
from buckle.case import case_from_dict
from buckle.results import LIMIT_POINT

STAND = {
    "family": "domed_base",
    "stand_radius_mm": 20.6,
    "gauge_mm": 0.256,
    "nose_inner_radius_mm": 1.07,
    "nose_outer_radius_mm": 1.81,
    "dome_corner_radius_mm": 2.5,
    "dome_radius_mm": 36.4,
    "dome_depth_mm": 9.63,
    "outer_leg_angle_deg": 26.7,
    "outer_leg_length_mm": 1.68,
    "chime_radius_mm": 2.17,
    "chime_angle_deg": 51.6,
    "heel_radius_mm": 5.95,
    "wall_radius_mm": 27.7,
    "wall_height_mm": 21.8,
    "wall_gauge_mm": 0.119,
    "undercut_length_mm": 0.254,
    "reform_radius_mm": 0.931,
    "upper_leg_angle_deg": 8.0,
    "inner_leg_angle_deg": -35.1,
}
METAL = {
    "youngs_modulus_GPa": 70.6,
    "poissons_ratio": 0.33,
    "yield_stress_MPa": 258.0,
    "hardening": {"law": "swift", "offset": 0.018, "exponent": 0.113},
}


@pytest.mark.slow
def test_a_stand_that_has_folded_by_more_than_half_its_dome_is_crushed() -> None:
    """Its first fold gives way at 1.2 kN; only 14 mm farther down, deeper than the dome, would its wall carry more."""
    tables = {
        "material": METAL,
        "shape": STAND,
        "supports": {"outer_edge": "sleeve", "stand": "roller"},
        "loads": {
            "increases": "axial_force",
            "axial_force_N": -100.0,
            "pressure_bar": 1.0,
            "pressure_side": "inside",
        },
        "analyses": {"run": ["GMNA"], "wave_numbers": [0, 0]},
    }
    found = run(case_from_dict(tables), "GMNA", estimate_error=False, lower_bracket=False, pictures=False)
    assert found.capacity == found.limit
    assert found.capacity.kind == LIMIT_POINT
    assert abs(found.at_capacity.loaded) < 0.5 * STAND["dome_depth_mm"]
