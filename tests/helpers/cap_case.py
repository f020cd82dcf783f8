"""A small case that is solved in no time, for tests of what is around an analysis."""

CAP = """
[material]
youngs_modulus_GPa = 69.0
poissons_ratio = 0.3
density_kg_per_m3 = 2720
[shape]
family = "spherical_cap"
radius_mm = 400.0
half_angle_deg = 12.0
thickness_mm = 1.0
[supports]
outer_edge = "clamped"
[loads]
pressure_side = "outside"
[analyses]
run = ["LBA"]
wave_numbers = [0, 4]
"""
