"""Every registered formula: complete statement, sound dimensions, and the way its value moves with its arguments."""

import ast
import math
import re
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buckle.case.models import Edge
from buckle.formulas.base import Answers, Standing
from buckle.formulas.registry import FORMULAS
from tests.helpers.paths import ROOT

EXAMPLES = {name: dict(rule.example) for name, rule in FORMULAS.items()}
UNITS = {"MPa": "stress", "mm": "length", "N": "force", "-": "number"}
every_formula = pytest.mark.parametrize("name", list(FORMULAS))


def scaled(name, lengths=1.0, stresses=1.0):
    """The example's arguments with all lengths and all stresses and pressures multiplied."""
    by = {
        "length": lengths,
        "volume": lengths**3,
        "stress": stresses,
        "pressure": stresses,
        "force": lengths**2 * stresses,
    }
    arguments = FORMULAS[name].arguments
    return {key: value * by.get(arguments[key].dimension, 1.0) for key, value in EXAMPLES[name].items()}


@every_formula
def test_example_names_arguments(name):
    rule = FORMULAS[name]
    needed = {key for key, argument in rule.arguments.items() if argument.default is None}
    assert needed <= set(rule.example) <= set(rule.arguments)


@cache
def called_in_tests() -> set[str]:
    """Rules that a test of values calls, as 'module.function', and texts in them, which may be a rule's name."""
    found: set[str] = set()
    for path in (*(ROOT / "tests/verification").glob("test_*.py"), *(ROOT / "tests/formulas").glob("test_*.py")):
        if path == Path(__file__):
            continue
        tree = list(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
        modules = {
            each.asname or each.name: f"{node.module}.{each.name}"
            for node in tree
            if isinstance(node, ast.ImportFrom)
            for each in node.names
        }
        found |= {each.value for each in tree if isinstance(each, ast.Constant) and isinstance(each.value, str)}
        found |= {
            f"{modules[each.value.id]}.{each.attr}"
            for each in tree
            if isinstance(each, ast.Attribute) and isinstance(each.value, ast.Name) and each.value.id in modules
        }
    return found


@every_formula
def test_value_is_held_by_a_test(name):
    """The tests here know no formula's value: each must be called by one that does, in tests/verification or beside."""
    work = FORMULAS[name].work
    assert {name, f"{work.__module__}.{work.__name__}"} & called_in_tests()


def test_list_is_by_body_and_each_name_once():
    bodies = [rule.statement.body for rule in FORMULAS.values()]
    assert bodies == sorted(bodies)
    # 90 when the list was found by itself for the first time: a file that is moved out of sight loses some
    assert len(FORMULAS) >= 90


@every_formula
def test_statement_is_complete(name):
    rule = FORMULAS[name]
    statement = rule.statement
    assert re.fullmatch(r"[a-z]+\.[a-z_]+", name)
    assert len(statement.source) > 20
    assert statement.kind in get_args(Standing)
    assert statement.answers in get_args(Answers)
    assert statement.edge in ("", *get_args(Edge))
    assert statement.body == name.partition(".")[0]
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
    **{f"edge.{name}": {"L"} for name in ("hemisphere_unequal_stress", "flat_end_stress", "flat_end_deflection")},
    **{f"edge.{name}": {"L"} for name in ("ring_edge_stress", "ring_stiffener_stress")},
    "head.asme_torisphere_thickness": {"D"},
    "head.asme_torisphere_rating": {"D"},
    "head.asme_outside_rating": {"D", "S_y"},
}


@every_formula
def test_every_argument_stands_in_the_expression(name):
    rule = FORMULAS[name]
    words = set(re.findall(r"[A-Za-z_0-9]+", rule.statement.expression))
    missing = {argument.symbol for argument in rule.arguments.values()} - words
    assert missing == ONLY_IN_RANGE.get(name, set())


@cache
def worked(name):
    """The value of the example, which each factor is held against."""
    return FORMULAS[name](**EXAMPLES[name])


def not_grown(growth, **by):
    """Formulas whose value does not grow as it should when their example's arguments are multiplied.

    Every example lies well inside its range, so that rounding cannot leave it; 1e-9 is the search for a root.
    """
    found = {name: FORMULAS[name](**scaled(name, **by)).value for name in FORMULAS}
    expected = {name: worked(name).value * growth.get(worked(name).unit, 1.0) for name in FORMULAS}
    return [name for name in FORMULAS if found[name] != pytest.approx(expected[name], rel=1e-9)]


@given(factor=st.floats(0.01, 100.0))
def test_similar_bodies_carry_the_same_stress(factor):
    """All lengths times k: pressures, stresses and numbers stay, lengths grow with k, forces with k^2."""
    assert not_grown({"mm": factor, "N": factor**2}, lengths=factor) == []


@given(factor=st.floats(0.9, 1.1))
def test_stiffer_and_stronger_metal_carries_proportionally_more(factor):
    """All moduli, yield stresses, pressures and forces times k: stresses and forces grow with k, the rest stays."""
    assert not_grown({"MPa": factor, "N": factor}, stresses=factor) == []


THICKER_IS_STRONGER = [
    name
    for name in EXAMPLES
    if "thickness" in EXAMPLES[name]
    and FORMULAS[name].statement.unit in ("MPa", "N")
    and "pressure" not in EXAMPLES[name]
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
    "EN 1999-1-5": r"EN 1999-1-5:2007",
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
