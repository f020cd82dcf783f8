"""[contents] of a case: what is accepted, what is taken where nothing is said, and what it asks of the body."""

import pickle
import tomllib
from typing import get_args

import pytest

from buckle.case import case_from_dict
from buckle.case.keys import slots
from buckle.case.models import Contents
from buckle.case.replace import replace_keys
from buckle.demand.drinks import DRINKS, UNKNOWN
from buckle.errors import CaseError
from buckle.material import grades, softenings
from buckle.units import pressure_text
from tests.helpers.cap_case import CAP

INSIDE = tomllib.loads(CAP.replace("outside", "inside"))
TEA = {
    "gas": "carbon_dioxide",
    "carbonation_volumes": 3.8,
    "liquid_ml": 355,
    "headspace_ml": 20,
    "fill_temperature_degC": 4,
    "temperatures_degC": [4, 20, 38, 60],
}
STILL = {**TEA, "gas": "nitrogen", "fill_pressure_bar": 1.0, "fill_temperature_degC": 20}
STILL.pop("carbonation_volumes")
JUICE = {**TEA, "gas": "air", "fill_temperature_degC": 85, "temperatures_degC": [20]}
JUICE.pop("carbonation_volumes")


def case(contents, **more):
    return case_from_dict({**INSIDE, "contents": contents, **more})


def refused(contents, **more):
    with pytest.raises(CaseError) as caught:
        case(contents, **more)
    return str(caught.value)


def test_the_contract_is_enough():
    """The keys of the contract alone, and the safe side for all that they do not say."""
    demand = case(TEA).demand
    assert [met.condition.temperature for met in demand.met] == [4.0, 20.0, 38.0, 60.0]
    assert demand.governing.condition.temperature == 60.0
    carbon, *air = demand.filling.charges
    assert carbon.gas.drink is UNKNOWN
    assert sum(each.amount for each in air) == 0.0
    assumed = " ".join(demand.assumptions)
    for words in ("the drink is not named", "no air is counted", "rigid", "count all carbon dioxide"):
        assert words in assumed


def test_what_is_said_is_not_assumed():
    said = {**TEA, "drink": "lager", "air_fraction": 0.05, "compliance_ml_per_bar": 0.4}
    demand = case(said).demand
    assert demand.filling.charges[0].gas.drink is DRINKS["lager"]
    assert demand.filling.body.swelling(1.0) == pytest.approx(4000.0)  # 4 ml at 10 bar
    assert len(demand.assumptions) == 1
    assert demand.pressure < case({**TEA, "air_fraction": 0.05}).demand.pressure


def test_air_that_nothing_is_said_of_is_said_with_what_it_would_add():
    none, full = (case({**TEA, **said}).demand for said in ({}, {"air_fraction": 1.0}))
    assert none.pressure == case({**TEA, "air_fraction": 0.0}).demand.pressure
    assert full.pressure > none.pressure + 0.1
    assert pressure_text(full.pressure - none.pressure) in " ".join(none.assumptions)
    assert "air" not in " ".join(full.assumptions)


def test_what_nothing_is_said_of_is_never_less():
    """Each default alone, but for air, against what could be said instead."""
    unsaid = case(TEA).demand.pressure
    for key, values in {"drink": DRINKS, "compliance_ml_per_bar": (0.0, 0.5)}.items():
        assert all(case({**TEA, key: value}).demand.pressure <= unsaid for value in values)


