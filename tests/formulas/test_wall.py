"""The axial force of a wall: values worked by hand, read tables, and the engine's plastic limit."""

import math

import numpy as np
import pytest

import buckle
from buckle.case import case_from_dict
from buckle.formulas.cylinder import axial, buckling, forms, plasticity, resistance
from tests.helpers.bodies import TUBE

WALL = {"radius": 33.0, "thickness": 0.105}
METAL = {"youngs_modulus": 69e3, "poissons_ratio": 0.33}
AREA = 2.0 * math.pi * 33.0 * 0.105
BORE = math.pi * 33.0**2


# What the wall sees ---------------------------------------------------------------------------------------------------


def test_axial_stress_is_that_of_the_closed_end_less_the_force():
    """6.2 bar on R/t = 314.286: 97.4286 MPa; 1000 N on 21.7712 mm2: 45.9322 MPa. Worked by hand."""
    found = axial.wall_axial_stress(pressure=0.62, axial_force=1000.0, **WALL)
    assert found.value == pytest.approx(97.4286 - 45.9322, abs=1e-4)
    crushed = axial.wall_axial_stress(pressure=0.0, axial_force=1000.0, **WALL)
    assert crushed.value == pytest.approx(-45.9322, abs=1e-4)


def test_equivalent_stress():
    """Around 194.857, along 51.4964: sqrt(2651.88 - 10034.44 + 37969.31) = 174.891 MPa. Worked by hand."""
    found = axial.wall_equivalent_stress(pressure=0.62, axial_force=1000.0, **WALL)
    assert found.value == pytest.approx(174.891, abs=2e-3)
    alone = axial.wall_equivalent_stress(pressure=0.0, axial_force=1000.0, **WALL)
    assert alone.value == pytest.approx(45.9322, abs=1e-4)


def test_compression_vanishes_at_the_relieving_pressure():
    """80 kg * 9.80665 m/s2 = 784.532 N over pi 33^2 = 3421.19 mm2: 0.229315 MPa, 2.29 bar. Worked by hand."""
    found = axial.relieving_pressure(axial_force=784.532, radius=33.0)
    assert found.value == pytest.approx(0.229315, abs=1e-6)
    left = axial.wall_axial_stress(pressure=found.value, axial_force=784.532, **WALL)
    assert left.value == pytest.approx(0.0, abs=1e-12)


# What it stands -------------------------------------------------------------------------------------------------------


def test_classical_force_and_thrust():
    """2 pi * 69000 * 0.105^2 / sqrt(3 * 0.8911) = 2923.4 N by hand; collected trade data say 2.9 kN.

    The classical stress times the area is the same number by another formula; the thrust of 2 bar is 684.24 N.
    """
    found = axial.axial_force(**METAL, **WALL)
    assert found.value == pytest.approx(2923.4, abs=0.1)
    stress = buckling.axial_stress(**METAL, **WALL, length=90.0)
    assert found.value == pytest.approx(stress.number("N"), rel=1e-12)
    pressed = axial.axial_force(**METAL, **WALL, pressure=0.2)
    assert pressed.value - found.value == pytest.approx(684.24, abs=0.01)


# R/t against gamma: worked out from equations 9 and 10 of NASA/SP-8007-2020/REV 2 for this project, four digits.
GAMMA = {50: 0.6782, 100: 0.5813, 200: 0.4713, 330: 0.3885, 500: 0.3217, 1000: 0.2238, 1500: 0.1791}
# The amplitude over the wall that leaves the same factor by equation 138 with a = 1.2392 (nu = 0.3): the same origin.
RIPPLES = {50: 0.0616, 100: 0.1217, 200: 0.2393, 330: 0.3884, 500: 0.5770, 1000: 1.0859}


@pytest.mark.parametrize("ratio", GAMMA)
def test_lower_bound_is_the_factor_of_the_classical_force_and_the_thrust(ratio):
    wall = {"radius": 0.1 * ratio, "thickness": 0.1}
    found = axial.axial_force_lower_bound(**METAL, **wall, pressure=0.1)
    classical = axial.axial_force(**METAL, **wall).value
    thrust = 0.1 * math.pi * (0.1 * ratio) ** 2
    assert (found.value - thrust) / classical == pytest.approx(GAMMA[ratio], abs=6e-5)  # four printed digits


