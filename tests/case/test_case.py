"""What a good case file becomes: contract keys, units, defaults, origins and the hash."""

import json
import math
import pickle
import tomllib

import numpy as np
import pytest

from buckle.case import case_from_dict, read_case
from buckle.case.schema import case_schema, schema_text
from buckle.material import linear_hardening, voce_hardening
from buckle.shapes import FAMILIES, spherical_cap
from tests.helpers.paths import CONTAINER, ROOT

CASES = ROOT / "cases"
CAP = {
    "material": {"youngs_modulus_GPa": 69.0, "poissons_ratio": 0.33},
    "shape": {"family": "spherical_cap", "radius_mm": 50.8, "half_angle_deg": 30.0, "thickness_mm": 0.254},
    "supports": {"outer_edge": "clamped"},
    "loads": {"pressure_side": "outside"},
    "analyses": {"run": ["LA", "LBA"]},
}
WALK = """
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
  { line_in = 0.15748031496062992, thickness_mm = [0.27, 0.105] },
  { line_mm = 21.0, thickness_mm = 0.105, turn_here_deg = 30 },
]
[supports]
outer_edge = "clamped"
[loads]
pressure_side = "inside"
[analyses]
run = ["GMNA"]
"""


def changed(**tables):
    return {**CAP, **{name: {**CAP.get(name, {}), **table} for name, table in tables.items()}}


def echo_of(case):
    return {line.key: line for line in case.echo}


def test_shape_is_what_the_family_builds():
    case = case_from_dict(CAP)
    assert case.family == "spherical_cap"
    assert case.meridian == spherical_cap(radius=50.8, half_angle=math.pi / 6, thickness=0.254)
    assert case.dimensions["radius"] == 50.8


def test_any_unit_of_the_dimension_gives_the_same_case():
    inches = {"family": "spherical_cap", "radius_in": 2, "half_angle_rad": math.pi / 6, "thickness_um": 254}
    other = {**CAP, "shape": inches, "material": {"youngs_modulus_MPa": 69000, "poissons_ratio": 0.33}}
    assert case_from_dict(other).input_hash == case_from_dict(CAP).input_hash
    assert case_from_dict(other).meridian == case_from_dict(CAP).meridian


def test_defaults_are_those_of_the_contract():
    case = case_from_dict(CAP)
    assert case.loads.follower
    assert case.loads.end_thrust
    assert case.loads.axial_force == 0.0
    assert case.analyses.wave_numbers == (0, 40)
    assert case.requirements.pressure is None
    assert case.contents is None
    assert case.material.hardening is None
    assert (case.numerics.mesh_density, case.numerics.layers, case.numerics.step) == (1.0, None, 1.0)


def test_walk_of_the_contract_is_accepted_as_it_stands():
    case = case_from_dict(tomllib.loads(WALK))
    first, _, ramp, last = case.meridian.pieces
    assert first.length == pytest.approx(45.7 * math.radians(27.4163), rel=1e-14)
    assert first.curvature == pytest.approx(-1 / 45.7, rel=1e-14)
    assert ramp.thickness == (0.27, 0.105)
    assert ramp.length == pytest.approx(4.0, rel=1e-15)
    assert (last.thickness, last.turn_here) == ((0.105, 0.105), pytest.approx(math.pi / 6, rel=1e-15))


@pytest.mark.parametrize(
    ("law", "strain", "stress"),
    [
        ({"law": "none"}, 0.1, 262.0),
        ({"law": "linear", "modulus_GPa": 0.7}, 0.1, 332.0),
        ({"law": "voce", "increment_MPa": 38, "rate": 40}, 0.05, 262 + 38 * (1 - math.exp(-2))),
        ({"law": "swift", "offset": 0.01, "exponent": 0.1}, 0.09, 262 * 10**0.1),
        ({"law": "ramberg_osgood", "exponent": 25}, 0.002, 262.0),
        ({"law": "table", "points_MPa": [[0.0, 262], [0.1, 282]]}, 0.05, 272.0),
    ],
    ids=lambda law: law["law"] if isinstance(law, dict) else None,
)
def test_hardening_laws_of_the_contract(law, strain, stress):
    """The written formula of each law, worked by hand; 0.01 % is the chord error of the tabulated law."""
    case = case_from_dict(changed(material={"yield_stress_MPa": 262, "hardening": law}))
    rel = 1e-4 if law["law"] == "ramberg_osgood" else 1e-14
    assert case.material.hardening.stress_and_slope(np.array([strain]))[0][0] == pytest.approx(stress, rel=rel)


