"""Every way of getting a case file wrong that was thought of, and the line that must be said about it."""

# ruff: noqa: E501 -- a fault and its message read as one row of a table

import os
import pickle
import re
import tomllib
from copy import deepcopy

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buckle.case import case_from_dict, read_case
from buckle.errors import CaseError
from tests.helpers.bodies import TEA
from tests.helpers.paths import ROOT

GOOD = """\
[case]
title = "cap"
[material]
youngs_modulus_GPa = 69.0
poissons_ratio = 0.33
density_kg_per_m3 = 2720
yield_stress_MPa = 262
hardening = { law = "voce", increment_MPa = 38, rate = 40 }
[shape]
family = "spherical_cap"
radius_mm = 45.0
half_angle_deg = 30.0
thickness_mm = 0.25
[supports]
outer_edge = "clamped"
[loads]
pressure_side = "inside"
[analyses]
run = ["LA", "LBA", "GNA", "GMNA"]
wave_numbers = [0, 40]
[requirements]
pressure_bar = 6.2
"""
WALK = """\
[material]
grade = "AL-3104-H19-baked"
[shape]
family = "meridian"
start_mm = [0.0, 10.4]
heading_deg = 0.0
inside = "left"
thickness_mm = 0.27
pieces = [
  { arc_mm = 45.7, turn_deg = -27.4163 },
  { line_mm = 1.99 },
  { line_mm = 4.0, thickness_mm = [0.27, 0.105] },
]
[supports]
outer_edge = "clamped"
[loads]
pressure_side = "inside"
[analyses]
run = ["LA"]
"""
BASE = (ROOT / "cases/demo/base.toml").read_text()
CYLINDER = GOOD.replace('"spherical_cap"', '"cylinder"').replace("half_angle_deg = 30.0", "length_mm = 50.0")
TUBE = CYLINDER.replace("outer_edge", 'start_edge = "clamped"\nouter_edge')
EXPECT = """\
[[expect]]
quantity = "GNA.limit_pressure_bar"
value = 1.25
tolerance_percent = 0.5
source = "A. Author, Title, 1999, table 2"
"""


def swap(old, new, text=GOOD):
    assert text.count(old) == 1, old
    return text.replace(old, new)


