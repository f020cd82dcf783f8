"""`buckle formula` as a user meets it: the list, a sheet, wrong input in the words of a case file, numbers put in."""

import json
import math
import re

import pytest

from buckle.cli import main
from buckle.commands.codes import MET, WRONG_INPUT
from buckle.formulas.registry import FORMULAS
from buckle.report.notation.substitution import numbers_put_in
from buckle.units import UNITS
from tests.formulas.test_registry import EXAMPLES

SPHERE = ["radius_mm=45.7", "thickness_in=0.0106", "youngs_modulus_GPa=69", "poissons_ratio=0.33"]
NAME = "sphere.classical_pressure"


def said(capsys, *words: str) -> str:
    assert main(["formula", *words]) == MET
    printed = capsys.readouterr()
    assert printed.err == ""
    return printed.out


def refused(capsys, *words: str) -> str:
    assert main(["formula", *words]) == WRONG_INPUT
    printed = capsys.readouterr()
    assert printed.out == ""
    return printed.err


def test_the_list_has_every_formula(capsys):
    out = said(capsys)
    assert set(re.findall(r"[a-z]+\.[a-z_]+", out)) >= set(FORMULAS)


def test_a_body_lists_its_part(capsys):
    out = said(capsys, "sphere")
    assert NAME in out
    assert "cap.parameter" not in out


def test_the_sheet_has_all_that_a_reviewer_asks_for(capsys):
    """By hand: 2 * 69000 * (0.26924 / 45.7)^2 / sqrt(3 * 0.8911) = 2.92956 MPa."""
    out = said(capsys, NAME, *SPHERE)
    content = " ".join(out.split())
    for part in (
        "p = 2 E (t/R)^2 / sqrt(3 (1 - nu^2))",
        "E = 69000 MPa youngs_modulus",
        "t = 0.26924 mm thickness",
        "p = 2 * 69000 * (0.26924/45.7)^2 / sqrt(3 * (1 - 0.33^2)) = 2.92956 MPa",
        "R/t = 169.737",
        "29.2956 bar = 2.92956 MPa",
        "20 <= R/t: met",
        "theory",
        "Zoelly",
        "- yielding",
        "Screening result",
    ):
        assert part in content, part


@pytest.mark.parametrize(("unit", "value"), [("psi", "424.896 psi"), ("MPa", "2.92956 MPa"), ("kPa", "2929.56 kPa")])
def test_pressures_in_the_unit_asked_for(capsys, unit, value):
    assert f"\n  {value}" in said(capsys, NAME, *SPHERE, "--pressure-unit", unit)


def test_a_stress_keeps_its_unit(capsys):
    words = ["cylinder.circumferential_stress", "pressure_bar=6.2", "radius_mm=33", "thickness_mm=0.105"]
    out = said(capsys, *words)
    assert "\n  194.857 MPa\n" in out
    assert "bar" not in out.partition("Value")[2].partition("Range")[0]


def test_outside_its_range_the_sheet_says_why_and_the_exit_code_is_nought(capsys):
    out = said(capsys, NAME, "radius_mm=45.7", "thickness_in=1", "youngs_modulus_GPa=69", "poissons_ratio=0.33")
    assert "out of range: R/t = 1.79921 is outside 20 <= R/t" in out
    assert "20 <= R/t: NOT MET with R/t = 1.79921" in out
    assert "With numbers" in out


