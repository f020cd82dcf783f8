"""Written formulas on the margin sheet: read, typeset, and worked out with nothing but what stands there."""

import math
import re
from dataclasses import replace
from xml.etree import ElementTree

import pytest

from buckle.expression.tree import Relation, Symbol, Words
from buckle.formulas.base import Formula, Quantity
from buckle.formulas.registry import FORMULAS
from buckle.increasing import PRESSURE, PUSH, Increasing
from buckle.margins import Judgement, Margin, Verdict
from buckle.margins.margin import Hand
from buckle.record.margins import margin_rows
from buckle.record.quantities import plain_mapping
from buckle.record.sheet.hand import Beside, beside_of
from buckle.report.notation.expression import LETTERS, put_in, read, text_of, value_of
from buckle.report.notation.mathml import mathml
from buckle.report.notation.substitution import clauses
from buckle.report.notation.units import INCH, exponents, unit_of, unit_text
from buckle.report.sheet.hand import checks_read, in_system, numbers_read, worked_lines
from buckle.units import RECORDED, Units
from tests.formulas.test_registry import EXAMPLES

INCHES = Units("psi", "in")
SHELL = {"youngs_modulus": 69e3, "poissons_ratio": 0.33, "radius": 45.7, "thickness": 0.27}
CLAUSES = sorted({clause for rule in FORMULAS.values() for clause in clauses(rule.statement.expression)})


def value(text: str, **numbers: float) -> float | None:
    (node,) = read(text, frozenset(numbers))
    return value_of(node, numbers)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2 3", 6.0),
        ("12 / 2 3", 18.0),  # products and quotients from left to right
        ("1.5 a/b", 1.5 * 5.0 / 4.0),
        ("a / (2 b)", 5.0 / 8.0),
        ("a - b - 1", 0.0),
        ("-a + b", -1.0),
        ("2 a^2", 50.0),
        ("(a b)^(1/2)", math.sqrt(20.0)),
        ("[a - {b / 2}] 2", 6.0),
        ("sqrt(a b) + exp(-a) + ln(b) + log10(100)", math.sqrt(20.0) + math.exp(-5.0) + math.log(4.0) + 2.0),
        ("max(a, b, 3) - min(a, b)", 1.0),
        ("arccos(0) + sin(pi/2)", math.pi / 2.0 + 1.0),
        ("1e-3 a", 5e-3),
        ("P(a, b) 2", 14.0),  # a function from a table is known by its value
    ],
)
def test_arithmetic(text: str, expected: float) -> None:
    assert value(text, a=5.0, b=4.0, P=7.0) == pytest.approx(expected, rel=1e-15)


@pytest.mark.parametrize("text", ["1 / (a - 5)", "sqrt(-a)", "(-a)^0.5", "ln(a - 5)", "a c", "exp(1000 a)"])
def test_what_has_no_value_has_none(text: str) -> None:
    assert value(text, a=5.0) is None


@pytest.mark.parametrize("text", ["p = (2", "= ", "a + ", ") (", "2 ^ ^ 3", "p = 5 $", "", "f(a b"])
def test_what_is_no_formula_is_kept_as_it_stands(text: str) -> None:
    try:
        text_read = " ".join(map(text_of, read(text)))
    except IndexError:
        pytest.fail("read past the end")
    assert text_read.replace(" ", "") == text.replace(" ", "")


@pytest.mark.parametrize("clause", CLAUSES)
def test_no_word_and_no_sign_of_a_statement_is_lost(clause: str) -> None:
    text_read = " ".join(map(text_of, read(clause, LETTERS)))
    assert text_read.replace(" ", "").replace("*", "") == clause.replace(" ", "").replace("*", "")


@pytest.mark.parametrize("clause", CLAUSES)
def test_mathml_is_well_formed_and_says_the_same(clause: str) -> None:
    tree = ElementTree.fromstring(f"<root>{mathml(clause)}</root>")
    text_read = " ".join(math.get("alttext", "") for math in tree)
    assert text_read.replace(" ", "").replace("*", "") == clause.replace(" ", "").replace("*", "")
    assert {each.tag for each in tree} == {"math"}


def test_mathml_of_a_fraction_an_index_and_a_power() -> None:
    made = mathml("p = 2 sigma_y (t/R)^2 / sqrt(3)")
    assert "<mfrac>" in made
    assert '<msub><mi mathvariant="normal">σ</mi><mtext>y</mtext></msub>' in made
    assert "<msqrt><mn>3</mn></msqrt>" in made
    assert "<mfrac>" not in mathml("R/t", inline=True)


def test_a_negative_number_is_put_in_with_brackets() -> None:
    (node,) = read("2 a - b^2")
    text_read = text_of(put_in(node, {"a": -3.0, "b": -4.0}))
    assert text_read == "2 * (-3) - (-4)^2"
    assert value(text_read) == -22.0