def test_conditions_come_from_three_keys():
    contents = {
        **TEA,
        "temperatures_degC": [20],
        "altitude_m": 500,
        "conditions": [{"name": "pass", "temperature_degC": 30, "altitude_m": 2500}, {"temperature_degF": 86}],
        "pasteuriser": [{"time_min": 10, "temperature_degC": 50}, {"time_s": 720, "temperature_degC": 62}],
    }
    conditions = [met.condition for met in case(contents).demand.met]
    assert [each.temperature for each in conditions] == [20.0, 30.0, 30.0, 50.0, 62.0]
    assert [each.altitude for each in conditions] == [500.0, 2500.0, 500.0, 500.0, 500.0]
    assert [each.name for each in conditions] == ["", "pass", "", "pasteuriser", "pasteuriser"]
    assert [each.time for each in conditions] == [None, None, None, 10.0, 12.0]


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"temperatures_degC": []}, "contents.temperatures_degC: missing: nothing says how warm the container gets"),
        ({"temperatures_degC": [101]}, "contents.temperatures_degC[0]: out of range; got 101; allowed: <= 100 degC"),
        ({"temperatures_degC": [-1]}, "contents.temperatures_degC[0]: out of range; got -1; allowed: >= 0 degC"),
        ({"fill_temperature_degC": 100}, "contents.fill_temperature_degC: out of range; got 100; allowed: < 100 degC"),
        ({"altitude_m": 12000}, "contents.altitude_m: out of range; got 12000; allowed: <= 11000 m"),
        ({"air_fraction": 1.1}, "contents.air_fraction: out of range; got 1.1; allowed: <= 1"),
        ({"compliance_ml_per_bar": -0.1}, "contents.compliance_ml_per_bar: out of all proportion"),
        ({"compliance_ml": 0.1}, "contents.compliance_ml: unknown unit 'ml' of compliance; got 0.1"),
        ({"drink": "tea"}, "contents.drink: unknown word; got 'tea'; allowed: 'water', 'lager'"),
        ({"drink": "water", "solubility_factor": 0.9}, "contents.solubility_factor: the drink has its own factor"),
        ({"fill_pressure_bar": 1}, "contents.fill_pressure_bar: means nothing for carbon_dioxide"),
        (
            {"headspace_ml": 5},
            "contents.headspace_ml: the liquid fills the container at 60 degC: it expands by 6.06 ml",
        ),
        ({"headspace_ml": 6.1}, "contents.headspace_ml: the contents come to more than 50 bar at 60 degC; got 6.1"),
        ({"warm_metal": True}, "contents.warm_metal: how this metal softens is not known; got True; allowed: false"),
        ({"conditions": [{"name": "x"}]}, "contents.conditions[0].temperature_degC: missing"),
        ({"pasteuriser": [{"temperature_degC": 60}]}, "contents.pasteuriser[0].time_min: missing"),
        ({"pasteuriser": [{"time_min": 0, "temperature_degC": 60}]}, "contents.pasteuriser[0].time_min: out of range"),
    ],
)
def test_what_cannot_be_is_refused(change, words):
    assert words in refused({**TEA, **change})


@pytest.mark.parametrize(
    ("contents", "key"), [({**STILL, "drink": "lager"}, "drink"), ({**JUICE, "air_fraction": 0.5}, "air_fraction")]
)
def test_keys_of_carbonated_drinks_mean_nothing_for_others(contents, key):
    assert f"contents.{key}: means nothing for {contents['gas']}" in refused(contents)


def test_air_takes_no_measure_of_its_own():
    assert "contents.carbonation_volumes: means nothing for air" in refused({**JUICE, "carbonation_volumes": 1.0})


def test_every_drink_that_is_known_may_be_named():
    words = [word for part in get_args(slots(Contents)["drink"].annotation) for word in get_args(part)]
    assert words == list(DRINKS)


# What it asks of the body ---------------------------------------------------------------------------------------------


def test_the_higher_of_demand_and_requirement_is_judged():
    demand = case(TEA).demand.pressure
    low, high = (case(TEA, requirements={"pressure_MPa": factor * demand}) for factor in (0.5, 2.0))
    assert low.requirements.pressure == demand
    assert low.asked.pressure == pytest.approx(0.5 * demand)
    assert high.requirements.pressure == high.asked.pressure == pytest.approx(2.0 * demand)