FAULTS = [
    # keys: missing, unknown, doubled, without a unit, with two units, with a strange unit
    (swap("radius_mm = 45.0\n", ""), "9: shape.radius_mm: missing; allowed: radius_mm, radius_in, radius_m"),
    (swap("poissons_ratio = 0.33\n", ""), "3: material.poissons_ratio: missing"),
    (swap('pressure_side = "inside"\n', ""), "16: loads.pressure_side: missing; allowed: 'inside', 'outside'"),
    (swap("thickness_mm = 0.25", "thicknes_mm = 0.25"), "13: shape.thicknes_mm: unknown key, did you mean 'thickness_mm'?; got 0.25; allowed: family, radius_mm"),
    (swap("rate = 40", "rate_mm = 40"), "8: material.hardening.rate_mm: unknown key, did you mean 'rate'?; got 40; allowed: law, increment_MPa, rate"),
    (swap("radius_mm = 45.0", "radius_mm = 45.0\nradius_mm = 46.0"), "12: radius_mm: is not valid TOML: Cannot overwrite a value (the key is given twice); got '46.0'"),
    (swap("[loads]", "[shape]"), "16: file: is not valid TOML: Cannot declare ('shape',) twice"),
    (swap("thickness_mm = 0.25", "thickness = 0.25"), "13: shape.thickness: a key with a dimension ends in its unit; got 0.25; allowed: thickness_mm, thickness_in, thickness_m"),
    (swap("thickness_mm = 0.25", "thickness_mm = 0.25\nthickness_in = 0.0098"), "14: shape.thickness_in: one quantity in two units; got {'thickness_mm': 0.25, 'thickness_in': 0.0098}; allowed: one of them"),
    (swap("thickness_mm = 0.25", "thickness_mils = 9.8"), "13: shape.thickness_mils: unknown unit 'mils' of length; got 9.8; allowed: thickness_mm"),
    (swap("pressure_bar", "pressure_Bar"), "22: requirements.pressure_Bar: unknown unit 'Bar' of pressure; got 6.2; allowed: pressure_bar, pressure_psi, pressure_MPa, pressure_kPa"),
    (swap("[supports]", "[support]"), "14: support: unknown table, did you mean 'supports'?; got {'outer_edge': 'clamped'}; allowed: case, material, shape"),
    (swap('outer_edge = "clamped"\n', ""), '14: supports.outer_edge: missing, the meridian has an edge there; allowed: "clamped"'),
    (swap('[loads]\npressure_side = "inside"\n', ""), "1: loads: missing; allowed: a table [loads]"),
    # values: types, NaN, infinity, negative, zero, huge, words
    (swap("radius_mm = 45.0", 'radius_mm = "45"'), "11: shape.radius_mm: must be a number; got '45'"),
    (swap("radius_mm = 45.0", "radius_mm = true"), "11: shape.radius_mm: must be a number; got True"),
    (swap("radius_mm = 45.0", "radius_mm = 1979-05-27"), "11: shape.radius_mm: must be a number; got datetime.date(1979, 5, 27)"),
    (swap("radius_mm = 45.0", "radius_mm = nan"), "11: shape.radius_mm: must be a finite number; got nan"),
    (swap("radius_mm = 45.0", "radius_mm = -inf"), "11: shape.radius_mm: must be a finite number; got -inf"),
    (swap("rate = 40", "rate = inf"), "8: material.hardening.rate: must be a finite number; got inf"),
    (swap("thickness_mm = 0.25", "thickness_in = -0.01"), "13: shape.thickness_in: out of range; got -0.01; allowed: > 0 in"),
    (swap("thickness_mm = 0.25", "thickness_mm = 0"), "13: shape.thickness_mm: out of range; got 0; allowed: > 0 mm"),
    (swap("poissons_ratio = 0.33", "poissons_ratio = 0.5"), "5: material.poissons_ratio: out of range; got 0.5; allowed: < 0.5"),
    (swap("radius_mm = 45.0", "radius_m = 1e9"), "11: shape.radius_m: out of all proportion, check the unit; got 1000000000.0; allowed: -100 to 100 m"),
    (swap("radius_mm = 45.0", f"radius_mm = 1{'0' * 400}"), "11: shape.radius_mm: out of all proportion, check the unit; got 1000"),
    (swap("rate = 40", f"rate = 1{'0' * 400}"), "8: material.hardening.rate: must be a number; got 1000"),
    (swap("radius_mm = 45.0", f"radius_mm = 1{'0' * 5000}"), "11: radius_mm: is not valid TOML: Exceeds the limit (4300 digits) for integer string conversion"),
    (swap("half_angle_deg", "half_angle_rad"), "12: shape.half_angle_rad: out of all proportion, check the unit; got 30.0"),
    (swap("youngs_modulus_GPa = 69.0", "youngs_modulus_GPa = 69000"), "4: material.youngs_modulus_GPa: out of all proportion, check the unit; got 69000; allowed: -1000 to 1000 GPa"),
    (swap("youngs_modulus_GPa = 69.0", "youngs_modulus_MPa = 69"), "7: material.yield_stress_MPa: too near Young's modulus, check both units; got 262; allowed: < 6.9 MPa"),
    (swap("youngs_modulus_GPa = 69.0", "youngs_modulus_MPa = 0.069"), "4: material.youngs_modulus_MPa: no material's; is it in GPa?; got 0.069; allowed: 1 to 1e+06 MPa"),
    (swap('"inside"', '"within"'), "17: loads.pressure_side: unknown word; got 'within'; allowed: 'inside' or 'outside'"),
    (swap('title = "cap"', "title = 7"), "2: case.title: must be a text in quotes; got 7"),
    (swap('[case]\ntitle = "cap"\n', "case = 7\n"), "1: case: must be a table; got 7"),
    (swap('[case]\n', 'material = 3\n[case]\n').replace("[material]", "[metal]"), "1: material: must be a table; got 3"),
    (swap('"inside"', '"inside"\nfollower = 1'), "18: loads.follower: must be true or false; got 1"),
    (GOOD + "[numerics]\nlayers = 9.0\n", "24: numerics.layers: must be a whole number; got 9.0"),
    (GOOD + "[numerics]\nlayers = 9\nmesh_density = 100\n", "25: numerics.mesh_density: out of range; got 100; allowed: <= 8"),
    # material
    (swap("youngs_modulus_GPa", 'grade = "AL-3104-H19-baken"\nyoungs_modulus_GPa'), "4: material.grade: unknown grade, did you mean 'AL-3104-H19-baked'?; got 'AL-3104-H19-baken'; allowed: AL-3104-H19-baked, "),
    (swap("youngs_modulus_GPa", "grade = 3\nyoungs_modulus_GPa"), "4: material.grade: must be a text in quotes; got 3"),
    (swap('"voce"', '"vice"'), "8: material.hardening.law: unknown law, did you mean 'voce'?; got 'vice'; allowed: none, linear, voce, swift, ramberg_osgood, table"),
    (swap('{ law = "voce", increment_MPa = 38, rate = 40 }', '"voce"'), "8: material.hardening: must be a table that names its law; got 'voce'"),
    (swap("yield_stress_MPa = 262\n", ""), "3: material.yield_stress: missing, the hardening law starts from it; allowed: yield_stress_MPa"),
    (swap('law = "voce", increment_MPa = 38, rate = 40', 'law = "table", points_MPa = [[0.0, 262], [0.1, 250]]'), "8: material.hardening.points_MPa: the stress must not fall: no path of metal that softens could be followed; got [262.0, 250.0]; allowed: first <= second <= third ..."),
    (swap('law = "voce", increment_MPa = 38, rate = 40', 'law = "table", points_MPa = [[0.0, 262], [0.0, 270]]'), "8: material.hardening.points_MPa: the plastic strain must rise from 0; got [0.0, 0.0]"),
    (swap('law = "voce", increment_MPa = 38, rate = 40', 'law = "table", points_MPa = [[0.0, 250], [0.1, 270]]'), "7: material.yield_stress_MPa: contradicts the table; got 262; allowed: 250 MPa, the first stress"),
    (swap('law = "voce", increment_MPa = 38, rate = 40', 'law = "table", points_MPa = [[0.0, 262], [0.1]]'), "8: material.hardening.points_MPa[1]: too short; got [0.1]; allowed: more entries"),
    (swap('law = "voce", increment_MPa = 38, rate = 40', 'law = "table", points_MPa = []'), "8: material.hardening.points_MPa: too short; got []; allowed: at least 1"),
    (swap('law = "voce", increment_MPa = 38, rate = 40', 'law = "table", points_MPa = [[0.0, -262]]'), "8: material.hardening.points_MPa[0][1]: out of range; got -262; allowed: > 0 MPa"),
    # shape: family, impossible dimensions, pieces
    (swap("spherical_cap", "sperical_cap"), "10: shape.family: unknown family, did you mean 'spherical_cap'?; got 'sperical_cap'; allowed: "),
    (swap('family = "spherical_cap"\n', ""), "9: shape.family: missing; allowed: "),
    (swap("half_angle_deg = 30.0", "half_angle_deg = 200.0"), "12: shape.half_angle_deg: out of range; got 200.0; allowed: (0, 180) deg"),
    (swap("half_angle_deg = 30.0", "half_angle_deg = 30.0\nheight_mm = 4"), "13: shape.height_mm: give exactly one of half_angle, base_radius, height; got 4"),
    (swap("thickness_mm = 0.25", "thickness_mm = 100"), "13: shape.thickness_mm: cap.thickness: thicker than twice the bend's radius; got 100; allowed: (0, 90) mm"),
    (swap("thickness_mm = 0.25", "thickness_mm = 15"), "13: shape.thickness_mm: no shell is so thick at a widest radius of 22.5 mm, check the unit of both; got 15; allowed: 0.001125 to 4.5 mm"),
    (swap("\ngauge_mm = 0.245 ", "\ngauge_mm = 2.45 ", BASE), "49: shape.gauge_mm: reform groove.thickness: thicker than twice the bend's radius; got 2.45"),
    (swap("wall_gauge_mm = 0.1 ", "wall_gauge_mm = 60", BASE), "50: shape.wall_gauge_mm: no shell is so thick at a widest radius of 29 mm, check the unit of both; got 60; allowed: 0.00145 to 5.8 mm"),
    (swap("stand_radius_mm = 22.4", "stand_radius_mm = 28.4", BASE), "39: shape.stand_radius_mm: the shape does not close: inner leg: it has no length left; got 28.4; allowed: ["),
    (swap("stand_radius_mm = 22.4", "stand_radius_mm = 22.4\nstand_diameter_mm = 44.8", BASE), "40: shape.stand_diameter_mm: give exactly one of stand_radius, stand_diameter; got 44.8"),
    (swap("stand_radius_mm = 22.4", "", BASE), "30: shape: stand_radius: give exactly one of stand_radius, stand_diameter"),
    (swap("chime_angle_deg = 53.0", "chime_angle_deg = 153.0", BASE), "45: shape.chime_angle_deg: out of range; got 153.0; allowed: (26, 90) deg"),
    (swap("turn_deg = -27.4163", "turn_deg = 0", WALK), "10: shape.pieces[0].turn_deg: an arc needs a turn that is not 0"),
    (swap("line_mm = 1.99", "line = 1.99", WALK), "11: shape.pieces[1].line: a key with a dimension ends in its unit; got 1.99; allowed: line_mm"),
    (swap("line_mm = 1.99", "line_mm = 1.99, turn_deg = 3", WALK), "11: shape.pieces[1].turn_deg: a line does not turn; a kink is turn_here; got 3"),
    (swap("{ line_mm = 1.99 }", "7", WALK), "11: shape.pieces[1]: must be a table; got 7"),
    (swap("{ line_mm = 1.99 }", "{ name = 'nothing' }", WALK), "11: shape.pieces[1]: give exactly one of arc (with turn) and line; got {'name': 'nothing'}"),
    (swap("[0.27, 0.105]", "[0.27, -0.105]", WALK), "12: shape.pieces[2].thickness_mm[1]: out of range; got -0.105; allowed: > 0 mm"),
    (swap("[0.27, 0.105]", "[0.27]", WALK), "12: shape.pieces[2].thickness_mm: too short; got [0.27]; allowed: more entries"),
    (swap("[0.27, 0.105]", '"thin"', WALK), "12: shape.pieces[2].thickness_mm: must be a number or a list; got 'thin'"),
    (swap("[0.0, 10.4]", "[-3.0, 10.4]", WALK), "5: shape.start_mm: the radius must not be negative; got [-3.0, 10.4]; allowed: r >= 0"),
    # sizes that make no sense together
    (swap("wall_height_mm = 30.0", "wall_height_m = 30.0", BASE), "48: shape.wall_height_m: makes a meridian of 30038.2 mm, far too long for a wall of 0.1 mm, is it in mm?; got 30.0; allowed: a meridian of 0.245 to 1702.94 mm"),
    (swap("\ngauge_mm = 0.245 ", "\ngauge_mm = 2.1e-7 ", BASE), "49: shape.gauge_mm: no shell is so thin at a widest radius of 29 mm, check the unit of both; got 2.1e-07; allowed: 0.00145 to 5.8 mm"),
    (swap("\ngauge_mm = 0.245 ", "\ngauge_um = 0.245 ", BASE), "49: shape.gauge_um: no shell is so thin at a widest radius of 29 mm, check the unit of both, is it in mm?; got 0.245"),
    (swap("wall_gauge_mm = 0.1 ", "wall_gauge_mm = 10 ", BASE), "50: shape.wall_gauge_mm: no shell is so thick at a widest radius of 29 mm, check the unit of both; got 10; allowed: 0.00145 to 5.8 mm"),
    (swap("wall_gauge_mm = 0.1 ", "wall_gauge_mm = 5.5 ", BASE), "50: shape.wall_gauge_mm: 22.4 times the thinnest wall, check the units of both; got 5.5; allowed: up to 4.9 mm"),
    (swap("thickness_mm = 0.25", "thickness_mm = 5.625"), "13: shape.thickness_mm: no shell is so thick at a widest radius of 22.5 mm"),
    (swap("[0.27, 0.105]", "[0.27, 10.105]", WALK), "12: shape.pieces[2].thickness_mm[1]: no shell is so thick at a widest radius of 26."),
    (TUBE.replace("length_mm = 50.0", "length_mm = 1e-6"), "12: shape.length_mm: makes a meridian of 1e-06 mm, far too short for a wall of 0.25 mm; got 1e-06; allowed: a meridian of 0.25 to 3354.1 mm"),
    (TUBE.replace("length_mm = 50.0", "length_m = 50.0"), "12: shape.length_m: makes a meridian of 50000 mm, far too long for a wall of 0.25 mm, is it in mm?"),
    (GOOD + "growth_m = 0.5\n", "23: requirements.growth_m: more than the whole meridian is long, check the unit; got 0.5; allowed: up to 23.5619 mm"),
    (GOOD + "growth_ceiling_m = 0.5\n", "23: requirements.growth_ceiling_m: more than the whole meridian is long"),
    (TUBE.replace("length_mm = 50.0", "length_mm = 3000.0") + "[numerics]\nmesh_density = 8.0\n", "25: numerics.mesh_density: asks for more than 2000 elements; got 8.0; allowed: <= 3.35"),
    (TUBE.replace('"clamped"\n[loads]', '"free"\n[loads]\naxial_force_kN = 600'), "18: loads.axial_force_kN: would strain a wall by more than 0.1, check the unit; got 600; allowed: -4.88e+05 to 4.88e+05 N"),
    (swap("yield_stress_MPa = 262", "yield_stress_MPa = 0.00025"), "7: material.yield_stress_MPa: no metal's beside Young's modulus, check both units; got 0.00025; allowed: > 0.345 MPa"),
    (swap("density_kg_per_m3 = 2720", "density_kg_per_m3 = 2.72"), "6: material.density_kg_per_m3: no metal's; is it in g_per_cm3?; got 2.72; allowed: 100 to 30000 kg_per_m3, 0 if unknown"),
    (swap("increment_MPa = 38", "increment_GPa = 380"), "8: material.hardening: the flow stress at a plastic strain of 1 would be more than 2 times Young's modulus, check the units"),
    (swap("rate = 40", "rate = 1e8"), "8: material.hardening.rate: out of range; got 100000000.0; allowed: <= 1e+06"),
    (swap("increment_MPa = 38, rate = 40", "increment_GPa = 38, rate = 99999"), "8: material.hardening: the slope of the curve would be more than 10000 times Young's modulus, check the units"),
    (swap('law = "voce", increment_MPa = 38, rate = 40', 'law = "table", points_MPa = [[0.0, 262], [1e-300, 270]]'), "8: material.hardening.points_MPa: two strains are as good as the same; got [0.0, 1e-300]; allowed: steps of 1e-09 and more"),
    (swap("poissons_ratio = 0.33", "poissons_ratio = 3e-13"), "5: material.poissons_ratio: no metal's; got 3e-13; allowed: 0, or 0.001 to 0.5"),
    (swap("line_mm = 1.99", "line_mm = 5e-324", WALK), "11: shape.pieces[1]: a piece of 4.94e-324 mm is lost in round-off; got {'line_mm': 5e-324}; allowed: > 2.59e-05 mm, or none"),
    # supports and loads
    (swap('"clamped"', '"glued"'), "15: supports.outer_edge: unknown word; got 'glued'; allowed: 'clamped', 'pinned'"),
    (swap('outer_edge = "clamped"', 'outer_edge = "clamped"\nstart_edge = "free"'), "16: supports.start_edge: the meridian ends on the axis there and has no edge; got 'free'; allowed: leave it out"),
    (CYLINDER, '14: supports.start_edge: missing, the meridian has an edge there; allowed: "clamped"'),
    (swap("spherical_cap", "complete_sphere").replace("half_angle_deg = 30.0\n", ""), "14: supports.outer_edge: the meridian ends on the axis there and has no edge; got 'clamped'"),
    (swap('"inside"', '"inside"\naxial_force_lbf = -3'), "18: loads.axial_force_lbf: acts on the outer edge, which 'clamped' holds axially; got -3; allowed: 0, or outer_edge = 'free'"),
    (swap('"inside"', '"inside"\nincreases = "force"'), "18: loads.increases: unknown word; got 'force'; allowed: 'pressure' or 'axial_force'"),
    (swap('"inside"', '"inside"\nincreases = "axial_force"').replace("pressure_bar = 6.2", "axial_force_N = 800"), "18: loads.increases: axial_force_N says in which sense it does; got 'axial_force'; allowed: axial_force_N = -1.0"),
    (swap('outer_edge = "clamped"', 'stand = "roller"\nouter_edge = "sleeve"'), "15: supports.stand: the body has no stand: no lowest ring between apex and edge; got 'roller'; allowed: leave it out"),
    (BASE.replace('outer_edge = "clamped"', 'outer_edge = "clamped"\nstand = "roller"'), "58: supports.stand: the outer edge, 'clamped', holds the body axially already; got 'roller'; allowed: leave it out, or outer_edge = 'free' or 'diaphragm' or 'sleeve'"),
    (BASE.replace('outer_edge = "clamped"', 'outer_edge = "sleeve"\nstand = "table"'), "58: supports.stand: unknown word; got 'table'; allowed: 'roller' or 'pinned'"),
    (BASE.replace('outer_edge = "clamped"', 'outer_edge = "sleeve"\nstand = "roller"').replace("follower = true", "axial_force_N = 5.0"), "62: loads.axial_force_N: pulls the body off what it stands on; got 5.0; allowed: <= 0 N, or no stand"),
    (BASE.replace('outer_edge = "clamped"', 'outer_edge = "sleeve"\nstand = "roller"').replace("follower = true", "end_thrust = false").replace('pressure_side = "inside"', 'pressure_side = "outside"'), "62: loads.end_thrust: an open end under outside pressure lifts the body off what it stands on; got False; allowed: true, or no stand"),
    (swap('"inside"', '"inside"\npressure_bar = 2.0'), "18: loads.pressure_bar: the pressure increases, so that none is constant; got 2.0; allowed: leave it out, or increases = \"axial_force\""),
    (swap('"inside"', '"inside"\naxial_force_N = -1.0\nincreases = "axial_force"\npressure_bar = -2.0'), "20: loads.pressure_bar: out of range; got -2.0; allowed: >= 0 bar"),
    (swap('"inside"', '"inside"\naxial_force_N = -1.0\nincreases = "axial_force"').replace("pressure_bar = 6.2", "axial_force_N = 800"), "18: loads.axial_force_N: acts on the outer edge, which 'clamped' holds axially; got -1.0; allowed: 0, or outer_edge = 'free'"),
    (swap('"inside"', '"inside"\naxial_force_N = -1.0\nincreases = "axial_force"').replace('"clamped"', '"sleeve"'), "24: requirements.pressure_bar: is for a pressure that increases, and here the axial force does; got 6.2; allowed: leave it out, or axial_force_N in [requirements]"),
    (swap('"inside"', '"inside"\naxial_force_N = -1.0\nincreases = "axial_force"').replace('"clamped"', '"sleeve"').replace("pressure_bar = 6.2", "plastic_strain = 0.1"), "24: requirements.plastic_strain: plastic strain needs a force; got 0.1; allowed: axial_force_N beside it"),
    # analyses
    (swap("[0, 40]", "[40, 0]"), "20: analyses.wave_numbers: the range is empty; got [40, 0]; allowed: [lowest, highest]"),
    (swap("[0, 40]", "[]"), "20: analyses.wave_numbers: too short; got []; allowed: at least 2"),
    (swap("[0, 40]", "[0, 4, 8]"), "20: analyses.wave_numbers: too long; got [0, 4, 8]; allowed: at most 2"),
    (swap("[0, 40]", "[0, 401]"), "20: analyses.wave_numbers[1]: out of range; got 401; allowed: <= 400"),
    (swap("[0, 40]", "[-1, 40]"), "20: analyses.wave_numbers[0]: out of range; got -1; allowed: >= 0"),
    (swap("[0, 40]", "[0, 4.5]"), "20: analyses.wave_numbers[1]: must be a whole number; got 4.5"),
    (swap("[0, 40]", "40"), "20: analyses.wave_numbers: must be a list; got 40"),
    (swap('["LA", "LBA", "GNA", "GMNA"]', "[]"), "19: analyses.run: too short; got []; allowed: at least 1"),
    (swap('["LA", "LBA", "GNA", "GMNA"]', '"LA"'), "19: analyses.run: must be a list; got 'LA'"),
    (swap('"LBA", "GNA"', '"LBA",\n "GNAX"'), "20: analyses.run[2]: unknown word; got 'GNAX'; allowed: 'LA', 'LBA', 'MNA', 'GNA', 'GMNA'"),
    (swap('"GMNA"', '"GMNIA"'), "19: analyses.run[3]: no [deviation] says how the shape deviates; got 'GMNIA'; allowed: GMNA, or a [deviation]"),
    (swap('"GMNA"', '"LA"'), "19: analyses.run[3]: named twice; got 'LA'"),
    (swap("yield_stress_MPa = 262\n", "").replace('hardening = { law = "voce", increment_MPa = 38, rate = 40 }\n', ""), "17: analyses.run[3]: needs a yield stress; got 'GMNA'"),
    # requirements, contents, expectations
    (swap("pressure_bar = 6.2", "pressure_bar = 0"), "22: requirements.pressure_bar: out of range; got 0; allowed: > 0 bar"),
    (swap("pressure_bar = 6.2", "pressure_bar = 6.2\nservice_pressure_bar = 6.3"), "23: requirements.service_pressure_bar: is higher than the pressure that is required, and nothing is judged at it; got 6.3; allowed: up to 6.2 bar, or as high a pressure_bar"),
    (swap("pressure_bar = 6.2", "growth_mm = 1.5"), "22: requirements.growth_mm: growth needs a pressure; got 1.5; allowed: service_pressure_bar beside it"),
    (swap("pressure_bar = 6.2", "plastic_strain = 0.1"), "22: requirements.plastic_strain: plastic strain needs a pressure; got 0.1; allowed: service_pressure_bar beside it"),
    (swap("pressure_bar = 6.2", "pressure_bar = 6.2\nstand_drop_mm = 1.0"), "23: requirements.stand_drop_mm: the body has no stand ahead of its apex; got 1.0; allowed: leave it out"),
    (GOOD + TEA.replace('carbon_dioxide"', 'nitrogen"\nfill_pressure_bar = 1'), "26: contents.carbonation_volumes: means nothing for nitrogen; got 3.8; allowed: fill_pressure_bar"),
    (GOOD + TEA.replace("carbonation_volumes = 3.8\n", ""), "23: contents.carbonation_volumes: missing, carbon_dioxide is measured by it"),
    (GOOD + TEA.replace("38, 60]", '38, "hot"]'), "29: contents.temperatures_degC[3]: must be a number; got 'hot'"),
    (GOOD + TEA.replace("38, 60]", "38, -300]"), "29: contents.temperatures_degC[3]: out of all proportion, check the unit; got -300; allowed: -273.15 to 1000 degC"),
    (GOOD + EXPECT.replace("GNA.", "GNB."), "24: expect[0].quantity: unknown analysis, did you mean 'GNA'?; got 'GNB.limit_pressure_bar'"),
    (GOOD + EXPECT.replace("GNA.", "MNA."), "24: expect[0].quantity: its analysis is not run; got 'MNA.limit_pressure_bar'; allowed: LA, LBA, GNA, GMNA"),
    (GOOD + EXPECT.replace("limit_pressure_bar", "limit_presure_bar"), "24: expect[0].quantity: unknown quantity, did you mean 'limit_pressure_bar'?; got 'GNA.limit_presure_bar'; allowed: first_yield_pressure_bar, "),
    (GOOD + EXPECT.replace("GNA.limit_pressure_bar", "mas_g"), "24: expect[0].quantity: unknown quantity, did you mean 'mass_g'?; got 'mas_g'; allowed: reserve_factor, "),
    (GOOD + EXPECT.replace("GNA.", ""), "24: expect[0].quantity: misses its analysis; got 'limit_pressure_bar'; allowed: such as GNA.limit_pressure_bar"),
    (GOOD + EXPECT.replace("GNA.", "GNA.GNA."), "24: expect[0].quantity: unknown analysis, did you mean 'GNA'?; got 'GNA.GNA.limit_pressure_bar'; allowed: KIND.quantity"),
    (GOOD + EXPECT.replace("1.25", '"high"').replace("tolerance_percent = 0.5\n", ""), "25: expect[0].value: GNA.limit_pressure_bar is a number; got 'high'; allowed: a number"),
    (GOOD + EXPECT.replace("limit_pressure_bar", "status"), "25: expect[0].value: GNA.status is a word; got 1.25; allowed: a word"),
    (GOOD + EXPECT + EXPECT.replace('source = "A. Author, Title, 1999, table 2"\n', ""), "28: expect[1].source: missing"),
    (GOOD + EXPECT.replace("tolerance_percent = 0.5\n", ""), "23: expect[0].tolerance_percent: missing, the value is not a whole number; allowed: >= 0"),
    (GOOD + EXPECT.replace("1.25", "[5, 6]"), "26: expect[0].tolerance_percent: a list or a word is met exactly or not at all; got 0.5"),
    (GOOD + EXPECT.replace("[[expect]]", "[expect]"), "23: expect: must be a list of tables; got {"),
    # the text itself
    ("", "1: file: is empty"),
    (" \n\n# nothing\n", "1: material: missing; allowed: a table [material]"),
    (swap("thickness_mm = 0.25", "thickness_mm = .25"), "13: thickness_mm: is not valid TOML: Invalid value (numbers are written 0.25, texts in quotes); got '.25'"),
    (swap("thickness_mm = 0.25", "thickness_mm = 0,25"), "13: thickness_mm: is not valid TOML: Expected newline or end of document after a statement; got '0,25'"),
    (swap("thickness_mm = 0.25", "thickness_mm 0.25"), "13: file: is not valid TOML: Expected '=' after a key in a key/value pair; got 'thickness_mm 0.25'"),
    (GOOD + "[open", "23: file: is not valid TOML: "),
    (GOOD + "a." * 900 + "a = 1", "21: requirements.a: is nested too deep; allowed: up to 16 levels of tables and lists"),
    (GOOD + "[" + "a." * 900 + "a]\nb = 1", "23: a.a: is nested too deep"),
    (GOOD + "deep = " + "[" * 400 + "]" * 400, "21: requirements.deep: is nested too deep"),
    (GOOD + "y" * 300 + " = 1", "23: requirements." + "y" * 67 + "...: unknown key; got 1"),
    (GOOD + "deep = " + "[" * 20000, "23: deep: is not valid TOML: "),
]  # fmt: skip


