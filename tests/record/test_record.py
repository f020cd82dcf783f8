"""results.json: the names of the contract, bar and millimetres, and nothing that was not found."""

import json
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from buckle.cautions import CAUTIONS
from buckle.margins import compare
from buckle.record.margins import expectation_rows
from buckle.record.quantities import record, versions
from buckle.results import Growth, Outcome, Status
from tests.helpers.made_run import made_case, made_outcomes
from tests.helpers.paths import ROOT

CASE = made_case()
OUTCOMES = made_outcomes(CASE)
RECORDED = record(CASE, OUTCOMES, {})


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("LA.first_yield_pressure_bar", 1.25),
        ("LBA.critical_pressure_bar", 3.75),
        ("LBA.wave_number", 2),
        ("LBA.governing_pressure_bar", 3.75),
        ("LBA.governing_event", "bifurcation"),
        ("LBA.numerical_error_percent", 0.01),
        ("GNA.limit_pressure_bar", 3.75),
        ("GNA.bifurcation_pressure_bar", 3.0),
        ("GNA.bifurcation_wave_number", 3),
        ("GMNA.limit_pressure_bar", 2.5),
        ("GMNA.highest_limit_pressure_bar", 2.6),
        ("GMNA.bifurcation_pressure_bar", 2.0),
        ("GMNA.bifurcation_wave_number", 3),
        ("GMNA.deformation_theory_bifurcation_pressure_bar", 1.9),
        ("GMNA.deformation_theory_bifurcation_wave_number", 4),
        ("GMNA.governing_pressure_bar", 2.0),
        ("GMNA.governing_event", "bifurcation"),
        ("GMNA.numerical_error_percent", 0.25),
        ("GMNA.status", "solved"),
        ("GMNA.notes", ["a note"]),
        ("GMNA.balance", {"applied_N": -12.5, "reaction_N": 12.5}),
        ("LA.settings", {"layers": 4}),
        ("permanent_growth_mm", 0.01),
        ("title", "Made cap"),
        ("input_sha256", CASE.input_hash),
        ("cautions", list(CAUTIONS)),
    ],
)
def test_quantity(key: str, value: object) -> None:
    assert RECORDED[key] == (pytest.approx(value, rel=1e-14) if isinstance(value, float) else value)


def test_lists() -> None:
    assert RECORDED["LBA.by_wave_number"][2] == {"wave_number": 2, "pressure_bar": 3.75}
    assert [one["wave_number"] for one in RECORDED["LBA.by_wave_number"]] == [0, 1, 2, 3]
    assert RECORDED["growth_at_bar"] == [
        {"pressure_bar": 1.0, "growth_mm": 0.1, "permanent_growth_mm": 0.01, "at": "service", "analysis": "GMNA"},
        {
            "pressure_bar": 2.0,
            "growth_mm": 0.3,
            "permanent_growth_mm": 0.05,
            "stand_drop_mm": 0.15,
            "at": "required",
            "analysis": "GMNA",
        },
    ]


def test_body_against_closed_forms_of_the_cap() -> None:
    """Cap of height h on a sphere of radius R: area 2 pi R h, volume pi h^2 (3 R - h) / 3 (elementary geometry)."""
    assert RECORDED["surface_area_mm2"] == pytest.approx(2.0 * np.pi * 50.0 * 8.0, rel=1e-12)
    assert RECORDED["enclosed_volume_ml"] == pytest.approx(np.pi * 64.0 * (150.0 - 8.0) / 3000.0, rel=1e-12)
    assert RECORDED["mass_g"] == pytest.approx(CASE.meridian.metal_volume * 2.7e-3, rel=1e-12)


def test_inputs_tell_where_each_value_comes_from() -> None:
    inputs = {line["key"]: line for line in RECORDED["inputs"]}
    assert inputs["shape.height_mm"] == {"key": "shape.height_mm", "value": 8.0, "origin": "file"}
    assert inputs["loads.follower"]["origin"] == "default"


@pytest.mark.parametrize("key", ["LA.reason", "LA.remedy", "LA.governing_event", "LBA.limit_pressure_bar", "LA.notes"])
def test_what_was_not_found_is_absent(key: str) -> None:
    assert key not in RECORDED