def test_contents_are_a_requirement_by_themselves():
    made = case(TEA, requirements={"partial_factor": 1.1})
    assert made.asked.pressure is None
    assert made.requirements.pressure == made.demand.pressure
    assert made.requirements.partial_factor == 1.1


def test_what_is_measured_under_the_demand_needs_no_other_pressure():
    """Refused without contents: strain is measured at the required pressure, which the contents are enough for."""
    assert case(TEA, requirements={"plastic_strain": 0.1}).requirements.pressure is not None
    with pytest.raises(CaseError, match="plastic strain needs a pressure"):
        case_from_dict({**INSIDE, "requirements": {"plastic_strain": 0.1}})


def test_a_vacuum_does_not_judge_pressure_from_inside():
    inside = case(JUICE, loads={"pressure_side": "inside"}, requirements={"pressure_bar": 1.0})
    assert inside.requirements.pressure == 0.1
    assert case(JUICE, loads={"pressure_side": "inside"}, requirements={}).requirements.pressure is None


def test_a_vacuum_judges_pressure_from_outside():
    made = case(JUICE, loads={"pressure_side": "outside"}, requirements={})
    assert (
        made.requirements.pressure == made.demand.vacuum == pytest.approx(0.075, rel=0.01)
    )  # docs/demand.md: -0.75 bar


def test_a_pressure_inside_does_not_judge_pressure_from_outside():
    made = case(TEA, loads={"pressure_side": "outside"}, requirements={"pressure_bar": 1.0})
    assert made.requirements.pressure == 0.1


def test_a_batch_may_vary_what_is_filled_in():
    base = case(TEA, requirements={})
    other = case_from_dict(replace_keys(base.tables, {"contents.carbonation_volumes": 2.5}))
    assert other.requirements.pressure < base.requirements.pressure
    assert other.input_hash != base.input_hash


def test_a_case_with_contents_goes_to_another_process():
    made = case({**TEA, "compliance_ml_per_bar": 0.4})
    assert pickle.loads(pickle.dumps(made)).demand == made.demand


# Warm metal -----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("grade", ["AL-3104-H19-baked", "AL-5182-H48-coated", "TIN-DR-TH550"])
def test_warm_metal_is_softer_all_along_its_curve(grade):
    cold, warm = (
        case({**TEA, "warm_metal": warm}, material={"grade": grade}).material.hardening.array for warm in (False, True)
    )
    kind = {"AL-31": "aluminium-3xxx", "AL-51": "aluminium-5xxx", "TIN-D": "steel"}[grade[:5]]
    modulus, stress = softenings()[kind].at(60.0)
    assert (modulus, stress) == {"aluminium-3xxx": (0.98, 0.97), "aluminium-5xxx": (0.98, 0.96), "steel": (0.99, 0.96)}[
        kind
    ]
    assert warm[:2] == pytest.approx(stress * cold[:2], rel=1e-12)  # Voce: yield and increment
    assert (warm[2] == cold[2]).all()  # and its rate stays


def test_warm_metal_has_the_temperature_of_the_governing_condition():
    warm = case({**TEA, "warm_metal": True}, material={"grade": "AL-3104-H19-baked"})
    assert warm.material.youngs_modulus == pytest.approx(0.98 * 69e3, rel=1e-12)
    cool = case({**TEA, "warm_metal": True, "temperatures_degC": [20, 10]}, material={"grade": "AL-3104-H19-baked"})
    assert cool.material.youngs_modulus == 69e3


def test_every_grade_says_how_it_softens():
    assert {grade.softens for grade in grades().values()} == set(softenings())


def test_every_table_of_softening_starts_whole_and_falls():
    for table in softenings().values():
        assert table.at(20.0) == (1.0, 1.0) == table.at(4.0)
        for row in (table.modulus, table.stress):
            assert list(row) == sorted(row, reverse=True)
            assert 0.9 < row[-1] < 1.0
        assert "from memory" in table.source