@pytest.mark.parametrize(("text", "message"), FAULTS, ids=[re.sub(r"\W+", " ", message)[:60] for _, message in FAULTS])
def test_fault_is_said_with_its_line(tmp_path, text, message):
    path = tmp_path / "case.toml"
    path.write_text(text)
    with pytest.raises(CaseError) as caught:
        read_case(path)
    lines = str(caught.value).splitlines()
    assert any(line.startswith(f"{path}:{message}") for line in lines), "\n".join(lines)
    assert len(lines) == len(caught.value.faults)
    assert all(len(line) < 700 for line in lines)


@pytest.mark.parametrize("text", [GOOD, WALK, GOOD + TEA, GOOD + EXPECT], ids=["cap", "walk", "contents", "expect"])
def test_the_texts_that_the_faults_are_put_into_are_good(tmp_path, text):
    path = tmp_path / "case.toml"
    path.write_text(text)
    assert read_case(path).material.youngs_modulus == 69e3


def test_only_what_is_wrong_is_said(tmp_path):
    """A misspelt key is one fault: not also a missing one, and not also a wrong value."""
    for text, message in FAULTS:
        path = tmp_path / "case.toml"
        path.write_text(text)
        with pytest.raises(CaseError) as caught:
            read_case(path)
        few = 4 if "nothing" in text[:12] or "[metal]" in text or "[support]" in text else 1
        assert len(caught.value.faults) <= few, f"{message}\n{caught.value}"


