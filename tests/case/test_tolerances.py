"""[tolerances] of a case: what is accepted, what is taken where nothing is said, and that no analysis knows of it."""

import math
import tomllib

import numpy as np
import pytest

from buckle.case import case_from_dict, read_case
from buckle.errors import CaseError
from tests.helpers.cap_case import CAP

TABLES = tomllib.loads(CAP)
METAL = {"youngs_modulus_GPa": 70.0, "poissons_ratio": 0.3, "yield_stress_MPa": 250.0}
THICKNESS = "shape.thickness_mm"


def tolerances(entries):
    return case_from_dict({**TABLES, "material": METAL, "tolerances": entries}).tolerances


def refused(entries):
    with pytest.raises(CaseError) as caught:
        tolerances(entries)
    return str(caught.value)


def test_a_bare_number_is_plus_or_minus():
    (found,) = tolerances({THICKNESS: 0.05})
    assert (found.key, found.law, found.minus, found.plus) == (THICKNESS, "", 0.05, 0.05)
    assert (found.low, found.high) == (found.nominal - 0.05, found.nominal + 0.05)
    assert found.bounded


def test_keys_may_be_nested_and_in_another_unit_than_the_number_itself():
    """1 um is a thousandth of a millimetre; 1 ksi is 6.894757 MPa (NIST SP 811)."""
    nested, strong = tolerances({"shape": {"thickness_um": {"minus": 5.0}}, "material.yield_stress_ksi": 1.0})
    assert (nested.key, nested.minus, nested.plus) == (THICKNESS, 0.005, 0.0)
    assert strong.key == "material.yield_stress_MPa"
    assert strong.plus == pytest.approx(6.894757, rel=1e-6)


@pytest.mark.parametrize(
    ("entry", "ends"),
    [
        ({"law": "uniform", "minus": 2.0, "plus": 4.0}, (248.0, 254.0)),
        ({"law": "triangular", "plus": 4.0}, (250.0, 254.0)),
        ({"law": "truncated", "standard_deviation": 2.0, "minus": 3.0, "plus": 3.0}, (247.0, 253.0)),
        ({"law": "normal", "standard_deviation": 2.0}, (244.0, 256.0)),
        ({"law": "normal", "standard_deviation": 2.0, "mean": 251.0}, (245.0, 257.0)),
    ],
)
def test_each_law_has_its_ends(entry, ends):
    """Those of a normal law lie three standard deviations from its mean."""
    (found,) = tolerances({"material.yield_stress_MPa": entry})
    assert (found.low, found.high) == pytest.approx(ends)
    assert found.law == entry["law"]


def test_a_lognormal_law_has_the_mean_and_deviation_of_the_quantity_itself():
    """Deviation over mean v: the logarithm has the variance ln(1 + v^2); with v = 0.1 the ends are exp(m -+ 3 s)."""
    (found,) = tolerances({"material.yield_stress_MPa": {"law": "lognormal", "standard_deviation": 25.0}})
    scatter = math.sqrt(math.log(1.01))
    assert found.low == pytest.approx(250.0 / math.sqrt(1.01) * math.exp(-3.0 * scatter), rel=1e-12)
    assert not found.bounded


def test_measured_values_stand_beside_the_case_and_are_found_from_its_variants(tmp_path, monkeypatch):
    (tmp_path / "sheet.csv").write_text("coil,gauge\n1,0.99\n2,1.01\n3,1.0\n4,0.98\n5,1.0\n")
    entry = f'"{THICKNESS}" = {{ law = "measured", file = "sheet.csv", column = "gauge" }}'
    (tmp_path / "cap.toml").write_text(f"{CAP}\n[tolerances]\n{entry}\n")
    read = read_case(tmp_path / "cap.toml")
    monkeypatch.chdir("/")
    for found in (*read.tolerances, *case_from_dict(read.tables).tolerances):
        assert found.sample == (0.99, 1.01, 1.0, 0.98, 1.0)
        assert found.low == pytest.approx(0.98)
    assert read.input_hash == case_from_dict(read.tables).input_hash


def test_correlations_are_a_matrix_in_the_order_of_the_tolerances():
    pair = {"keys": ["material.yield_stress_ksi", THICKNESS], "coefficient": -0.4}
    case = case_from_dict(
        {
            **TABLES,
            "material": METAL,
            "tolerances": {THICKNESS: 0.05, "material.yield_stress_MPa": 5.0, "correlated": [pair]},
        }
    )
    assert np.array_equal(case.correlation, [[1.0, -0.4], [-0.4, 1.0]])


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ({"shape.thicknes_mm": 0.1}, "unknown number of the case, did you mean 'shape.thickness_mm'"),
        ({"loads.follower": 0.1}, "unknown number of the case"),
        ({THICKNESS: -0.1}, "tolerances.shape.thickness_mm: out of range"),
        ({THICKNESS: {"minus": 0.0}}, "has no width"),
        ({THICKNESS: {"law": "normal"}}, "standard_deviation: missing with 'normal'"),
        ({THICKNESS: {"law": "normal", "standard_deviation": 0.1, "plus": 0.2}}, "plus: means nothing with 'normal'"),
        ({THICKNESS: {"law": "gauss", "standard_deviation": 0.1}}, "unknown word"),
        ({THICKNESS: {"law": "lognormal", "standard_deviation": 0.1, "mean": -1.0}}, "above nil"),
        ({THICKNESS: {"law": "measured", "file": "nowhere.csv"}}, "cannot be read"),
        ({THICKNESS: 0.1, "shape.thickness_um": 5.0}, "has a tolerance already, in another unit"),
        ({THICKNESS: 0.1, "correlated": [{"keys": [THICKNESS, "a"], "coefficient": 0.1}]}, "needs two different keys"),
    ],
)
def test_what_makes_no_sense_is_refused(entries, words):
    assert words in refused(entries)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("gauge\n1.0\n1.1\n", "holds 2 values; got 'sheet.csv'; allowed: 5 or more"),
        ("gauge\n1.0\nthick\n", "holds no number on line 3; got 'thick'"),
        ("a,b\n1.0,2.0\n", "column: no such column; allowed: a, b"),
        ("a,b\n1.0,2.0\n", "cap.toml:"),
    ],
)
def test_a_file_without_enough_numbers_is_refused(tmp_path, text, words):
    (tmp_path / "sheet.csv").write_text(text)
    entry = f'"{THICKNESS}" = {{ law = "measured", file = "sheet.csv" }}'
    (tmp_path / "cap.toml").write_text(f"{CAP}\n[tolerances]\n{entry}\n")
    with pytest.raises(CaseError) as caught:
        read_case(tmp_path / "cap.toml")
    assert words in str(caught.value)


def test_a_case_without_tolerances_keeps_its_hash_and_one_with_them_has_another():
    plain = case_from_dict({**TABLES, "material": METAL})
    loose = case_from_dict({**TABLES, "material": METAL, "tolerances": {THICKNESS: 0.05}})
    assert plain.tolerances == ()
    assert plain.input_hash != loose.input_hash
    assert [line.key for line in loose.echo][-1] == f"tolerances.{THICKNESS}"
