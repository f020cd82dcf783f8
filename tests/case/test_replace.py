"""Varying keys of a case without touching the case that is varied."""

import tomllib

import pytest

from buckle.case import case_from_dict, read_case, replace_keys
from buckle.errors import CaseError
from tests.helpers.paths import ROOT

BASE = ROOT / "cases/demo/base.toml"
TABLES = tomllib.loads(BASE.read_text())


def test_another_gauge_in_another_unit_replaces_the_gauge():
    thinner = case_from_dict(replace_keys(TABLES, {"shape.gauge_um": 230, "material.yield_stress_ksi": 38}))
    assert thinner.dimensions["gauge"] == 0.23
    assert thinner.material.hardening.yield_stress == pytest.approx(262.0007771584, rel=1e-10)
    assert tomllib.loads(BASE.read_text()) == TABLES


def test_the_same_value_is_the_same_case():
    assert case_from_dict(replace_keys(TABLES, {"shape.gauge_mm": 0.245})).input_hash == read_case(BASE).input_hash


def test_a_table_is_made_and_a_list_is_entered():
    changed = replace_keys({"shape": {"pieces": [{"arc_mm": 3}]}}, {"numerics.step": 0.5, "shape.pieces[0].arc_in": 1})
    assert changed == {"shape": {"pieces": [{"arc_in": 1}]}, "numerics": {"step": 0.5}}


def test_an_item_of_a_list_is_replaced():
    assert replace_keys({"a": {"points": [[0, 1], [2, 3]]}}, {"a.points[1][0]": 5}) == {
        "a": {"points": [[0, 1], [5, 3]]}
    }


@pytest.mark.parametrize("key", ["shape.pieces[1].arc_mm", "shape.pieces.arc.x", "shape.pieces[0].arc_mm.x"])
def test_a_key_that_leads_nowhere_is_an_input_error(key):
    with pytest.raises(CaseError, match="leads nowhere"):
        replace_keys({"shape": {"pieces": [{"arc_mm": 3}]}}, {key: 1})


def test_an_unknown_key_is_judged_when_the_case_is_read():
    with pytest.raises(CaseError, match=r"shape.guage_mm: unknown key, did you mean 'gauge_mm'\?"):
        case_from_dict(replace_keys(TABLES, {"shape.guage_mm": 0.2}))