def test_a_key_of_thousands_of_parts_is_refused_on_its_line(tmp_path):
    """Some versions of Python read 1000 parts and no more, and do not say on which line they stopped."""
    path = tmp_path / "case.toml"
    path.write_text(GOOD + "[" + "a." * 3000 + "a]\nb = 1\n\n[c]\nd = 2")
    with pytest.raises(CaseError, match=r"is nested too deep|has more than the allowed 1000 parts") as caught:
        read_case(path)
    assert str(caught.value).startswith(f"{path}:23: ")


@pytest.mark.parametrize("depth", [16, 300, 900, 3000, 100_000])
def test_json_however_deep_is_refused_in_one_line(tmp_path, depth):
    path = tmp_path / "deep.json"
    path.write_text('{"x": ' + '{"a": ' * depth + "1" + "}" * depth + "}")
    with pytest.raises(
        CaseError, match=r"deep\.json: x\.a: is nested too deep|deep\.json:1: file: is not valid JSON"
    ) as caught:
        read_case(path)
    assert len(str(caught.value)) < len(str(path)) + 200


@pytest.mark.parametrize("inner", [lambda deep: [deep], lambda deep: {"a": deep}], ids=["lists", "tables"])
def test_tables_in_memory_however_deep_are_refused(inner):
    deep = 1
    for _ in range(3000):
        deep = inner(deep)
    for tables in ({"x": deep}, {"shape": {"family": "cylinder", "radius_mm": deep}}, {"expect": [{"value": deep}]}):
        with pytest.raises(CaseError, match="is nested too deep; allowed: up to 16 levels"):
            case_from_dict(tables)