def test_prose_is_known_from_letters() -> None:
    assert [part.text for part in read("p = chi p_pl with chi = 1 up to lambda_0") if isinstance(part, Words)] == [
        "with",
        "up",
        "to",
    ]


# What a reviewer can work out -----------------------------------------------------------------------------------------


def beside(formula: Formula, increasing: Increasing = PRESSURE) -> Beside:
    """A formula as results.json tells it beside a computed pressure of 1 bar, or a force of 1 N."""
    margin = Margin("collapse", "GMNA", "limit point", 0.1, None, Verdict.FOR_COMPARISON, increasing=increasing)
    margin = replace(margin, hand=(Hand(formula, "made", None),))
    judgement = Judgement((margin,), "GMNA", ())
    row = plain_mapping(margin_rows(judgement)[1])
    return beside_of(row, 1.0, increasing.unit)


YIELDING = {"yield_stress": 258.0, "radius": 45.7, "thickness": 0.27}
CAP = {**SHELL, "radius": 120.0, "half_angle": 0.3}
EXPLICIT = {
    "sphere.classical_pressure": SHELL,
    "sphere.shear_flexible_pressure": SHELL,
    "sphere.thin_shell_pressure": SHELL,
    "sphere.squash_pressure": YIELDING,
    "cap.lower_bound": CAP,
    "cap.clamped_bifurcation": CAP,
    "capacity.dome_clamped": {**SHELL, "yield_stress": 258.0, "quality": 25.0},
    "cylinder.hydrostatic_pressure": {**SHELL, "radius": 33.0, "thickness": 0.105, "length": 90.0},
    "plate.clamped_limit": YIELDING,
    "tube.closed_limit": YIELDING,
}


@pytest.mark.parametrize("name", EXPLICIT)
def test_the_line_with_the_numbers_gives_the_value(name: str) -> None:
    """Six digits of every number leave 2e-5 of the value."""
    formula = FORMULAS[name](**EXPLICIT[name])
    lines = [line for line in worked_lines(beside(formula), RECORDED) if line.text.startswith("p = ")]
    assert [line.unit for line in lines] == ["MPa"]
    text_read, result = lines[0].text.removeprefix("p = ").rsplit(" = ", 1)
    (node,) = read(text_read)
    assert value_of(node, {}) == pytest.approx(formula.value, rel=2e-5)
    assert float(result) == pytest.approx(formula.value, rel=2e-5)


@pytest.mark.parametrize("name", EXPLICIT)
def test_a_pressure_stands_beside_its_bar_as_its_worked_line_ends(name: str) -> None:
    """A reader in bar finds the end of the line beside the value; who reads in the formula's own unit finds none."""
    hand = beside(FORMULAS[name](**EXPLICIT[name]))
    (line,) = [line for line in worked_lines(hand, RECORDED) if line.text.startswith("p = ")]
    shown, unit = in_system(hand, RECORDED).removeprefix(" (").removesuffix(")").split(" ")
    assert unit == line.unit
    assert float(shown) == pytest.approx(float(line.text.rsplit(" = ", 1)[1]), rel=2e-5)  # as of the line itself
    assert [in_system(hand, units) for units in (Units("MPa"), INCHES)] == ["", ""]


def test_what_is_no_pressure_stands_once() -> None:
    force = beside(FORMULAS["cone.axial_force"](**EXAMPLES["cone.axial_force"]), PUSH)
    assert force.value
    assert (force.unit, in_system(force, RECORDED)) == ("N", "")


def test_a_letter_that_another_line_explains_is_worked_out_first() -> None:
    lines = worked_lines(beside(FORMULAS["plate.clamped_limit"](**YIELDING)), RECORDED)
    assert [(line.text.split(" ")[0], line.unit) for line in lines] == [("M0", "N"), ("p", "MPa")]


def test_a_branch_that_holds_under_a_condition_gets_no_numbers() -> None:
    formula = FORMULAS["capacity.dome_clamped"](**EXPLICIT["capacity.dome_clamped"])
    assert not [line for line in worked_lines(beside(formula), RECORDED) if line.text.startswith("chi")]