def test_lower_bound_agrees_with_the_stress_form_without_increment():
    force = axial.axial_force_lower_bound(**METAL, **WALL, pressure=0.3)
    stress = forms.pressurised_axial_stress(pressure=0.3, **METAL, **WALL)
    assert force.value == pytest.approx(stress.number("N"), rel=1e-12)


@pytest.mark.parametrize("ratio", RIPPLES)
def test_ripples_that_leave_the_lower_bound(ratio):
    """The printed amplitudes carry four digits: their last half moves gamma by less than 1e-4."""
    found = axial.axial_knock_down_of_ripples(poissons_ratio=0.3, amplitude=RIPPLES[ratio], thickness=1.0)
    assert found.number("a") == pytest.approx(1.2392, abs=5e-5)
    assert found.value == pytest.approx(GAMMA[ratio], abs=2e-4)


def test_ripples_obey_koiters_law():
    """(1 - g)^2 = (3/2) sqrt(3 (1 - nu^2)) e g, the law that the missing a was taken from (from memory)."""
    found = axial.axial_knock_down_of_ripples(poissons_ratio=0.33, amplitude=0.07, thickness=0.1)
    left, right = (1.0 - found.value) ** 2, 1.5 * math.sqrt(3.0 * (1.0 - 0.33**2)) * 0.7 * found.value
    assert left == pytest.approx(right, rel=1e-12)
    assert axial.axial_knock_down_of_ripples(poissons_ratio=0.3, amplitude=0.2, thickness=0.1).value is None


def test_squash_force_of_the_wall_alone():
    """280 MPa on 21.7712 mm2 = 6095.95 N; at 6.2 bar sqrt(280^2 - 0.75 * 194.857^2) = 223.435 MPa. By hand."""
    assert axial.axial_squash_force(yield_stress=280.0, **WALL).value == pytest.approx(6095.95, abs=0.01)
    pressed = axial.axial_squash_force(yield_stress=280.0, **WALL, pressure=0.62)
    assert pressed.value / AREA == pytest.approx(223.435, abs=2e-3)


def test_squash_force_beyond_the_yield_pressure_says_so():
    """Closed tube: p = (2/sqrt(3)) 280 * 0.105 / 33 = 1.0287 MPa."""
    found = axial.axial_squash_force(yield_stress=280.0, **WALL, pressure=1.03)
    assert found.value is None
    assert "the pressure alone makes the wall yield" in found.reason
    assert axial.axial_squash_force(yield_stress=280.0, **WALL, pressure=1.028).value > 0.0


def test_squash_force_is_what_the_engine_finds():
    """A closed tube that carries 0.6 of its squash force yields at the pressure that leaves it just that force.

    0.1 %: t/(2R) of the force acts off the middle of the wall, and the slope that ideal plasticity keeps.
    """
    size = {"radius": 100.0, "thickness": 1.0}
    force = 0.6 * axial.axial_squash_force(yield_stress=250.0, **size).value
    case = case_from_dict(
        {
            "material": {
                "youngs_modulus_GPa": 69.0,
                "poissons_ratio": 0.3,
                "yield_stress_MPa": 250.0,
                "hardening": {"law": "none"},
            },
            "shape": TUBE,
            "supports": {"start_edge": "roller", "outer_edge": "free"},
            "loads": {"pressure_side": "inside", "axial_force_N": -force},
            "analyses": {"run": ["MNA"], "wave_numbers": [0, 0]},
        }
    )
    limit = buckle.run(case, "MNA").limit
    left = axial.axial_squash_force(yield_stress=250.0, **size, pressure=limit.pressure)
    assert left.value == pytest.approx(force, rel=1e-3)


def test_outside_pressure_takes_its_share():
    """R_c + R_p = 1: at 40 % of the pressure capacity 60 % of the force is left; none where the pressure is all."""
    args = {"force_capacity": 1160.0, "pressure_capacity": 0.01}
    found = axial.axial_force_with_outside_pressure(**args, outside_pressure=0.004)
    assert found.value == pytest.approx(696.0, rel=1e-12)
    assert axial.axial_force_with_outside_pressure(**args, outside_pressure=0.01).value == 0.0
    assert axial.axial_force_with_outside_pressure(**args, outside_pressure=0.011).value is None