@pytest.mark.parametrize("end", ["\n", "\r", "\x0b", "\x85", "\u2028", "\x1b[2J"], ids=ascii)
def test_a_name_with_a_line_end_makes_no_further_line(tmp_path, end):
    path = tmp_path / f"ca{end}se.toml"
    path.write_text(GOOD.replace("45.0", "-45.0"))
    with pytest.raises(CaseError) as caught:
        read_case(path)
    assert str(caught.value).isprintable()
    assert str(caught.value).endswith("se.toml:11: shape.radius_mm: out of range; got -45.0; allowed: > 0 mm")


def test_all_faults_are_said_at_once_in_the_order_of_the_file(tmp_path):
    path = tmp_path / "case.toml"
    text = swap("thickness_mm", "thicknes_mm").replace("0.33", "-0.33").replace("[0, 40]", "[4, 2]")
    path.write_text(text.replace('"GMNA"', '"GNIA"').replace("pressure_bar", "pressure").replace('"voce"', '"vice"'))
    with pytest.raises(CaseError) as caught:
        read_case(path)
    assert [fault.line for fault in caught.value.faults] == [5, 8, 13, 19, 20, 22]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"title = 1\n\x00\x01\xff", ":2: file: is a binary file; allowed: a text file in UTF-8"),
        ("[case]\ntitle = 'Blechdose \xfc'".encode("latin-1"), ":2: file: is not UTF-8; allowed: a text file in UTF-8"),
        (b"#" * 5_000_001, ": file: is too large; allowed: up to 5000000 bytes"),
    ],
    ids=["binary", "latin-1", "huge"],
)
def test_bytes_that_are_no_case(tmp_path, data, message):
    path = tmp_path / "case.toml"
    path.write_bytes(data)
    with pytest.raises(CaseError) as caught:
        read_case(path)
    assert str(caught.value) == f"{path}{message}"


