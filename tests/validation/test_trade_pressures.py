"""Critical pressures of base set A and end set E1 against an independent calculation.

Reference: elastic-plastic shell of revolution computed for this project with a separate code (logarithmic strain, J2,
15 layers, follower pressure on the mid-surface, base wall clamped 25 mm above the heel with its gauge reached 4 mm
above it, end clamped where the seam takes over). Geometry: base within the claims of US 7,395,686 B2, WO 99/62765 A1
and JP 2025-13263 A, the end as the 202 sample page of the CMI Voluntary Can and End Dimension Reference Manual; the
rest chosen so that the chain of arcs closes.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from buckle.analysis import run
from buckle.analysis.setup import ELASTIC_LAYERS, load_of
from buckle.case import Case, case_from_dict
from buckle.results import Outcome
from buckle.shell.model import Fineness, build_model
from buckle.shell.strain import LOGARITHMIC
from buckle.solve.path import ArcLength
from buckle.solve.stability import Watch, find_bifurcation
from buckle.solve.trace import trace_path

SHAPES = {
    "A": {
        "family": "domed_base",
        "wall_radius_mm": 33.0,
        "stand_radius_mm": 24.13,
        "nose_radius_mm": 1.66,
        "inner_leg_angle_deg": 6.0,
        "dome_corner_radius_mm": 2.3,
        "dome_radius_mm": 45.7,
        "dome_depth_mm": 10.4,
        "outer_leg_angle_deg": 28.0,
        "outer_leg_length_mm": 1.2,
        "chime_radius_mm": 3.0,
        "chime_angle_deg": 58.0,
        "heel_radius_mm": 5.0,
        "wall_height_mm": 25.0,
        "gauge_mm": 0.27,
        "wall_gauge_mm": 0.105,
    },
    "E1": {
        "family": "recessed_end",
        "panel_diameter_mm": 45.34,
        "panel_radius_mm": 0.5,
        "panel_depth_mm": 2.286,
        "countersink_radius_mm": 0.62,
        "chuck_wall_angle_deg": 12.0,
        "chuck_wall_length_mm": 3.8,
        "gauge_mm": 0.2235,
    },
}
METALS = {
    "A": {"youngs_modulus_GPa": 69.0, "yield_stress_MPa": 258.0, "increment": 37.0},
    "E1": {"youngs_modulus_GPa": 69.6, "yield_stress_MPa": 350.0, "increment": 45.0},
}


def body(name: str) -> Case:
    metal = dict(METALS[name])
    hardening = {"law": "voce", "increment_MPa": metal.pop("increment"), "rate": 40.0}
    return case_from_dict(
        {
            "material": {**metal, "poissons_ratio": 0.33, "hardening": hardening},
            "shape": SHAPES[name],
            "supports": {"outer_edge": "clamped"},
            "loads": {"pressure_side": "inside"},
            "analyses": {"run": ["LBA", "GNA", "GMNA"], "wave_numbers": [0, 30]},
        }
    )


@cache
def outcome(name: str, kind: str) -> Outcome:
    return run(body(name), kind)


@pytest.mark.parametrize(("name", "bar", "n"), [("A", 28.72, 5), ("E1", 20.30, 13)])
def test_linear_bifurcation(name: str, bar: float, n: int) -> None:
    governing = outcome(name, "LBA").governing
    assert governing.wave_number == n
    assert 10.0 * governing.pressure == pytest.approx(bar, rel=5e-4)  # four digits are given
    assert governing.error_percent < 0.05


@pytest.mark.parametrize(("name", "limit", "bifurcation", "n"), [("A", 18.73, 14.66, 6), ("E1", 50.2, 50.1, 1)])
def test_elastic_path_in_logarithmic_strain(name: str, limit: float, bifurcation: float, n: int) -> None:
    """The reference's values 'with logarithmic strain'; 0.1 % for A, the three digits given for E1."""
    case = body(name)
    edges = (case.supports.start_edge, case.supports.outer_edge)
    metal = replace(case.material, hardening=None)
    model = build_model(case.meridian, metal, edges, load_of(case), Fineness(layers=ELASTIC_LAYERS), LOGARITHMIC)
    trace = trace_path(model, ArcLength())
    found = find_bifurcation(model, trace.rising, Watch(range(1, 20))).bifurcation
    assert 10.0 * trace.limit.load_factor == pytest.approx(limit, rel=1e-3)
    assert found.wave_number == n
    assert 10.0 * found.load_factor == pytest.approx(bifurcation, rel=1e-3)