@pytest.mark.parametrize(
    ("words", "lines"),
    [
        (["sphere.clasical_pressure"], ["unknown formula, did you mean 'sphere.classical_pressure'?"]),
        (
            ["nonsense", "a=1"],
            ["nonsense: unknown formula; allowed: names from the list of blank, cap, capacity, cone, crush, cylinder,"],
        ),
        ([NAME, *SPHERE, "radius_in=1.8"], ["radius_in: one quantity in two units", "radius_mm"]),
        ([NAME, *SPHERE[:1], "thicknes_in=0.0106", *SPHERE[2:]], ["thicknes_in: unknown key, did you mean"]),
        ([NAME, *SPHERE[1:], "radius=45.7"], ["radius: a key with a dimension ends in its unit"]),
        ([NAME, *SPHERE[1:], "radius_furlong=45.7"], ["radius_furlong: unknown unit 'furlong' of length"]),
        ([NAME, *SPHERE[:3]], ["poissons_ratio: missing"]),
        ([NAME, *SPHERE[:3], "poissons_ratio=a third"], ["poissons_ratio: must be a number; got 'a third'"]),
        ([NAME, *SPHERE[:3], "poissons_ratio=0.5"], ["poissons_ratio: out of range; got 0.5; allowed: < 0.5"]),
        ([NAME, *SPHERE[:3], "poissons_ratio=nan"], ["poissons_ratio: must be a finite number"]),
        ([NAME, *SPHERE[1:], "radius_mm=-45.7"], ["radius_mm: out of range; got -45.7; allowed: > 0 mm"]),
        ([NAME, *SPHERE, "radius_mm=45"], ["radius_mm: given twice; got '45'"]),
        ([NAME, *SPHERE, "loose"], ["loose: is not KEY=VALUE"]),
        ([NAME, *SPHERE[1:], "radius_m=1e5"], ["radius_m: out of all proportion, check the unit"]),
        (
            [NAME],
            [
                "youngs_modulus_MPa: missing; allowed: youngs_modulus_MPa, youngs_modulus_GPa",
                "radius_mm: missing; allowed: radius_mm, radius_in",
            ],
        ),
        (["cylinder.long_tube_pressure", *SPHERE, "wave_number=2.5"], ["wave_number: Input should be a multiple of 1"]),
    ],
)
def test_wrong_input_in_the_words_of_a_case_file(capsys, words, lines):
    err = refused(capsys, *words)
    for line in lines:
        assert line in err
    assert "Traceback" not in err


def test_every_fault_is_said_at_once(capsys):
    assert len(refused(capsys, NAME, "radius_mm=-1", "poissons_ratio=7", "loose").splitlines()) == 5


def test_a_default_may_be_left_out(capsys):
    content = json.loads(said(capsys, "cylinder.long_tube_pressure", *SPHERE, "--json", "-"))
    assert {"symbol": "n", "value": 2.0, "unit": "-"} in content["inputs"]


def test_quiet_prints_nothing_and_json_goes_to_a_file(capsys, tmp_path):
    path = tmp_path / "out.json"
    assert said(capsys, NAME, *SPHERE, "--quiet", "--json", str(path)) == ""
    content = json.loads(path.read_text())
    assert (
        content["value"]
        == FORMULAS[NAME](youngs_modulus=69e3, poissons_ratio=0.33, radius=45.7, thickness=0.26924).value
    )
    assert content["unit"] == "MPa"
    assert content["in_range"] is True
    entries = json.loads(said(capsys, "--json", "-"))
    assert [entry["name"] for entry in entries] == list(FORMULAS)
    assert next(each for each in entries if each["name"] == NAME)["keys"]["radius"][0] == "radius_mm"


def settings(name: str) -> list[str]:
    """The example of a formula as words of the command line."""
    words = []
    for key, value in EXAMPLES[name].items():
        dimension = FORMULAS[name].arguments[key].dimension
        suffix = "" if dimension is None else "_" + FORMULAS[name].arguments[key].unit
        assert dimension is None or suffix[1:] in UNITS[dimension]
        words.append(f"{key}{suffix}={value!r}")
    return words


@pytest.mark.parametrize("name", list(FORMULAS))
def test_every_formula_prints_its_example(name, capsys):
    content = json.loads(said(capsys, name, *settings(name), "--json", "-"))
    assert content["value"] == FORMULAS[name](**EXAMPLES[name]).value
    assert "complies" not in said(capsys, name, *settings(name))