def test_paths_that_are_no_file(tmp_path):
    with pytest.raises(CaseError, match=r"file: is a directory; allowed: a TOML file$"):
        read_case(tmp_path)
    with pytest.raises(CaseError, match=r"none\.toml: file: cannot be read: No such file or directory$"):
        read_case(tmp_path / "none.toml")
    with pytest.raises(CaseError, match=r"file: cannot be read: .*null"):
        read_case("nu\0ll.toml")
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    with pytest.raises(CaseError, match=r"file: is not a regular file"):
        read_case(pipe)


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may read anything")
def test_file_without_permission(tmp_path):
    path = tmp_path / "case.toml"
    path.write_text(GOOD)
    path.chmod(0)
    with pytest.raises(CaseError, match=r"file: cannot be read: Permission denied$"):
        read_case(path)


def test_unreadable_file_is_an_input_error(tmp_path, monkeypatch):
    """The same for whoever runs the tests as superuser."""

    def refuse(self):
        raise PermissionError(13, "Permission denied")

    path = tmp_path / "case.toml"
    path.write_text(GOOD)
    monkeypatch.setattr("pathlib.Path.read_bytes", refuse)
    with pytest.raises(CaseError, match=r"file: cannot be read: Permission denied$"):
        read_case(path)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ('{"shape": {\n"family": "spherical_cap",\n"radius_mm": NaN, "height_mm": 1, "thickness_mm": 0.2}}', ": shape.radius_mm: must be a finite number; got nan"),
        ('{"shape": {},\n"shape": {}}', ": shape: given twice; allowed: once in one table"),
        ('{"shape": {\n"a": 1,}}', ":2: file: is not valid JSON: "),
        ("[1]", ":1: file: holds no tables"),
        ("[" * 100_000, ":1: file: is not valid JSON: "),
    ],
)  # fmt: skip
def test_json_is_held_to_the_same(tmp_path, text, message):
    path = tmp_path / "case.json"
    path.write_text(text)
    with pytest.raises(CaseError) as caught:
        read_case(path)
    assert any(line.startswith(f"{path}{message}") for line in str(caught.value).splitlines()), caught.value