def test_yield_stress_alone_means_ideal_plasticity():
    case = case_from_dict(changed(material={"yield_stress_MPa": 262}))
    assert case.material.hardening.yield_stress == 262.0
    assert case.material.hardening == linear_hardening(262.0)
    assert echo_of(case)["material.hardening"].origin == "default"


def test_grade_fills_what_the_file_leaves_out():
    case = case_from_dict({**CAP, "material": {"grade": "AL-5182-H48-coated", "yield_stress_ksi": 50}})
    echo = echo_of(case)
    assert case.material.grade == "AL-5182-H48-coated"
    assert case.material.youngs_modulus == 69.6e3
    assert case.material.hardening.yield_stress == pytest.approx(344.73786466, rel=1e-9)
    assert case.material.hardening == voce_hardening(case.material.hardening.yield_stress, 70.0, 40.0)
    assert echo["material.yield_stress_MPa"].origin == "file"
    assert (echo["material.density_kg_per_m3"].origin, echo["material.density_kg_per_m3"].source) == (
        "grade",
        "from memory",
    )
    assert echo["material.hardening"].value == {"law": "voce", "increment_MPa": 70.0, "rate": 40.0}
    assert echo["material.hardening"].source.startswith("assumption")


def test_echo_tells_origin_and_unit_of_everything():
    case = case_from_dict(changed(shape={"radius_mm": 45}, requirements={"pressure_psi": 90}))
    echo = echo_of(case)
    assert (echo["shape.radius_mm"].value, echo["shape.radius_mm"].origin) == (45.0, "file")
    assert echo["shape.half_angle_deg"].value == 30.0
    assert echo["requirements.pressure_bar"].value == pytest.approx(6.205281563852, rel=1e-12)
    assert (echo["loads.follower"].value, echo["loads.follower"].origin) == (True, "default")
    assert "requirements.growth_mm" not in echo
    json.dumps([line.value for line in case.echo], allow_nan=False)


@pytest.mark.parametrize(
    ("tables", "same"),
    [
        (changed(shape={"radius_mm": 50.8000001}), False),
        (changed(loads={"follower": True, "axial_force_N": -0.0}), True),
        (changed(analyses={"wave_numbers": [0, 40]}, numerics={}), True),
        (changed(analyses={"wave_numbers": [0, 41]}), False),
        (changed(loads={"follower": False}), False),
        (changed(case={"title": "other"}), False),
    ],
)
def test_hash_is_of_what_was_understood(tables, same):
    assert (case_from_dict(tables).input_hash == case_from_dict(CAP).input_hash) is same


def test_json_file_is_the_same_case(tmp_path):
    path = tmp_path / "cap.json"
    path.write_text(json.dumps(CAP))
    case = read_case(path)
    assert (case.title, case.path) == ("cap", str(path))
    assert case.meridian == case_from_dict(CAP).meridian


def test_byte_order_mark_and_carriage_returns_are_borne(tmp_path):
    path = tmp_path / "walk.toml"
    path.write_bytes(b"\xef\xbb\xbf" + WALK.replace("\n", "\r\n").encode())
    assert read_case(str(path)).meridian == case_from_dict(tomllib.loads(WALK)).meridian


def test_sphere_takes_no_supports():
    shape = {"family": "complete_sphere", "radius_mm": 50, "thickness_mm": 0.2}
    tables = {name: table for name, table in CAP.items() if name != "supports"} | {"shape": shape}
    assert case_from_dict(tables).supports.outer_edge is None


def test_cylinder_with_the_two_further_edges_and_an_axial_force():
    shape = {"family": "cylinder", "radius_mm": 29, "length_mm": 90, "thickness_mm": 0.1}
    tables = changed(supports={"start_edge": "clamped", "outer_edge": "sleeve"}, loads={"axial_force_lbf": -180})
    case = case_from_dict({**tables, "shape": shape})
    assert case.loads.axial_force == pytest.approx(-180 * 4.4482216152605, rel=1e-15)
    assert (case.supports.start_edge, case.supports.outer_edge) == ("clamped", "sleeve")