def lateral_bifurcation(force):
    """Pressure [MPa] on the side of R 100, t 1, L 200, ends held round and free to rotate, under an axial force [N].

    Half of it to its plane of symmetry, as cases/benchmarks/cylinder/lba-lateral-with-axial-compression.toml, whose
    independent reference keeps 0.5482 of the pressure at half of the classical force.
    """
    case = case_from_dict(
        {
            "material": {"youngs_modulus_GPa": 200.0, "poissons_ratio": 0.3},
            "shape": {"family": "cylinder", "radius_mm": 100.0, "length_mm": 100.0, "thickness_mm": 1.0},
            "supports": {"start_edge": "guided", "outer_edge": "diaphragm"},
            "loads": {"pressure_side": "outside", "end_thrust": False, "axial_force_N": -force},
            "analyses": {"run": ["LBA"], "wave_numbers": [1, 20]},
        }
    )
    return buckle.run(case, "LBA").lowest_critical.pressure


def test_the_straight_line_between_force_and_outside_pressure_is_below_the_engines_curve():
    """R_c + R_p = 1 on perfect capacities: at a quarter and at half of the classical force more pressure is left.

    And the force matters: at half of it some pressure is lost.
    """
    alone = lateral_bifurcation(0.0)
    classical = axial.axial_force(youngs_modulus=200e3, poissons_ratio=0.3, radius=100.0, thickness=1.0).value
    for share in (0.25, 0.5):
        line = axial.axial_force_with_outside_pressure(
            force_capacity=classical, pressure_capacity=alone, outside_pressure=(1.0 - share) * alone
        )
        assert line.value == pytest.approx(share * classical)
        found = lateral_bifurcation(share * classical)
        assert (1.0 - share) * alone < found < 0.99 * alone


# Plasticity -----------------------------------------------------------------------------------------------------------

MODULI = {"youngs_modulus": 1.0, "secant_modulus": 0.5, "tangent_modulus": 0.125, "poissons_ratio": 0.0}


def of_batdorf(Z, ratio=100.0):
    """A cylinder of that Z at nu = 0: L = sqrt(Z R t)."""
    return {"radius": ratio, "thickness": 1.0, "length": math.sqrt(Z * ratio)}


@pytest.mark.parametrize(
    ("Z", "eta"),
    [
        (1e-4, 0.125),  # E_tan / E
        (1.425, 0.1875),  # half of the way to 2.85
        (2.85, 0.25),  # sqrt(0.5 * 0.125)
        (500.0, 0.25),
    ],
)
def test_axial_plasticity_factor(Z, eta):
    """NASA/SP-8007-2020/REV 2, equations 11 and 12 (read); worked by hand. 1e-4 of Z is 1e-5 of the way."""
    found = plasticity.axial_plasticity_factor(**MODULI, **of_batdorf(Z))
    assert found.value == pytest.approx(eta, abs=1e-5)


@pytest.mark.parametrize(
    ("Z", "eta"),
    [
        (4.0, 0.5 * (0.5 + 0.5 * math.sqrt(0.4375))),  # 1/4 + 3/4 * 0.25 = 0.4375
        (5.0, 0.4153594),
        (52.5, 0.3246066),  # half of the way
        (100.0, 0.2338536),
        (117_000.0, 0.5 * math.sqrt(0.5 * 0.4375)),  # 11.8 * 100^2 = 118 000
        (119_000.0, 0.5 * 0.4375),
    ],
)
def test_lateral_plasticity_factor(Z, eta):
    """NASA/SP-8007-2020/REV 2, equations 30, 31 and 32 (read); worked by hand, seven digits."""
    found = plasticity.lateral_plasticity_factor(**MODULI, **of_batdorf(Z))
    assert found.value == pytest.approx(eta, rel=1e-6)


def test_knock_down_belongs_to_the_batdorf_parameter():
    """gamma Z decides: half of Z = 5.7 with gamma = 0.5 is 2.85, a quarter of the way to it with gamma = 0.125."""
    half, less = (
        plasticity.axial_plasticity_factor(**MODULI, **of_batdorf(5.7), gamma=gamma).value for gamma in (0.5, 0.125)
    )
    assert half == pytest.approx(0.25, rel=1e-9)
    assert less == pytest.approx(0.125 + 0.25 * 0.125, rel=1e-9)