def test_tables_in_memory_have_no_lines():
    with pytest.raises(CaseError) as caught:
        case_from_dict({"material": {"grade": "AL-5182-H19"}}, "design 3")
    assert "design 3: shape: missing; allowed: a table [shape]" in str(caught.value).splitlines()


def test_error_survives_the_way_between_processes():
    error = pickle.loads(pickle.dumps(_caught({})))
    assert str(error) == str(_caught({}))
    assert error.faults == _caught({}).faults


def _caught(tables):
    with pytest.raises(CaseError) as caught:
        case_from_dict(tables)
    return caught.value


def _slots(tree):
    """Yield (container, key) of everything in a tree of tables and lists."""
    for key in tree if isinstance(tree, dict) else range(len(tree)) if isinstance(tree, list) else ():
        yield tree, key
        yield from _slots(tree[key])


ODD = [0, -1, 5e-324, 1e300, float("nan"), float("-inf"), True, "x", "", [], {}, [1, 2], [[1, 2], [3, 4]], [[]], [{}]]
ODD += [{"law": "voce"}, 10**400, 1e5, 0.5, 90, ["LA"], {"a": {"b": 1}}, "two\nlines"]


@settings(max_examples=150, deadline=None)
@given(
    text=st.sampled_from([GOOD + TEA + EXPECT, WALK, BASE]),
    changes=st.lists(st.tuples(st.integers(0, 10**6), st.sampled_from([*ODD, None])), min_size=1, max_size=3),
)
def test_whatever_a_value_is_changed_to_the_answer_is_a_case_or_lines_of_faults(text, changes):
    tables = tomllib.loads(text)
    for at, value in changes:
        slots = list(_slots(tables))
        container, key = slots[at % len(slots)]
        if value is None:
            del container[key]
        else:
            container[key] = deepcopy(value)
    lines, faults = _fault_lines(tables)
    assert len(lines) == faults
    assert all(line.startswith("case: ") for line in lines)


