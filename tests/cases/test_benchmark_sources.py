"""What a benchmark case says of its source: who says it can be repeated here is repeated, who cannot be says so."""

import math
from functools import cache
from pathlib import Path

import pytest

from buckle.case import Case, read_case
from tests.helpers.paths import ROOT
from tests.references.dimple_bvp import limit_load
from tests.references.edge_layer import cylinder_waves, edge_waves
from tests.references.koiter_cylinder import bifurcation_load
from tests.references.plate_limit import plate_limit
from tests.references.sanders_koiter import critical_axial, critical_pressure
from tests.references.shallow_cap import ShallowCap, axisymmetric_limit, first_waves, linear_bifurcation
from tests.references.shell_bvp import cap_limit, cap_parameter

FOLDER = ROOT / "cases" / "benchmarks"
NOT_HERE = "not reproducible from this repository"
SCRIPTS = ("dimple_bvp", "edge_layer", "koiter_cylinder", "plate_limit", "sanders_koiter", "shallow_cap", "shell_bvp")
REPEATS = {name: f"tests/references/{name}.py" for name in SCRIPTS}
OWN = ("worked out in the note", "written out in the note", "derived in the note")
ELSEWHERE = ("base", "end")  # from a separate elastic-plastic code and the solid: they say so in words of their own
PATHS = [path for path in sorted(FOLDER.rglob("*.toml")) if path.parent.name not in ELSEWHERE]


@cache
def cases() -> dict[Path, Case]:
    return {path: read_case(path) for path in PATHS}


def repeated(script: str, quantity: str) -> list:
    """Every expectation of a quantity whose source names a script, with its case."""
    found = [
        pytest.param(case, each, id=path.stem)
        for path, case in cases().items()
        for each in case.expect
        if REPEATS[script] in each.source and each.quantity.endswith(quantity)
    ]
    assert found
    return found


limit_of_cap = cache(axisymmetric_limit)
pressure_of_cylinder = cache(critical_pressure)
force_of_cylinder = cache(critical_axial)


@pytest.mark.parametrize("path", PATHS, ids=lambda path: path.stem)
def test_a_number_computed_elsewhere_says_whether_it_can_be_had_here(path: Path) -> None:
    for each in cases()[path].expect:
        if "computed for this project" in each.source:
            assert any(words in each.source for words in (NOT_HERE, *REPEATS.values(), *OWN)), each.source


def thickness_of(case: Case) -> float:
    return case.meridian.pieces[0].thickness[0]


LIMITS = [
    pytest.param(*each.values, id=each.id, marks=pytest.mark.slow if at % 2 else ())
    for at, each in enumerate(repeated("shell_bvp", "limit_pressure_bar"))
]


@pytest.mark.parametrize(("case", "expected"), LIMITS)
def test_limits_of_caps(case: Case, expected) -> None:
    """Exact shell with shear at the case's own R/t, by scipy's solve_bvp: within the tolerance that the case states."""
    radius, thickness, nu = case.dimensions["radius"], thickness_of(case), case.material.poissons_ratio
    clamped = case.supports.outer_edge == "clamped"
    angle, follower = case.meridian.length / radius, case.loads.follower
    share = cap_limit(radius, thickness, angle, nu, follower=follower, shear=True, clamped=clamped)
    assert share * classical_bar(case) == pytest.approx(expected.value, rel=0.01 * expected.tolerance_percent)


def classical_bar(case: Case) -> float:
    """Classical pressure of the complete sphere [bar]."""
    slender, nu = thickness_of(case) / case.dimensions["radius"], case.material.poissons_ratio
    return 10.0 * 2.0 * case.material.youngs_modulus * slender**2 / math.sqrt(3.0 * (1.0 - nu**2))


def shallow(case: Case) -> ShallowCap:
    """The cap by the parameter of its chord."""
    radius, nu = case.dimensions["radius"], case.material.poissons_ratio
    parameter = cap_parameter(radius, thickness_of(case), case.meridian.length / radius, nu)
    return ShallowCap(parameter, nu, case.supports.outer_edge == "clamped")


@cache
def found_waves(cap: ShallowCap, numbers: range, kind: str) -> tuple[float, int]:
    return first_waves(cap, numbers) if kind == "GNA" else linear_bifurcation(cap, numbers, 1.7)


def shallow_waves(case: Case) -> tuple[float, int]:
    """Load over the classical one and n, by the analysis that the case runs; n = 0 where that has such a problem."""
    kind = case.analyses.run[0]
    return found_waves(shallow(case), range(kind == "GNA", case.analyses.wave_numbers[1] + 1), kind)