def test_elastic_path_of_the_base_in_engineering_strain() -> None:
    """Reported GNA values use engineering strain, which lies between the reference's two measures.

    Reference: 18.56 bar and 14.54 bar (n = 6) with Green-Lagrange strain, 18.73 and 14.66 with logarithmic strain.
    """
    found = outcome("A", "GNA")
    assert 18.56 < 10.0 * found.limit.pressure < 18.73
    assert 14.54 < 10.0 * found.bifurcation.pressure < 14.66
    assert found.bifurcation.wave_number == 6
    assert found.governing.error_percent < 0.05


def test_elastic_path_of_the_end_in_engineering_strain() -> None:
    """As above: 48.4 and 48.2 bar Green-Lagrange, 50.2 and 50.1 bar logarithmic, n = 1."""
    found = outcome("E1", "GNA")
    assert 48.4 < 10.0 * found.limit.pressure < 50.2
    assert 48.2 < 10.0 * found.bifurcation.pressure < 50.1
    assert found.bifurcation.wave_number == 1


@pytest.mark.parametrize(("name", "bar"), [("A", 6.48), ("E1", 7.43)])
def test_elastic_plastic_limit(name: str, bar: float) -> None:
    """The reference gives 6.48 +- 0.03 and 7.43 +- 0.03 bar for a wall that keeps its thickness: 1 %.

    Held to its thickness, this shell gives 6.476 and 7.437 bar: as it is bent and stretched the wall thins, which takes
    0.55 % off the base and nothing off the end.
    """
    found = outcome(name, "GMNA")
    assert 10.0 * found.limit.pressure == pytest.approx(bar, rel=1e-2)
    assert found.governing.error_percent < 1.0


def test_no_waves_before_the_limit_of_the_base() -> None:
    """Reference: no bifurcation below the limit (flow theory)."""
    assert outcome("A", "GMNA").bifurcation is None


def test_waves_at_the_limit_of_the_end() -> None:
    """Reference: bifurcation at the limit; 0.5 % of it is the scatter of the onset with the mesh."""
    found = outcome("E1", "GMNA")
    assert found.bifurcation is not None
    assert found.bifurcation.pressure == pytest.approx(found.limit.pressure, rel=5e-3)


@pytest.mark.parametrize(("nose", "growth"), [(0.7, 0.35), (1.0, 0.49), (1.15, 0.67)])
def test_growth_of_the_base_at_four_bar(nose: float, growth: float) -> None:
    """Reference: 0.35, 0.49, 0.67 mm for 0.7, 1, 1.15 times the nose radii of set A (travel of the dome's apex).

    3 %: two digits are given, and 0.02 bar of load is 0.01 mm where the stand begins to roll. The height of the
    container grows less, and part of it stays.
    """
    tables = dict(body("A").tables)
    tables["shape"] = {**SHAPES["A"], "nose_radius_mm": nose * 1.66}
    tables["requirements"] = {"service_pressure_bar": 4.0}
    outcome = run(case_from_dict(tables), "GMNA", estimate_error=False)
    found, path = outcome.growth[0], outcome.path
    rising = slice(0, int(np.argmax(path.pressure)) + 1)
    assert -np.interp(0.4, path.pressure[rising], path.apex_travel[rising]) == pytest.approx(growth, rel=0.03)
    assert found.loaded == pytest.approx(growth, rel=0.1)  # less what the 25 mm of wall above the heel stretch
    assert 0.0 < found.permanent < found.loaded
    assert 0.0 < found.stand_drop < found.loaded
