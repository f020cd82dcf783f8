"""Arguments well inside its range for every formula of heads, junctions, imperfect spheres and design forms."""

STEEL = {"youngs_modulus": 200e3, "yield_stress": 250.0}
HEAD = {"diameter": 1000.0, "crown_radius": 950.0, "knuckle_radius": 100.0}
THIN_HEAD = {**HEAD, "thickness": 1.5}
ELLIPSE = {"diameter": 1000.0, "depth": 250.0}
EN = {**HEAD, "design_stress": 156.7, "buckling_stress": 156.7, "joint_factor": 0.85}
ASME = {**HEAD, "allowable_stress": 120.0, "joint_efficiency": 0.85}

DENTED = {"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.1, "dent_depth": 0.004}

WALL = {"youngs_modulus": 69e3, "radius": 33.0, "thickness": 0.105, "length": 90.0}
METAL_WALL = {**WALL, "poissons_ratio": 0.33}
BURSTING = {"yield_stress": 258.0, "radius": 33.0, "thickness": 0.105}

ANNULUS = {
    "pressure": 0.002,
    "youngs_modulus": 69e3,
    "poissons_ratio": 0.33,
    "radius": 22.0,
    "hole_radius": 6.0,
    "thickness": 0.5,
}
JUNCTION = {"pressure": 0.3, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.3, "length": 60.0}
FLAT_END = {**JUNCTION, "pressure": 0.02, "youngs_modulus": 69e3, "end_thickness": 1.2}
RING = {**JUNCTION, "ring_width": 2.0, "ring_height": 1.5}

MORE = {
    "plate.annular_clamped_deflection": ANNULUS,
    "plate.annular_supported_deflection": {**ANNULUS, "pressure": 0.001},
    "plate.annular_clamped_stress": ANNULUS,
    "plate.annular_supported_stress": {**ANNULUS, "pressure": 0.001},
    "plate.annular_supported_limit": {"yield_stress": 258.0, "radius": 22.0, "hole_radius": 6.0, "thickness": 0.5},
    "plate.membrane_bulge": {
        "pressure": 0.62,
        "youngs_modulus": 69.6e3,
        "poissons_ratio": 0.33,
        "radius": 22.67,
        "thickness": 0.2235,
    },
    "edge.hemisphere_unequal_stress": {**JUNCTION, "head_thickness": 0.4},
    "edge.flat_end_stress": FLAT_END,
    "edge.flat_end_deflection": FLAT_END,
    "edge.ring_edge_stress": RING,
    "edge.ring_stiffener_stress": RING,
    "cylinder.burst_swift": {**BURSTING, "offset": 0.01, "exponent": 0.2},
    "cylinder.burst_voce": {**BURSTING, "increment": 37.0, "rate": 40.0},
    "cylinder.batdorf_parameter": {"poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0},
    "cylinder.batdorf_lateral": METAL_WALL,
    "cylinder.batdorf_hydrostatic": METAL_WALL,
    "cylinder.medium_pressure": METAL_WALL,
    "cylinder.lateral_lower_bound": METAL_WALL,
    "cylinder.long_tube_lower_bound": {
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 33.0,
        "thickness": 0.105,
    },
    "cylinder.pressurised_axial_stress": {
        "pressure": 0.3,
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 33.0,
        "thickness": 0.105,
        "increment": 0.1,
    },
    "cylinder.form_axial_stress": WALL,
    "cylinder.form_lateral_pinned": WALL,
    "cylinder.form_lateral_clamped": WALL,
    "capacity.cylinder_axial": {**WALL, "yield_stress": 280.0, "quality": 25.0},
    "capacity.cylinder_lateral_pinned": {**WALL, "yield_stress": 280.0, "alpha": 0.65},
    "capacity.cylinder_lateral_clamped": {**WALL, "yield_stress": 280.0, "alpha": 0.65},
    "sphere.dimple_pressure": {**DENTED, "dent_angle": 0.05, "dent_depth": 0.05},
    "sphere.dimple_plateau": {
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "radius": 45.7,
        "thickness": 0.1,
        "dent_angle": 0.05,
    },
    "sphere.shallow_dimple_pressure": {**DENTED, "dent_angle": 0.05},
    "sphere.pattern_imperfection_pressure": DENTED,
    "head.crown_stress": {"pressure": 0.3, "crown_radius": 950.0, "thickness": 4.0},
    "head.knuckle_compression": {"pressure": 0.3, "crown_radius": 950.0, "knuckle_radius": 100.0, "thickness": 4.0},
    "head.ellipsoid_pole_stress": {**ELLIPSE, "pressure": 0.3, "thickness": 4.0},
    "head.ellipsoid_compression": {**ELLIPSE, "pressure": 0.3, "thickness": 4.0},
    "head.shield_drucker_limit": {**HEAD, "yield_stress": 250.0, "thickness": 5.0},
    "head.knuckle_buckling": {**THIN_HEAD, "yield_stress": 250.0},
    "head.plastic_waves": {**THIN_HEAD, **STEEL},
    "head.axisymmetric_yielding": {**HEAD, **STEEL, "thickness": 3.0},
    "head.en_knuckle_factor": {**HEAD, "thickness": 4.0},
    "head.en_thickness": {**EN, "pressure": 0.5},
    "head.en_rating": {**EN, "thickness": 4.0},
    "head.en_ellipsoid_rating": {
        **ELLIPSE,
        "thickness": 4.0,
        "design_stress": 156.7,
        "buckling_stress": 156.7,
        "joint_factor": 0.85,
    },
    "head.asme_torisphere_thickness": {**ASME, "pressure": 0.8},
    "head.asme_torisphere_rating": {**ASME, "thickness": 4.0},
    "head.asme_ellipsoid_thickness": {**ELLIPSE, "pressure": 0.5, "allowable_stress": 120.0},
    "head.asme_ellipsoid_rating": {**ELLIPSE, "thickness": 4.0, "allowable_stress": 120.0},
    "head.asme_outside_rating": {**HEAD, **STEEL, "thickness": 4.0, "allowable_stress": 120.0},
    "head.elastic_knuckle_buckling": {**THIN_HEAD, "youngs_modulus": 200e3},
    "head.asme_knuckle_buckling": {**THIN_HEAD, **STEEL},
}

# What only decides whether a formula applies need not stand in its expression.
MORE_ONLY_IN_RANGE = {
    **{f"edge.{name}": {"L"} for name in ("hemisphere_unequal_stress", "flat_end_stress", "flat_end_deflection")},
    **{f"edge.{name}": {"L"} for name in ("ring_edge_stress", "ring_stiffener_stress")},
    "head.asme_torisphere_thickness": {"D"},
    "head.asme_torisphere_rating": {"D"},
    "head.asme_outside_rating": {"D", "S_y"},
}
