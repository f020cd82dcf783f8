"""Every registered formula: complete statement, sound dimensions, and the way its value moves with its arguments."""

import math
import re
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckle.formulas.registry import FORMULAS
from tests.helpers.formula_examples import MORE, MORE_ONLY_IN_RANGE

METAL = {"youngs_modulus": 69e3, "poissons_ratio": 0.33}
SHELL = {**METAL, "radius": 45.7, "thickness": 0.27}
CAP = {**METAL, "radius": 120.0, "thickness": 0.27}
CYLINDER = {**METAL, "radius": 33.0, "thickness": 0.105, "length": 90.0}
PLATE = {**METAL, "radius": 22.0, "thickness": 0.5, "pressure": 0.01}
YIELDING = {"yield_stress": 258.0, "radius": 45.7, "thickness": 0.27}
ENDED = {"pressure": 0.62, "poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105, "length": 90.0}
DOME = {**SHELL, "yield_stress": 258.0, "quality": 25.0}

EXAMPLES = {
    "sphere.classical_pressure": SHELL,
    "sphere.thin_shell_pressure": SHELL,
    "sphere.shear_flexible_pressure": SHELL,
    "sphere.squash_pressure": YIELDING,
    "sphere.burst_swift": {**YIELDING, "offset": 0.01, "exponent": 0.2},
    "sphere.burst_voce": {**YIELDING, "increment": 37.0, "rate": 40.0},
    "cap.parameter": {"poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.27, "half_angle": 0.48},
    "cap.clamped_limit_point": {**CAP, "half_angle": 0.14},
    "cap.clamped_bifurcation": {**CAP, "half_angle": 0.3},
    "cap.hinged_limit_point": {**CAP, "half_angle": 0.14},
    "cap.hinged_bifurcation": {**CAP, "half_angle": 0.3},
    "cap.lower_bound": {**CAP, "half_angle": 0.3},
    "capacity.two_term": {"elastic_pressure": 1.86, "plastic_pressure": 3.05},
    "capacity.curve": {
        "elastic_pressure": 1.86,
        "plastic_pressure": 3.05,
        "alpha": 0.5,
        "beta": 0.6,
        "eta": 1.0,
        "squash_limit": 0.2,
    },
    "capacity.dome_clamped": DOME,
    "capacity.dome_hinged": DOME,
    "cylinder.circumferential_stress": {"pressure": 0.62, "radius": 33.0, "thickness": 0.105},
    "cylinder.meridional_stress": {"pressure": 0.62, "radius": 33.0, "thickness": 0.105},
    "cylinder.axial_stress": CYLINDER,
    "cylinder.axial_knock_down": {"radius": 33.0, "thickness": 0.105},
    "cylinder.hydrostatic_pressure": CYLINDER,
    "cylinder.lateral_pressure": CYLINDER,
    "cylinder.short_form_pressure": CYLINDER,
    "cylinder.long_tube_pressure": SHELL,
    "plate.clamped_deflection": PLATE,
    "plate.supported_deflection": {**PLATE, "pressure": 0.003},
    "plate.clamped_edge_stress": PLATE,
    "plate.supported_centre_stress": {**PLATE, "pressure": 0.003},
    "plate.clamped_fixed_large_deflection": {**PLATE, "pressure": 0.2},
    "plate.clamped_sliding_large_deflection": {**PLATE, "pressure": 0.2},
    "plate.hinged_fixed_large_deflection": {**PLATE, "pressure": 0.2},
    "plate.hinged_sliding_large_deflection": {**PLATE, "pressure": 0.2},
    "plate.supported_limit": YIELDING,
    "plate.clamped_limit": YIELDING,
    "tube.open_limit": YIELDING,
    "tube.closed_limit": YIELDING,
    "stand.base_rolling": {
        "yield_stress": 258.0,
        "hardening_increment": 37.0,
        "hardening_rate": 40.0,
        "youngs_modulus": 69e3,
        "poissons_ratio": 0.33,
        "stand_radius": 24.13,
        "nose_radius_inner": 1.66,
        "nose_radius_outer": 1.66,
        "thickness": 0.27,
        "inner_leg_angle": 0.105,
        "leg_length": 1.99,
        "dome_corner_radius": 2.3,
        "dome_radius": 45.7,
        "dome_half_angle": 0.4785,
        "outer_leg_angle": 0.489,
        "outer_leg_length": 1.2,
    },
    "stand.countersink_rolling": {
        "yield_stress": 335.0,
        "hardening_increment": 45.0,
        "hardening_rate": 40.0,
        "thickness": 0.2235,
        "ring_radius": 23.79,
        "countersink_radius": 0.62,
        "panel_radius": 0.5,
        "panel_depth": 2.286,
        "chuck_wall_angle": 0.209,
        "chuck_wall_length": 3.8,
    },
    "edge.decay_length": {"poissons_ratio": 0.33, "radius": 33.0, "thickness": 0.105},
    "edge.clamped_end_stress": ENDED,
    "edge.hemisphere_junction_stress": ENDED,
    **MORE,
}
UNITS = {"MPa": "stress", "mm": "length", "-": "number"}
every_formula = pytest.mark.parametrize("name", list(FORMULAS))


def scaled(name, lengths=1.0, stresses=1.0):
    """The example's arguments with all lengths and all stresses and pressures multiplied."""
    by = {"length": lengths, "stress": stresses, "pressure": stresses}
    arguments = FORMULAS[name].arguments
    return {key: value * by.get(arguments[key].dimension, 1.0) for key, value in EXAMPLES[name].items()}


def test_every_formula_has_an_example():
    assert set(EXAMPLES) == set(FORMULAS)


@every_formula
def test_statement_is_complete(name):
    rule = FORMULAS[name]
    statement = rule.statement
    assert re.fullmatch(r"[a-z]+\.[a-z_]+", name)
    assert len(statement.source) > 20
    assert statement.kind in {"theory", "lower bound", "fit", "mechanism estimate", "design form"}
    assert statement.ignores
    assert all(statement.ignores)
    assert "=" in statement.expression
    assert statement.validity
    assert statement.unit in UNITS
    assert rule.about.endswith(".")


@every_formula
def test_example_is_in_range_and_finite(name):
    result = FORMULAS[name](**EXAMPLES[name])
    assert result.in_range, result.reason
    assert math.isfinite(result.value)
    assert result.value > 0.0
    assert all(math.isfinite(quantity.value) for quantity in (*result.inputs, *result.steps))


@every_formula
def test_symbols_are_used_once(name):
    result = FORMULAS[name](**EXAMPLES[name])
    symbols = [quantity.symbol for quantity in (*result.inputs, *result.steps)]
    assert len(symbols) == len(set(symbols))


# What only decides whether a formula applies need not stand in its expression.
ONLY_IN_RANGE = {
    "cylinder.axial_stress": {"L"},
    "edge.clamped_end_stress": {"L"},
    "edge.hemisphere_junction_stress": {"L"},
    "plate.clamped_edge_stress": {"E", "nu"},
    "plate.supported_centre_stress": {"E"},
    **MORE_ONLY_IN_RANGE,
}


@every_formula
def test_every_argument_stands_in_the_expression(name):
    rule = FORMULAS[name]
    words = set(re.findall(r"[A-Za-z_0-9]+", rule.statement.expression))
    missing = {argument.symbol for argument in rule.arguments.values()} - words
    assert missing == ONLY_IN_RANGE.get(name, set())


@every_formula
@given(factor=st.floats(0.01, 100.0))
def test_similar_bodies_carry_the_same_stress(name, factor):
    """All lengths times k: pressures, stresses and numbers stay, lengths grow with k."""
    before, after = FORMULAS[name](**EXAMPLES[name]), FORMULAS[name](**scaled(name, lengths=factor))
    expected = before.value * (factor if before.unit == "mm" else 1.0)
    # Every example lies well inside its range, so that rounding cannot leave it; 1e-9 is the search for a root.
    assert after.value == pytest.approx(expected, rel=1e-9)


@every_formula
@given(factor=st.floats(0.9, 1.1))
def test_stiffer_and_stronger_metal_carries_proportionally_more(name, factor):
    """All moduli, yield stresses and pressures times k: stresses grow with k, lengths and numbers stay."""
    before, after = FORMULAS[name](**EXAMPLES[name]), FORMULAS[name](**scaled(name, stresses=factor))
    expected = before.value * (factor if before.unit == "MPa" else 1.0)
    assert after.value == pytest.approx(expected, rel=1e-9)


THICKER_IS_STRONGER = [
    name
    for name in EXAMPLES
    if "thickness" in EXAMPLES[name] and FORMULAS[name].statement.unit == "MPa" and "pressure" not in EXAMPLES[name]
]


@pytest.mark.parametrize("name", THICKER_IS_STRONGER)
def test_capacity_grows_with_thickness(name):
    values = [
        FORMULAS[name](**{**EXAMPLES[name], "thickness": EXAMPLES[name]["thickness"] * share}).value
        for share in (0.97, 0.985, 1.0, 1.015, 1.03)
    ]
    assert all(thin < thick for thin, thick in pairwise(values))


@pytest.mark.parametrize("name", [name for name in EXAMPLES if "pressure" in EXAMPLES[name]])
def test_response_grows_with_pressure(name):
    values = [
        FORMULAS[name](**{**EXAMPLES[name], "pressure": EXAMPLES[name]["pressure"] * share}).value
        for share in (0.5, 0.8, 0.9, 1.0)
    ]
    assert all(low < high for low, high in pairwise(values))


@pytest.mark.parametrize("edge", ["clamped_fixed", "clamped_sliding", "hinged_fixed", "hinged_sliding"])
def test_large_deflection_grows_all_the_way(edge):
    rule = FORMULAS[f"plate.{edge}_large_deflection"]
    loads = [10.0 ** (0.02 * k) for k in range(-100, 101)]
    values = [
        rule(pressure=q, youngs_modulus=1e4, poissons_ratio=0.33, radius=10.0, thickness=1.0).value for q in loads
    ]
    assert all(low < high for low, high in pairwise(values))


@given(elastic=st.floats(0.1, 10.0), plastic=st.floats(0.6, 10.0))
def test_interaction_lies_below_both(elastic, plastic):
    result = FORMULAS["capacity.two_term"](elastic_pressure=elastic, plastic_pressure=plastic)
    assert result.value < min(elastic, plastic)


def test_capacity_curve_is_continuous_and_falls():
    rule = FORMULAS["capacity.curve"]
    values = [
        rule(elastic_pressure=1.0 / s**2, plastic_pressure=1.0, alpha=0.5, beta=0.6, eta=1.3, squash_limit=0.2).value
        for s in [0.01 * k for k in range(10, 300)]
    ]
    steps = [high - low for high, low in pairwise(values)]
    assert min(steps) >= 0.0
    assert max(steps) < 0.02


def test_forms_of_standards_say_that_they_are_no_statement():
    forms = [
        rule.statement
        for name, rule in FORMULAS.items()
        if re.search(r"\.(en|asme|form)_|^capacity\.(?!two_term)", name) or rule.statement.kind == "design form"
    ]
    assert len(forms) > 15
    for statement in forms:
        said = " ".join((*statement.ignores, *statement.conditions))
        assert "design form, never a statement of compliance" in said, statement.name
    assert not any("complies" in rule.statement.validity + rule.about for rule in FORMULAS.values())


# What sources say of themselves ---------------------------------------------------------------------------------------

EDITIONS = {
    "EN 1993-1-6": r"EN 1993-1-6:20(07|25)",
    "EN 13445-3": r"2002 to 2021",
    "ASME BPVC": r"edition",
    "DNV-RP-C202": r"edition not known",
    "SP-8007": r"NASA/SP-8007-2020/REV 2",
    "SP-8032": r"1969",
}
"""Standards and reports by what their mention must bring along: an edition, or that it is not known."""


@pytest.mark.parametrize("name", FORMULAS)
def test_standards_are_named_with_their_edition(name):
    source = FORMULAS[name].statement.source
    for standard, edition in EDITIONS.items():
        assert standard not in source or re.search(edition, source), standard


def test_every_standard_is_named_by_some_formula():
    """Or the test above would test nothing."""
    sources = " ".join(rule.statement.source for rule in FORMULAS.values())
    assert [standard for standard in EDITIONS if standard not in sources] == []


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("cylinder.medium_pressure", "NACA report 479, 1933, which is on torsion"),
        ("head.asme_outside_rating", "B/S_y = 0.4, a judgement without a source"),
        ("head.en_ellipsoid_rating", "K starts at 0.5/0.28 = 1.786"),
        ("cylinder.axial_knock_down", "equations 9 and 10 (read)"),
        ("cylinder.lateral_lower_bound", "0.75 is the root of gamma"),
        ("cylinder.long_tube_lower_bound", "(read): gamma is 0.90"),
    ],
)
def test_sources_say_what_they_are(name, words):
    assert words in FORMULAS[name].statement.source