@pytest.mark.parametrize(("force", "sense"), [(-2.5, -1.0), (1.0, 1.0)])
def test_an_axial_force_that_increases_under_a_constant_pressure(force, sense):
    shape = {"family": "cylinder", "radius_mm": 29, "length_mm": 90, "thickness_mm": 0.1}
    loads = {"increases": "axial_force", "axial_force_kN": force, "pressure_bar": 2.0}
    tables = changed(supports={"start_edge": "clamped", "outer_edge": "sleeve"}, loads=loads)
    tables |= {"shape": shape, "requirements": {"axial_force_N": 800.0}}
    case = case_from_dict(tables)
    assert (case.loads.increasing.name, case.loads.increasing.sense) == ("axial_force", sense)
    assert (case.loads.pressure, case.loads.unit, case.required_load) == (0.2, 1000.0 * abs(force), 800.0)


def test_a_pressure_increases_where_nothing_is_said():
    case = case_from_dict(CAP)
    assert case.loads.increasing.is_pressure
    assert (case.loads.pressure, case.loads.unit, case.required_load) == (None, 1.0, case.requirements.pressure)


def test_expectations_of_every_kind():
    each = {"source": "A. Author, Title, 1999, table 2"}
    expect = [
        {**each, "quantity": "LBA.critical_pressure_bar", "value": 1.25, "tolerance_percent": 0.5},
        {**each, "quantity": "LBA.wave_number", "value": 5},
        {**each, "quantity": "LBA.wave_number", "value": [5, 6], "reason": "within 0.1 % of each other"},
        {**each, "quantity": "LBA.governing_event", "value": "bifurcation"},
        {**each, "quantity": "mass_g", "value": 2, "tolerance_percent": 1},
    ]
    values = [one.value for one in case_from_dict({**CAP, "expect": expect}).expect]
    assert values == [1.25, 5, (5, 6), "bifurcation", 2]
    assert [type(value) for value in values] == [float, int, tuple, str, int]


def test_contents_in_internal_units():
    contents = {
        "gas": "nitrogen",
        "fill_pressure_bar": 1.0,
        "liquid_ml": 355,
        "headspace_l": 0.02,
        "fill_temperature_degF": 68,
        "temperatures_degC": [4, 60],
        "altitude_ft": 8000,
    }
    held = case_from_dict({**CAP, "contents": contents}).contents
    assert (held.fill_pressure, held.liquid, held.headspace) == (0.1, 355e3, 20e3)
    assert (held.fill_temperature, held.temperatures, held.altitude) == (20.0, (4.0, 60.0), 2438.4)


def test_case_goes_to_another_process_and_cannot_be_changed():
    case = pickle.loads(pickle.dumps(case_from_dict(CAP)))
    assert case == case_from_dict(CAP)
    with pytest.raises(AttributeError):
        case.title = "other"
    with pytest.raises(ValueError, match="frozen"):
        case.loads.follower = False


@pytest.mark.parametrize("path", sorted({*CASES.glob("demo/*.toml")} - {CONTAINER}), ids=lambda path: path.stem)
def test_demonstration_cases_are_sound(path):
    case = read_case(path)
    assert case.analyses.run == ("LA", "LBA", "MNA", "GNA", "GMNA")
    assert case.analyses.wave_numbers == (0, 40)
    required = 0.62 if case.loads.increasing.is_pressure else 800.0
    assert case.required_load == pytest.approx(required, rel=1e-3)
    assert path.read_text().startswith("#:schema ../case.schema.json\n")
    assert "INVENTED" in path.read_text()


def test_schema_file_is_fresh():
    """When the keys change on purpose: scripts/schema."""
    assert (CASES / "case.schema.json").read_text() == schema_text()


def test_schema_lists_every_key_that_the_reader_accepts():
    shapes = case_schema()["properties"]["shape"]["oneOf"]
    assert [shape["properties"]["family"]["const"] for shape in shapes] == list(FAMILIES)
    cap = next(shape for shape in shapes if shape["properties"]["family"]["const"] == "spherical_cap")
    assert {"radius_mm", "radius_in", "half_angle_rad", "thickness_um"} <= set(cap["properties"])
    assert "radius" not in cap["properties"]
    for key in cap["properties"]:
        if key.startswith("radius_"):
            scale = {"mm": 50.8, "in": 2.0, "m": 0.0508, "cm": 5.08, "um": 50800.0}[key.removeprefix("radius_")]
            shape = {"family": "spherical_cap", key: scale, "half_angle_deg": 30.0, "thickness_mm": 0.254}
            assert case_from_dict({**CAP, "shape": shape}).input_hash == case_from_dict(CAP).input_hash