@pytest.mark.parametrize("rule", [plasticity.axial_plasticity_factor, plasticity.lateral_plasticity_factor])
@pytest.mark.parametrize("Z", [1.0, 50.0, 1e4, 1e6])
def test_elastic_metal_keeps_its_modulus(rule, Z):
    elastic = {"youngs_modulus": 1.0, "secant_modulus": 1.0, "tangent_modulus": 1.0, "poissons_ratio": 0.0}
    assert rule(**elastic, **of_batdorf(Z)).value == pytest.approx(1.0, rel=1e-12)


VOCE = {"yield_stress": 262.0, "increment": 34.0, "rate": 40.0}


def plastic(ratio, gamma=1.0, **law):
    size = {"radius": ratio, "thickness": 1.0, "length": 3.0 * ratio}
    return plasticity.plastic_axial_stress(**METAL, **{**VOCE, **law}, **size, gamma=gamma)


def test_thin_wall_buckles_elastically():
    """R/t = 314: 134.5 MPa, half of yield; a container's wall does not ask for a plasticity factor."""
    found = plastic(33.0 / 0.105)
    classical = buckling.axial_stress(**METAL, **WALL, length=90.0)
    assert found.value == pytest.approx(classical.value, rel=1e-12)
    assert found.number("eta") == 1.0


def test_corner_of_the_law_holds_the_stress_at_yield():
    """R/t = 100: elastic 422 MPa, but beyond yield sqrt(E_sec E_tan) = 0.139 E leaves 59 MPa: it buckles at yield."""
    assert plastic(100.0).value == 262.0


@pytest.mark.parametrize(("ratio", "rate"), [(33.0, 300.0), (25.0, 1000.0), (100.0, 2000.0)])
def test_plastic_stress_against_a_search(ratio, rate):
    """The first plastic strain at which gamma E t/R ... sqrt(E_sec E_tan)/E is no more than the metal's stress."""
    strain = np.linspace(0.0, 0.05, 2_000_001)
    stress = 262.0 + 34.0 * (1.0 - np.exp(-rate * strain))
    secant = 1.0 / (1.0 / 69e3 + strain / stress)
    tangent = 1.0 / (1.0 / 69e3 + 1.0 / (34.0 * rate * np.exp(-rate * strain)))
    carried = 0.9 * 69e3 / math.sqrt(3.0 * (1.0 - 0.33**2)) / ratio * np.sqrt(secant * tangent) / 69e3
    first = int(np.argmax(carried <= stress))
    assert first > 0
    found = plastic(ratio, gamma=0.9, rate=rate)
    assert found.value == pytest.approx(stress[first], abs=34.0 * rate * 2.5e-8)  # a step in strain
    assert found.number("eps") == pytest.approx(strain[first], abs=5e-8)


# Capacity curves ------------------------------------------------------------------------------------------------------


def test_force_from_own_analyses_worked_by_hand():
    """R/t = 400, quality B: alpha = 0.259946; F_pl / F_cr = 1.5, lambda = 1.224745 > lambda_p = 0.806142.

    F_k = alpha F_cr = 1039.78 N; over gamma_M1 = 1.1 it is 945.26 N.
    """
    args = {"elastic_force": 4000.0, "plastic_force": 6000.0, "radius": 400.0, "thickness": 1.0, "quality": 25.0}
    found = resistance.cylinder_axial_force(**args)
    assert found.number("lambda") == pytest.approx(1.224745, rel=1e-6)
    assert found.value == pytest.approx(1039.78, abs=0.01)
    design = resistance.cylinder_axial_design_force(**args, partial_factor=1.1)
    assert design.value == pytest.approx(945.26, abs=0.01)
    assert design.number("F_k") == pytest.approx(found.value, rel=1e-12)


def test_force_curve_is_the_stress_curve():
    """With the form's own two limits the force is that of the stress form, `capacity.cylinder_axial`."""
    from_stress = resistance.cylinder_axial_force(
        elastic_force=2541.0, plastic_force=240.0, radius=50.0, thickness=1.0, quality=40.0
    )
    assert from_stress.value == pytest.approx(0.932722 * 240.0, rel=2e-6)  # worked by hand in its own test


