"""GNIA against boundary values of a dented sphere and Donnell's cylinder with a wave; what a deviation must do."""

import math

import numpy as np
import pytest

from buckle.analysis import run
from buckle.case import case_from_dict
from tests.helpers import bodies
from tests.references import dimple_bvp, koiter_cylinder
from tests.verification.test_formula_imperfect import collocation

NU = 0.3
ROOT = (12.0 * (1.0 - NU**2)) ** 0.25
E = bodies.E


def dented(width, depth, ratio=1000.0, **shape):
    """A sphere of unit thickness with a dimple, width in sqrt(R t) / ROOT and depth in t."""
    body = shape or {"family": "complete_sphere", "radius_mm": ratio, "thickness_mm": 1.0}
    edges = {"outer_edge": "clamped"} if shape else None
    deviation = {"shape": "dimple", "width_mm": width * math.sqrt(ratio) / ROOT, "depth_mm": depth}
    return bodies.case(body, run="GNIA", edges=edges, metal={"yields": False}, deviation=deviation)


def limit(case, ratio=1000.0):
    """Limit over the classical pressure."""
    found = run(case, "GNIA", estimate_error=False, pictures=False)
    return found.limit.load / (2.0 * E / ratio**2 / math.sqrt(3.0 * (1.0 - NU**2)))


@pytest.mark.parametrize(
    ("width", "depth", "tolerance"), [(2.0, 0.5, 1e-3), (1.0, 1.0, 1e-3), (0.5, 3.0, 1e-3), (3.0, 2.0, 3e-3)]
)
def test_a_dented_sphere_is_that_of_its_boundary_values(width, depth, tolerance):
    """Shallow theory leaves out terms of the order of t/R = 1e-3, and of the dimple's angle squared for wide ones."""
    reference = dimple_bvp.limit_load(width, depth * ROOT**2)
    assert limit(dented(width, depth)) == pytest.approx(reference, rel=tolerance)


def test_a_dented_hemisphere_is_the_sphere():
    half = {"family": "spherical_cap", "radius_mm": 1000.0, "half_angle_deg": 90.0, "thickness_mm": 1.0}
    assert limit(dented(1.5, 1.0, **half)) == pytest.approx(limit(dented(1.5, 1.0)), rel=1e-3)


def test_the_limit_of_a_dented_sphere_does_not_hang_on_the_mesh():
    case = dented(1.0, 1.0)
    finer = case_from_dict({**case.tables, "numerics": {"mesh_density": 3.0}})
    assert limit(finer) == pytest.approx(limit(case), rel=1e-6)


@pytest.mark.parametrize(("wave", "n"), [(0.1217, 28), (0.577, 22)])
def test_a_pressed_cylinder_with_a_wave_is_donnells(wave, n):
    """R/t = 1000, sixteen waves long; Donnell leaves out 1/n^2 and t/R, the ends act on a wave each."""
    ratio, length = 1000.0, 2.0 * math.pi * math.sqrt(1000.0) / ROOT
    case = bodies.case(
        {"family": "cylinder", "radius_mm": ratio, "length_mm": 16.0 * length, "thickness_mm": 1.0},
        run="GNIA",
        edges={"start_edge": "guided", "outer_edge": "sleeve"},
        waves=(n, n),
        metal={"yields": False},
        loads={"increases": "axial_force", "axial_force_N": -1.0},
        deviation={"shape": "wave", "wavelength_mm": length, "depth_mm": wave},
    )
    found = run(case, "GNIA", estimate_error=False, pictures=False).bifurcation
    classical = 2.0 * math.pi * E / math.sqrt(3.0 * (1.0 - NU**2))
    reference = koiter_cylinder.bifurcation_load(wave * ROOT**2, n / math.sqrt(ratio) / ROOT)
    assert found.wave_number == n
    assert found.load / classical == pytest.approx(reference, rel=2e-3)


@pytest.mark.parametrize("wave", [1e-3, 4e-3])
def test_koiters_law_is_the_limit_of_the_reference(wave):
    """(1 - load)^2 = (3/2) sqrt(3 (1 - nu^2)) wave load, Koiter 1963 (from memory): of the drop, to 4 % here."""
    x = 1.5 * math.sqrt(3.0 * (1.0 - NU**2)) * wave
    law = 1.0 + 0.5 * x - math.sqrt(x + 0.25 * x * x)
    found = koiter_cylinder.bifurcation_load(wave * ROOT**2, 0.5)
    assert 1.0 - found == pytest.approx(1.0 - law, rel=0.04)


@pytest.mark.slow
@pytest.mark.parametrize("width", [1.0, 1.5, 2.0, 2.5, 3.0, 4.0])
def test_dented_spheres_are_those_of_the_collocation(width):
    """Within 1 % and mostly 0.1 %: the shallow theory's values of a whole row (see test_formula_imperfect)."""
    for other, depth, load in collocation():
        if other == width:
            assert limit(dented(width, depth)) == pytest.approx(load, rel=1e-2), depth


SHALLOW = {"family": "spherical_cap", "radius_mm": 400.0, "half_angle_deg": 12.0, "thickness_mm": 1.0}


def shallow(kind, **deviated):
    return bodies.case(SHALLOW, run=kind, edges={"outer_edge": "clamped"}, waves=(2, 4), **deviated)


@pytest.mark.slow
@pytest.mark.parametrize(
    "deviation",
    [
        {"shape": "dimple", "width_mm": 12.0, "depth_mm": 1e-7},
        {"shape": "dimple", "at_mm": 40.0, "width_mm": 12.0, "depth_mm": 0.0},
        {"shape": "wave", "wavelength_mm": 20.0, "depth_mm": 1e-7},
        {"shape": "measured", "file": "scan.csv", "filter_mm": 20.0},
        {"shape": "mode", "analysis": "LBA", "wave_number": 0, "amplitude_mm": 1e-9},
    ],
)
def test_a_deviation_of_no_depth_leaves_the_perfect_body(tmp_path, deviation):
    """Onset of waves in an elastic cap to 1e-6, whatever the mesh that a deviation asks for."""
    perfect = shallow("GNA")
    at = perfect.meridian.at_s(np.linspace(0.0, perfect.meridian.length, 400))
    rows = "\n".join(f"{r:.12g},{z:.12g}" for r, z in zip(at.r, at.z, strict=True))
    (tmp_path / "scan.csv").write_text(f"r_mm,z_mm\n{rows}\n")
    if "file" in deviation:
        deviation = {**deviation, "file": str(tmp_path / "scan.csv")}
    cases = {"GNA": perfect, "GNIA": shallow("GNIA", deviation=deviation)}
    runs = [run(case, kind, estimate_error=False, pictures=False) for kind, case in cases.items()]
    loads = [found.capacity.load for found in runs]
    assert loads[1] == pytest.approx(loads[0], rel=1e-6)