def test_checks_of_the_range() -> None:
    inside = beside(FORMULAS["cap.lower_bound"](**CAP))
    assert [(each.text, each.met, each.value, each.unit) for each in checks_read(inside, RECORDED)] == [
        ("2 <= lambda", True, "11.394", ""),
        ("phi <= 90", True, "17.189", "deg"),
        ("100 <= R/t", True, "444.444", ""),
    ]
    assert inside.conditions == FORMULAS["cap.lower_bound"].statement.conditions
    outside = beside(FORMULAS["cap.lower_bound"](**{**CAP, "thickness": 4.0}))
    assert outside.value is None
    assert ("100 <= R/t", False) in [(each.text, each.met) for each in checks_read(outside, RECORDED)]


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_worked_line_ends_in_the_unit_that_follows_from_its_numbers(name: str) -> None:
    """The units of the numbers, carried through every formula, come out as those of its steps and of its value."""
    formula = FORMULAS[name](**EXAMPLES[name])
    hand = beside(formula)
    given = {each.symbol: each.unit for each in numbers_read(hand, RECORDED)}
    numbers = {each.symbol: each.value for each in numbers_read(hand, RECORDED)}
    for line in worked_lines(hand, RECORDED):
        assert line.unit, line.text
    for clause in clauses(formula.expression):
        match read(clause, LETTERS):
            case (Symbol(left), Relation("="), right) if (found := unit_of(right, given, numbers)) is not None:
                stated = given.get(left, formula.unit if left == formula.expression.split(" = ")[0] else found)
                assert exponents(found) == exponents(stated), clause


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("E t^3 / (12 (1 - nu^2))", "N mm"),
        ("sqrt(E sigma)", "MPa"),
        ("1/sigma", "1/MPa"),
        ("(t t)^nu", None),  # no value for nu: no unit
        ("sigma + t", None),
        ("exp(t)", None),
        ("t^sigma", None),
        ("unknown t", None),
        ("1/t^4", "1/mm4"),
        ("sigma t^2 a", "N"),  # an angle is a number
    ],
)
def test_units_are_carried_as_quantities_are(text: str, unit: str | None) -> None:
    units = {"E": "MPa", "sigma": "N/mm2", "t": "mm", "nu": "-", "a": "rad"}
    (node,) = read(text, frozenset({"unknown"}))
    assert unit_of(node, units, {}) == unit


def test_a_bare_number_says_so() -> None:
    assert [unit_text(unit) for unit in ("MPa", "-", "")] == ["MPa", "[-]", ""]


# Statements that are prose --------------------------------------------------------------------------------------------


def test_remarks_in_a_row_are_one_part_and_formulas_are_parts_of_their_own() -> None:
    text_read = "p = max of work of the chain, s = k t, of dome (R, phi), leg (L_i, a_i); C from a table"
    assert clauses(text_read) == [
        "p = max of work of the chain",
        "s = k t",
        "of dome (R, phi), leg (L_i, a_i), C from a table",
    ]


def test_prose_keeps_its_letters_and_loses_nothing() -> None:
    """A quotient of words is no formula; letters with an index, and one before the equals sign, are set as letters."""
    text_read = "p = highest of p_roll and a work / volume"
    read_back = read(text_read)
    assert [each.name for each in read_back if isinstance(each, Symbol)] == ["p", "p_roll"]
    assert " ".join(map(text_of, read_back)) == text_read


# Another system of units ----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_formula_gives_the_same_in_inches(name: str) -> None:
    """Each line worked out in in, lbf and psi is the line in mm, N and MPa.

    Six digits of inputs leave up to 2e-3 where terms nearly cancel (edge.flat_end_stress); a number in a formula that
    hides a unit would leave a factor of 25.4 or 145.
    """
    hand = beside(FORMULAS[name](**EXAMPLES[name]))
    metric, inch = (worked_lines(hand, units) for units in (RECORDED, INCHES))
    assert [line.text.split(" = ")[0] for line in metric] == [line.text.split(" = ")[0] for line in inch]
    for one, other in zip(metric, inch, strict=True):
        value, read_in = (float(line.text.rsplit(" = ", 1)[1]) for line in (one, other))
        assert read_in == pytest.approx(INCH.quantity(Quantity("", value, one.unit)).value, rel=2e-3), other.text
        assert not {"mm", "MPa", "N"} & set(re.findall("[A-Za-z]+", other.unit)), other.unit


def test_quantities_in_inches() -> None:
    """By hand: 25.4 mm are 1 in; 1 MPa is 145.038 psi; 1 N is 0.224809 lbf (NIST SP 811, appendix B)."""
    given = {"mm": 1 / 25.4, "mm2": 1 / 645.16, "MPa": 145.037738, "N": 0.22480894, "N/mm": 5.7101471, "1/mm": 25.4}
    for unit, factor in given.items():
        assert INCH.quantity(Quantity("x", 2.0, unit)).value == pytest.approx(2.0 * factor, rel=1e-7), unit
    units = [INCH.quantity(Quantity("x", 2.0, unit)).unit for unit in (*given, "rad", "-")]
    assert units == ["in", "in2", "psi", "lbf", "lbf/in", "1/in", "rad", "-"]