@pytest.mark.parametrize(
    ("pressure", "stress", "governs"),
    [(0.1, 117.6906, "alpha_e"), (0.5, 49.07539, "alpha_p")],
)
def test_pressurised_capacity_worked_by_hand(pressure, stress, governs):
    """R/t = 400, L/R = 2, E = 210 000, sigma_y = 240, quality B: sigma_cr = 317.625, alpha = 0.259946, s = 1.

    1 bar: p_g = 0.125935, alpha_e = 0.259946 + 0.740054 * 0.125935 / (0.125935 + 0.588403) = 0.390414, lambda_p =
    0.987944, chi = 1 - 0.6 * 0.669257 / 0.787944 = 0.490378. 5 bar: u = 0.833333, alpha_p = 0.305556 * (1 - 1/2.12) *
    (1 + 1.21 * 0.755608) / 2 = 0.154507, elastic: chi = 0.154507 / 0.755608.
    """
    found = resistance.cylinder_axial_pressurised(
        pressure=pressure,
        youngs_modulus=210e3,
        yield_stress=240.0,
        radius=400.0,
        thickness=1.0,
        length=800.0,
        quality=25.0,
    )
    assert found.value == pytest.approx(stress, rel=1e-5)
    assert found.number(governs) == min(found.number("alpha_e"), found.number("alpha_p"))
    outer = found.value * 2.0 * math.pi * 400.0 + pressure * math.pi * 400.0**2
    assert found.number("F") == pytest.approx(outer, rel=1e-12)


def test_a_wall_that_the_pressure_all_but_yields_has_no_capacity():
    """u = 0.9975, alpha_p = 0.0048: lambda_p = 0.11 lies below lambda_0, where the curve would say that it squashes."""
    wall = {"radius": 60.0, "thickness": 1.0, "length": 120.0, "quality": 25.0}
    found = resistance.cylinder_axial_pressurised(pressure=3.99, youngs_modulus=210e3, yield_stress=240.0, **wall)
    assert found.value is None
    assert "lambda_p - lambda_0" in found.reason


def test_aluminium_worked_by_hand():
    """R/t = 400, L/R = 2, E = 70 000, 0.2 % proof stress 200, class 2, buckling class A; sigma_cr = 105.875.

    lambda = sqrt(200 / 105.875) = 1.374416, (sqrt(210) * 1.174416 / 25)^1.44 = 0.574760, alpha = 1 / (1 + 2.6 *
    0.574760) = 0.400890, Phi = 0.5 (1 + 0.35 * 1.174416 + 1.889020) = 1.650033, chi = 1 / (1.650033 + sqrt(2.722608 -
    1.889020)) = 0.390161: 31.2823 MPa.
    """
    shell = {"radius": 400.0, "thickness": 1.0, "length": 800.0}
    metal = {"youngs_modulus": 70e3, "yield_stress": 200.0, "squash_limit": 0.2, "perry_factor": 0.35}
    found = resistance.aluminium_cylinder_axial(**metal, **shell, quality=25.0)
    assert found.number("alpha") == pytest.approx(0.400890, rel=2e-6)
    assert found.number("chi") == pytest.approx(0.390161, rel=2e-6)
    assert found.value == pytest.approx(31.2823, rel=2e-6)


def test_stocky_aluminium_squashes():
    """R/t = 20, sigma_cr = 2117 and sigma_y = 40: lambda = 0.1374 below lambda_0, so that alpha and chi are 1."""
    found = resistance.aluminium_cylinder_axial(
        youngs_modulus=70e3,
        yield_stress=40.0,
        radius=20.0,
        thickness=1.0,
        length=40.0,
        quality=25.0,
        squash_limit=0.2,
        perry_factor=0.35,
    )
    assert found.value == 40.0


def test_what_is_from_memory_says_so():
    assert "from memory, of medium certainty" in resistance.aluminium_cylinder_axial.statement.source


def test_an_open_tube_yields_without_thrust() -> None:
    """sigma_t = 100 of 200 MPa: 2 pi 100 (sqrt(200^2 - 75 * 100) - 50) = 81 856 N; worked by hand here."""
    found = axial.axial_squash_force_open(yield_stress=200.0, radius=100.0, thickness=1.0, pressure=1.0)
    assert found.value == pytest.approx(81856.0, rel=1e-5)
    burst = axial.axial_squash_force_open(yield_stress=200.0, radius=100.0, thickness=1.0, pressure=2.0)
    assert burst.value is None