@pytest.mark.parametrize("quantity", ["bifurcation_pressure_bar", "critical_pressure_bar"])
def test_waves_of_caps(quantity: str) -> None:
    """Four digits are given: 1e-4."""
    for case, expected in (each.values for each in repeated("shallow_cap", quantity)):
        assert shallow_waves(case)[0] * classical_bar(case) == pytest.approx(expected.value, rel=1e-4), case.title


def test_wave_numbers_of_caps() -> None:
    for case, expected in (each.values for each in repeated("shallow_cap", "wave_number")):
        assert shallow_waves(case)[1] == expected.value, case.title


@pytest.mark.parametrize(("case", "expected"), repeated("shallow_cap", "limit_pressure_bar"))
def test_limits_of_caps_that_the_exact_shell_does_not_reach(case: Case, expected) -> None:
    """Four digits are given: 1e-4."""
    assert limit_of_cap(shallow(case), 2.0) * classical_bar(case) == pytest.approx(expected.value, rel=1e-4)


@pytest.mark.parametrize(("case", "expected"), repeated("shallow_cap", "governing_event"))
def test_caps_without_waves_before_the_limit(case: Case, expected) -> None:
    assert expected.value == "limit point"
    assert shallow_waves(case)[0] == math.inf
    assert limit_of_cap(shallow(case), 2.0) < 1.0


@pytest.mark.parametrize(("case", "expected"), repeated("shallow_cap", "status"))
def test_caps_without_a_limit(case: Case, expected) -> None:
    assert expected.value == "no limit found"
    assert limit_of_cap(shallow(case), 4.0) == math.inf


@pytest.mark.parametrize(("case", "expected"), repeated("edge_layer", "bifurcation_pressure_bar"))
def test_waves_of_hemispheres(case: Case, expected) -> None:
    """Five digits are given: 1e-5."""
    share, _ = edge_waves(case.material.poissons_ratio, clamped=case.supports.outer_edge == "clamped")
    assert share * classical_bar(case) == pytest.approx(expected.value, rel=1e-5)


def end_of_cylinder(case: Case) -> tuple[float, float]:
    """Share of the classical force and k, at a hinged end that is free along the axis or at a clamped one."""
    hinged = case.supports.outer_edge == "diaphragm"
    return cylinder_waves(case.material.poissons_ratio, clamped=not hinged, axially_free=hinged)


@pytest.mark.parametrize(("case", "expected"), repeated("edge_layer", "bifurcation_axial_force_N"))
def test_waves_at_the_ends_of_cylinders(case: Case, expected) -> None:
    """Seven digits are given, of which the search for the least keeps six: 1e-6."""
    nu = case.material.poissons_ratio
    force = 2.0 * math.pi * case.material.youngs_modulus * thickness_of(case) ** 2 / math.sqrt(3.0 * (1.0 - nu**2))
    assert -end_of_cylinder(case)[0] * force == pytest.approx(expected.value, rel=1e-6)


@pytest.mark.parametrize(("case", "expected"), repeated("edge_layer", "wave_number"))
def test_wave_numbers_of_edge_layers(case: Case, expected) -> None:
    """n = k (12 (1 - nu^2))^(1/4) sqrt(R/t) at the equator, or of a cylinder, is the middle of those allowed."""
    nu = case.material.poissons_ratio
    if case.family == "cylinder":
        _, k = end_of_cylinder(case)
    else:
        _, k = edge_waves(nu, clamped=case.supports.outer_edge == "clamped")
    n = k * (12.0 * (1.0 - nu**2)) ** 0.25 * math.sqrt(case.dimensions["radius"] / thickness_of(case))
    assert n == pytest.approx(sum(expected.value) / len(expected.value), abs=0.5)


def cylinder_in_waves(case: Case) -> tuple[float, int]:
    """Pressure [bar] and n of a whole cylinder, or of the whole that a case models half of."""
    radius, thickness = case.dimensions["radius"], thickness_of(case)
    length = case.meridian.length * (2.0 if case.supports.start_edge == "guided" else 1.0)
    E, force = case.material.youngs_modulus, case.loads.axial_force or 0.0
    axial = force / (2.0 * math.pi * radius * E)
    nu, closed = case.material.poissons_ratio, case.loads.end_thrust
    share, waves = pressure_of_cylinder(radius, thickness, length, nu, closed=closed, axial=axial)
    return 10.0 * share * E, waves