def test_unknown_density_gives_no_mass() -> None:
    metal = {"youngs_modulus_MPa": 70000.0, "poissons_ratio": 0.3}
    case = made_case(material=metal, analyses={"run": ["LA"], "wave_numbers": [0, 3]})
    assert "mass_g" not in record(case, (), {})


def test_failure_tells_reason_and_remedy() -> None:
    recorded = record(CASE, [Outcome("GNA", Status.FAILED, "it stalled", "a smaller step")], {})
    found = {key: value for key, value in recorded.items() if key.startswith("GNA.")}
    assert found == {"GNA.status": "failed", "GNA.reason": "it stalled", "GNA.remedy": "a smaller step"}


def test_elastic_growth_never_stands_in_for_a_plastic_one() -> None:
    """GMNA ran and reached no state at the service pressure: the elastic growth would be a dangerous number."""
    outcomes = [*OUTCOMES[:3], replace(OUTCOMES[3], growth=())]
    assert not {"growth_at_bar", "permanent_growth_mm"} & set(record(CASE, outcomes, {}))


def test_growth_is_elastic_where_no_plastic_analysis_ran() -> None:
    recorded = record(CASE, OUTCOMES[:3], {})
    assert {one["analysis"] for one in recorded["growth_at_bar"]} == {"GNA"}
    assert "permanent_growth_mm" not in recorded


def test_permanent_growth_is_that_of_the_service_pressure_else_of_the_required_one() -> None:
    without = made_case(requirements={"pressure_bar": 2.0})
    assert record(without, OUTCOMES, {})["permanent_growth_mm"] == 0.05
    unreached = replace(OUTCOMES[3], growth=(Growth(0.2, 0.3, 0.05),))
    assert "permanent_growth_mm" not in record(CASE, [unreached], {})


def test_json_holds_plain_numbers_only() -> None:
    """An error estimate is infinite where the coarser run met no event, and a margin may lack a demand."""
    endless = replace(OUTCOMES[1], critical=(replace(OUTCOMES[1].critical[0], error_percent=np.inf),))
    margins = [{"limit_state": "x", "capacity_bar": np.float64(2.5), "demand_bar": None, "reserve_factor": np.nan}]
    recorded = record(CASE, [endless, *OUTCOMES[2:]], {"margins": margins})
    assert json.loads(json.dumps(recorded, allow_nan=False)) == recorded
    assert "LBA.numerical_error_percent" not in recorded
    assert recorded["margins"] == [{"limit_state": "x", "capacity_bar": 2.5}]
    assert type(recorded["GMNA.limit_pressure_bar"]) is float


def test_expectations_are_kept_and_absent_where_there_are_none() -> None:
    case = made_case(
        expect=[
            {"quantity": "GMNA.limit_pressure_bar", "value": 2.4, "tolerance_percent": 5.0, "source": "made"},
            {"quantity": "LBA.wave_number", "value": 3, "source": "made"},
        ]
    )
    recorded = record(case, OUTCOMES, {}, expectation_rows(compare(case, record(case, OUTCOMES, {}))))
    assert "expectations" not in RECORDED
    near, far = recorded["expectations"]
    assert near.pop("deviation_percent") == pytest.approx(100.0 * (2.5 / 2.4 - 1.0))
    assert near == {
        "quantity": "GMNA.limit_pressure_bar",
        "expected": 2.4,
        "found": 2.5,
        "tolerance_percent": 5.0,
        "met": True,
        "source": "made",
    }
    assert (far["expected"], far["found"], far["met"]) == (3, 2, False)


def test_nan_in_a_list_is_a_bug_and_not_hidden() -> None:
    recorded = record(CASE, (), {"margins": [{"points": [1.0, np.nan]}]})
    with pytest.raises(ValueError, match="not JSON compliant"):
        json.dumps(recorded, allow_nan=False)


def test_versions_name_what_the_numbers_came_from() -> None:
    assert versions()["numpy"] == np.__version__
    assert set(versions()) == {"python", "buckle", "numpy", "scipy", "numba", "scikit-fem"}


def test_the_record_loads_no_drawing_and_no_mesh_library() -> None:
    code = "import sys, buckle.record.quantities, buckle.record.tables\n"
    code += "print('matplotlib' in sys.modules, 'meshio' in sys.modules)"
    recorded = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert recorded.stdout.split() == ["False", "False"]
