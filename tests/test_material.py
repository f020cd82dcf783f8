"""Hardening laws against their formulas, and the shipped grades against their own account of themselves."""

import re

import numpy as np
import pytest

from buckle.case import case_from_dict
from buckle.material import (
    Material,
    grades,
    linear_hardening,
    ramberg_osgood,
    swift_hardening,
    table_hardening,
    voce_hardening,
)

LAWS = [
    linear_hardening(262.0, 700.0),
    voce_hardening(262.0, 38.0, 40.0),
    swift_hardening(262.0, 0.01, 0.1),
    table_hardening((0.0, 0.05, 0.2), (262.0, 290.0, 310.0)),
]
QUANTITIES = {"youngs_modulus", "poissons_ratio", "density", "yield_stress", "hardening"}


@pytest.mark.parametrize("law", LAWS, ids=lambda law: type(law).__name__)
def test_slope_is_the_derivative_of_the_stress(law):
    """Central difference; 1e-7 is its truncation for steps of 1e-5 of these smooth laws."""
    strain = np.array([0.01, 0.03, 0.1])
    step = 1e-5
    difference = (law.stress_and_slope(strain + step)[0] - law.stress_and_slope(strain - step)[0]) / (2 * step)
    assert law.stress_and_slope(strain)[1] == pytest.approx(difference, rel=1e-6)


@pytest.mark.parametrize("law", LAWS, ids=lambda law: type(law).__name__)
def test_flow_starts_at_the_yield_stress(law):
    assert law.stress_and_slope(np.zeros(1))[0] == pytest.approx([262.0], rel=1e-15)
    assert law.yield_stress == 262.0


def test_ramberg_osgood_passes_through_its_proof_stress():
    """eps_p = 0.002 (sigma/yield)^n by hand; straight chords between 241 points err by less than 1e-5."""
    law = ramberg_osgood(258.0, 30.0)
    strain = np.array([1e-4, 0.002, 0.05])
    assert law.stress_and_slope(strain)[0] == pytest.approx(258.0 * (strain / 0.002) ** (1 / 30), rel=1e-5)


def test_table_is_level_beyond_its_last_point():
    stress, slope = LAWS[3].stress_and_slope(np.array([0.5]))
    assert (stress[0], slope[0]) == (310.0, 0.0)


def test_elastic_constants():
    material = Material(69e3, 0.33, hardening=LAWS[1])
    assert material.shear_modulus == pytest.approx(69e3 / 2.66, rel=1e-15)
    flow = material.ideal_plastic().hardening
    assert flow.yield_stress == 262.0
    assert (
        flow.stress_and_slope(np.zeros(1))[1] <= 1e-8 * material.youngs_modulus
    )  # ideal but for what keeps the equations solvable


@pytest.mark.parametrize("grade", grades().values(), ids=lambda grade: grade.name)
def test_every_number_of_a_grade_names_its_source(grade):
    stated = {key.split("_MPa")[0].split("_GPa")[0].split("_kg")[0] for key in grade.values}
    assert set(grade.sources) == stated
    assert QUANTITIES <= stated <= QUANTITIES | {"uniform_strain"}
    assert all(len(source) > 8 for source in grade.sources.values())
    assert grade.about


@pytest.mark.parametrize("name", grades())
def test_every_grade_makes_a_material(name):
    """Sheet metal: 0.1 to 0.5 % elastic strain at yield, a sound speed of 5.0 to 5.2 km/s."""
    tables = {
        "material": {"grade": name},
        "shape": {"family": "circular_plate", "radius_mm": 50, "thickness_mm": 0.2},
        "supports": {"outer_edge": "clamped"},
        "loads": {"pressure_side": "inside"},
        "analyses": {"run": ["GMNA"]},
    }
    material = case_from_dict(tables).material
    assert 1e-3 < material.hardening.yield_stress / material.youngs_modulus < 6e-3
    assert 5.0e3 < np.sqrt(material.youngs_modulus * 1e6 / material.density) < 5.2e3


def test_hardening_ends_at_the_true_tensile_strength_that_the_source_names():
    """The rule stated in grades.toml, worked out: tensile strength x (1 + uniform strain) less the yield stress."""
    stated = {
        "AL-3104-H19-baked": 285 * 1.04,
        "AL-3104-H19": 305 * 1.02,
        "AL-ironed-wall": 310 * 1.02,
        "AL-5182-H48-coated": 382 * 1.06,
        "AL-5182-H19": 420 * 1.04,
        "TIN-DWI-sheet": 365 * 1.20,
        "TIN-DR-TH550": 565 * 1.01,
        "TIN-DR-TH620": 625 * 1.01,
    }
    for name, strength in stated.items():
        values = grades()[name].values
        assert values["yield_stress_MPa"] + values["hardening"]["increment_MPa"] == pytest.approx(strength, abs=0.6), (
            name
        )


@pytest.mark.parametrize(
    ("name", "word", "proof", "tensile"),
    [
        ("TIN-DWI-sheet", "TS260", 260.0, 360.0),
        ("TIN-DR-TH550", "TH550", 550.0, 575.0),
        ("TIN-DR-TH620", "TH620", 620.0, 625.0),
    ],
)
def test_steel_that_is_named_after_en_10202_has_its_strength(name, word, proof, tensile):
    """Proof and tensile strength as read in public copies; 10 MPa, a fifth of the standard's +-50, is our choice."""
    grade = grades()[name]
    assert word in grade.sources["yield_stress"]
    assert "read" in grade.sources["yield_stress"]
    stated = float(re.search(r"Voce to (\d+) MPa tensile", grade.sources["hardening"])[1])
    assert grade.values["yield_stress_MPa"] == pytest.approx(proof, abs=10.0)
    assert stated == pytest.approx(tensile, abs=10.0)