def _fault_lines(tables):
    """Return the lines of a case's error and the number of its faults; any other exception fails the test."""
    try:
        case_from_dict(tables)
    except CaseError as error:
        return str(error).splitlines(), len(error.faults)
    return [], 0


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be", "utf-32"])
def test_another_encoding_is_refused_by_name_or_as_binary(tmp_path, encoding):
    path = tmp_path / "case.toml"
    marks = {"utf-16-le": b"\xff\xfe", "utf-16-be": b"\xfe\xff"}
    for mark in (b"", marks.get(encoding, b"")):
        path.write_bytes(mark + GOOD.encode(encoding))
        with pytest.raises(CaseError, match=r"case\.toml:1: file: is (not UTF-8 but UTF-16|a binary file)") as caught:
            read_case(path)
        assert "allowed: a text file in UTF-8" in str(caught.value)


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_byte_order_mark_and_line_ends_of_another_system_change_nothing(tmp_path, mark, end):
    path = tmp_path / "case.toml"
    path.write_bytes(mark + GOOD.replace("\n", end).encode())
    assert read_case(path).input_hash == case_from_dict(tomllib.loads(GOOD)).input_hash
    path.write_bytes(mark + GOOD.replace("radius_mm = 45.0", "radius_mm = -45.0").replace("\n", end).encode())
    with pytest.raises(CaseError, match=r"case\.toml:11: shape\.radius_mm: out of range; got -45\.0"):
        read_case(path)


@pytest.mark.parametrize("end", ["\r", "\x0b", "\x0c", "\x85", "\u2028"], ids=ascii)
def test_line_ends_that_are_none_in_toml_give_one_fault_on_one_line(tmp_path, end):
    path = tmp_path / "case.toml"
    path.write_bytes(GOOD.replace("\n", end).encode())
    with pytest.raises(CaseError) as caught:
        read_case(path)
    assert len(str(caught.value).splitlines()) == 1
    assert str(caught.value).isprintable()
