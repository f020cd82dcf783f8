"""What [size] of a case must say before anything is worked out."""

import pytest

from buckle.case import case_from_dict
from buckle.errors import CaseError
from buckle.size.problem import problem_of
from tests.helpers.bodies import BASE

METAL = {"youngs_modulus_GPa": 69.0, "poissons_ratio": 0.33, "yields": False}
HEAVY = METAL | {"density_kg_per_m3": 2720}


def sized(material, **table):
    return case_from_dict(
        {
            "material": material,
            "shape": BASE,
            "supports": {"outer_edge": "clamped"},
            "loads": {"pressure_side": "inside"},
            "analyses": {"run": ["GNA"]},
            "requirements": {"pressure_bar": 6.2},
            "size": {"vary": {"shape.gauge_mm": [0.2, 0.3]}, **table},
        }
    )


@pytest.mark.parametrize(
    ("material", "table", "missing"),
    [
        (METAL, {}, ["material.density_kg_per_m3"]),
        (METAL, {"minimise": "cost"}, ["size.price_per_kg", "material.density_kg_per_m3"]),
        (METAL, {"minimise": "cost", "price_per_kg": 3.0}, ["material.density_kg_per_m3"]),
        (HEAVY, {"minimise": "cost"}, ["size.price_per_kg"]),
    ],
)
def test_what_is_to_be_least_must_be_known(material, table, missing):
    with pytest.raises(CaseError) as error:
        problem_of(sized(material, **table))
    assert [line.split(": ")[1] for line in str(error.value).splitlines()] == missing
    assert "to be least" in str(error.value)


def test_an_area_needs_no_density_and_a_mass_no_price():
    assert problem_of(sized(METAL, minimise="blank_area")).variables[0].key == "shape.gauge_mm"
    assert problem_of(sized(HEAVY)).variables[0].key == "shape.gauge_mm"
