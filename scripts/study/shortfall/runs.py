"""What the study of short-falling bases asks: its case, its tolerances, and where its draw begins."""

from buckle.case import case_from_dict, read_case, replace_keys
from scripts.paths import ROOT

ASKED, SEED = 1.0, 2026
GAUGE = 0.235  # mm: of which some fall short
TOLERANCES = {
    "shape.gauge_mm": {"law": "normal", "standard_deviation": 0.0025},
    "shape.dome_depth_mm": {"law": "truncated", "standard_deviation": 0.06, "minus": 0.15, "plus": 0.15},
    "shape.nose_inner_radius_mm": {"law": "triangular", "minus": 0.08, "plus": 0.08},
    "shape.nose_outer_radius_mm": {"law": "uniform", "minus": 0.08, "plus": 0.08},
    "material.yield_stress_MPa": {"law": "lognormal", "standard_deviation": 6.0},
}


def case_of_study():
    base = replace_keys(read_case(ROOT / "cases/demo/base.toml").tables, {"shape.gauge_mm": GAUGE})
    return case_from_dict({**base, "tolerances": TOLERANCES})