# Numbers put in -------------------------------------------------------------------------------------------------------

NAMES = {
    "sqrt": math.sqrt,
    "exp": math.exp,
    "ln": math.log,
    "log10": math.log10,
    "abs": abs,
    "max": max,
    "min": min,
    "pi": math.pi,
    "sin": math.sin,
    "cos": math.cos,
    "tan": math.tan,
    "arccos": math.acos,
}


def worked_by_hand(clause: str) -> float:
    """The right side of 'x = ...' worked out by Python, which shares no code with the formula."""
    right = clause.partition(" = ")[2].replace("^", "**").replace("{", "(").replace("}", ")")
    right = right.replace("[", "(").replace("]", ")")
    return eval(right, {"__builtins__": {}}, NAMES)


@pytest.mark.parametrize("name", list(FORMULAS))
def test_the_numbers_put_in_give_the_value(name):
    """What the sheet shows as arithmetic is what was computed; 1e-4 covers six printed digits and what they cancel."""
    worked = FORMULAS[name](**EXAMPLES[name])
    steps = {quantity.symbol: quantity.value for quantity in worked.steps}
    first = worked.expression.partition(" = ")[0]
    lines = numbers_put_in(worked)
    for line in lines:
        left = line.partition(" = ")[0]
        if left in steps:
            assert worked_by_hand(line) == pytest.approx(steps[left], rel=1e-4), line
        elif left == first:
            value = 1.0 / worked.value if left == "1/p" else worked.value
            assert worked_by_hand(line) == pytest.approx(value, rel=1e-4), line


def test_most_formulas_show_their_arithmetic():
    shown = [name for name in FORMULAS if numbers_put_in(FORMULAS[name](**EXAMPLES[name]))]
    assert len(shown) > 0.6 * len(FORMULAS), set(FORMULAS) - set(shown)


def test_the_sheet_goes_from_the_numbers_put_in_to_the_value(capsys):
    """Steps stand above what needs them, each with its result; what no clause explains is listed after them."""
    words = ["sphere.shallow_dimple_pressure", "youngs_modulus_GPa=69", "poissons_ratio=0.33", "radius_mm=45.7"]
    out = said(capsys, *words, "thickness_mm=0.1", "dent_angle_deg=2.5", "dent_depth_um=4")
    block = out.partition("With numbers\n")[2].partition("Value")[0]
    lines = [line.strip() for line in block.splitlines()]
    assert lines[0].startswith("p_cl = 2 * 69000 * ")
    assert lines[0].endswith(" = 0.404132 MPa")
    assert next(line for line in lines if line.startswith("p = ")) == "p = 0.404132 / (1 + 0.197529) = 0.337471 MPa"
    also = lines[lines.index("Also worked out") :]
    assert any(re.fullmatch(r"y\s+= 0.197529", line) for line in also)
    assert not any(line.startswith("p_cl") for line in also)


def test_angles_of_a_range_are_in_degrees_as_they_are_given(capsys):
    """phi <= pi / 2 of the lower bound; 27 degrees come back as they were put in."""
    words = ["cap.lower_bound", "youngs_modulus_GPa=69", "poissons_ratio=0.33", "radius_mm=45.7", "thickness_mm=0.27"]
    assert "phi <= 90 deg: met with phi = 27 deg" in said(capsys, *words, "half_angle_deg=27")


def test_a_calculation_that_stops_says_what_was_not_reached(capsys):
    words = ["plate.annular_clamped_stress", "pressure_bar=0.1", "youngs_modulus_GPa=69", "poissons_ratio=0.33"]
    out = said(capsys, *words, "radius_mm=22", "hole_radius_mm=30", "thickness_mm=0.5")
    assert "out of range: b/a = 1.36364 is outside" in out
    assert "w_b/t <= 0.2: not reached" in out