@pytest.mark.parametrize(("case", "expected"), repeated("sanders_koiter", "critical_pressure_bar"))
def test_critical_pressures_of_cylinders(case: Case, expected) -> None:
    """Five to six digits are given."""
    assert cylinder_in_waves(case)[0] == pytest.approx(expected.value, rel=2e-5)


def pushed_into_waves(case: Case) -> tuple[float, int]:
    """Axial force [N] and n of the whole of which a case models half."""
    radius, thickness, E = case.dimensions["radius"], thickness_of(case), case.material.youngs_modulus
    outside = (case.loads.pressure or 0.0) * (1.0 if case.loads.pressure_side == "outside" else -1.0)
    share, n, _ = force_of_cylinder(
        radius, thickness, 2.0 * case.meridian.length, case.material.poissons_ratio, pressure=outside / E
    )
    return 2.0 * math.pi * radius * E * share, n


@pytest.mark.parametrize(("case", "expected"), repeated("sanders_koiter", "critical_axial_force_N"))
def test_critical_forces_of_cylinders(case: Case, expected) -> None:
    """Seven digits are given."""
    assert pushed_into_waves(case)[0] == pytest.approx(expected.value, rel=1e-6)


@pytest.mark.parametrize(("case", "expected"), repeated("sanders_koiter", "wave_number"))
def test_wave_numbers_of_cylinders(case: Case, expected) -> None:
    waves = cylinder_in_waves if case.loads.increasing.is_pressure else pushed_into_waves
    assert waves(case)[1] == expected.value


@pytest.mark.parametrize(("case", "expected"), repeated("plate_limit", "limit_pressure_bar"))
def test_limits_of_plates(case: Case, expected) -> None:
    """Six digits are given."""
    edge = "clamped" if case.supports.outer_edge == "clamped" else "supported"
    moment = case.material.hardening.yield_stress * thickness_of(case) ** 2 / 4.0
    assert 10.0 * plate_limit(edge) * moment / case.dimensions["radius"] ** 2 == pytest.approx(expected.value, rel=2e-6)


def test_a_very_long_cylinder_is_a_ring() -> None:
    """p = E (t/R)^3 / (4 (1 - nu^2)) with n = 2 (M. Bresse 1866, from memory); 3e-4 of (t/R)^2 and end effects."""
    share, waves = critical_pressure(100.0, 1.0, 1e5, 0.3, closed=False)
    assert waves == 2
    assert share == pytest.approx(1e-6 / (4.0 * 0.91), rel=3e-4)


def test_axial_force_alone() -> None:
    """0.58598 E t/R at R/t = 100, L/R = 1 (computed for this project apart): no pressure is left there at n = 7."""
    share, waves = critical_pressure(100.0, 1.0, 100.0, 0.3, closed=False, axial=-0.58598e-2)
    assert waves == 7
    assert abs(share) < 1e-9


def unit_of_length(case: Case) -> float:
    """The length sqrt(R t) / (12 (1 - nu^2))^(1/4) [mm]."""
    nu = case.material.poissons_ratio
    return math.sqrt(case.dimensions["radius"] * thickness_of(case)) / (12.0 * (1.0 - nu**2)) ** 0.25


@pytest.mark.parametrize(("case", "expected"), repeated("dimple_bvp", "limit_pressure_bar"))
def test_dented_spheres(case: Case, expected) -> None:
    """Six digits are given, of which the search for the highest load keeps five: 2e-5."""
    depth = case.deviation.depth / thickness_of(case) * math.sqrt(12.0 * (1.0 - case.material.poissons_ratio**2))
    share = limit_load(case.deviation.width / unit_of_length(case), depth)
    assert share * classical_bar(case) == pytest.approx(expected.value, rel=2e-5)


@pytest.mark.parametrize(("case", "expected"), repeated("koiter_cylinder", "bifurcation_axial_force_N"))
def test_waved_cylinders(case: Case, expected) -> None:
    """Seven digits are given: 1e-6."""
    nu, n = case.material.poissons_ratio, case.analyses.wave_numbers[0]
    wave = case.deviation.depth / thickness_of(case) * math.sqrt(12.0 * (1.0 - nu**2))
    share = bifurcation_load(wave, n * unit_of_length(case) / case.dimensions["radius"])
    force = 2.0 * math.pi * case.material.youngs_modulus * thickness_of(case) ** 2 / math.sqrt(3.0 * (1.0 - nu**2))
    assert -share * force == pytest.approx(expected.value, rel=1e-6)
