"""Junctions of a cylinder: worked numbers, limits, and the wall's own differential equation solved beside them."""

import numpy as np
import pytest
from scipy.integrate import solve_bvp

from buckle.formulas.edge import cylinder as edge
from buckle.formulas.edge import junction as edge_junction

PIPE = {"poissons_ratio": 0.3, "radius": 100.0, "thickness": 1.0, "length": 100.0}
E, NU, R, T = 200e3, 0.3, 100.0, 1.0

# R = 100, t = 1, E = 200 000, nu = 0.3, p = 0.1 MPa, end of thickness T: Q0, M0, bending stresses of the cylinder's
# edge, of the end's edge and centre, deflection of its centre; linear, the end's stretch included. Derived by hand for
# this project (two equations of compatibility).
FLAT_ENDS = [
    (1.0, 15.2068, 118.952, 713.71, 713.71, 523.79, 9.80132),
    (2.0, 11.6611, 89.3822, 536.29, 134.07, 175.30, 2.00137),
    (3.0, 7.21122, 54.0377, 324.23, 36.025, 101.48, 0.867901),
    (5.0, 2.78261, 19.1934, 115.16, 4.6064, 44.894, 0.246005),
    (10.0, 0.961256, 4.92637, 29.558, 0.29558, 12.079, 0.0337467),
]


@pytest.mark.parametrize(("end", "shear", "moment", "wall", "rim", "centre", "bulge"), FLAT_ENDS)
def test_flat_end(end, shear, moment, wall, rim, centre, bulge):
    """At a hundredth of the pressure, where the small deflections of the formula hold; everything is linear in it."""
    args = {**PIPE, "youngs_modulus": E, "end_thickness": end, "pressure": 1e-3}
    found = edge_junction.flat_end_stress(**args)
    given = {"Q": shear, "M": moment, "sigma_edge": wall, "sigma_end_edge": rim, "sigma_end_centre": centre}
    for symbol, value in given.items():
        assert found.number(symbol) * 100.0 == pytest.approx(value, rel=6e-5), symbol  # five printed digits
    assert found.value == pytest.approx(0.05 + wall / 100.0, rel=5e-5)
    assert edge_junction.flat_end_deflection(**args).value * 100.0 == pytest.approx(bulge, rel=1e-5)


def test_flat_end_that_bulges_more_has_no_value():
    found = edge_junction.flat_end_stress(**PIPE, youngs_modulus=E, end_thickness=1.0, pressure=0.1)
    assert found.value is None
    assert "w0/T = 9.80" in found.reason


def wall(end_conditions, pressure=1.0, thickness=T):
    """State (u, u', M, Q) of a closed wall from its edge inward: D u'''' + E t u / R^2 = p (1 - nu/2)."""
    D = E * thickness**3 / (12.0 * (1.0 - NU**2))
    bed = E * thickness / R**2

    def slopes(x, y):
        u, turn, moment, shear = y
        return np.array([turn, -moment / D, shear, bed * u - pressure * (1.0 - 0.5 * NU)])

    def boundary(start, far):
        return np.array([*end_conditions(start), far[1], far[3]])

    x = np.linspace(0.0, 120.0, 601)
    y = np.zeros((4, x.size))
    y[0] = pressure * (1.0 - 0.5 * NU) / bed
    found = solve_bvp(slopes, boundary, x, y, tol=1e-9, max_nodes=50_000)
    assert found.success, found.message
    return found


def greatest_stress(found, pressure=1.0, thickness=T):
    return 0.5 * pressure * R / thickness + 6.0 * np.max(np.abs(found.y[2])) / thickness**2


@pytest.mark.parametrize(("width", "height"), [(3.0, 2.0), (8.0, 4.0), (1.0, 6.0)])
def test_ring_at_the_edge_against_the_wall_solved(width, height):
    """Natural conditions of the energy of wall and ring, (E A u^2 + E I u'^2) / (2 R^2) at the edge.

    With M = -D u'' and Q = M' they read E A u / R^2 = Q and E I u' / R^2 = -M.
    """
    area, inertia = width * height, height * width**3 / 12.0

    def conditions(start):
        u, turn, moment, shear = start
        return u * E * area / R**2 - shear, turn * E * inertia / R**2 + moment

    found = edge_junction.ring_edge_stress(pressure=1.0, ring_width=width, ring_height=height, **PIPE)
    solved = wall(lambda start: [value / 1e3 for value in conditions(start)])
    assert abs(found.number("M")) == pytest.approx(abs(solved.y[2, 0]), rel=1e-5)
    assert abs(found.number("Q")) == pytest.approx(abs(solved.y[3, 0]), rel=1e-5)
    assert found.value == pytest.approx(greatest_stress(solved), rel=1e-4)  # its peak falls between points of the mesh


def test_a_huge_ring_clamps_and_none_leaves_the_edge_free():
    clamped = edge.clamped_end_stress(pressure=1.0, **PIPE)
    huge = edge_junction.ring_edge_stress(pressure=1.0, ring_width=4e3, ring_height=20.0, **PIPE)
    assert huge.value == pytest.approx(clamped.value, rel=1e-3)
    none = edge_junction.ring_edge_stress(pressure=1.0, ring_width=1e-3, ring_height=1e-3, **PIPE)
    assert none.value == pytest.approx(50.0, rel=1e-3)  # p R / (2 t)


@pytest.mark.parametrize(("width", "height"), [(3.0, 2.0), (8.0, 4.0)])
def test_ring_between_two_walls_against_the_wall_solved(width, height):
    """Half of the ring belongs to each wall, and neither turns."""
    area = width * height
    solved = wall(lambda start: [(start[0] * 0.5 * E * area / R**2 - start[3]) / 1e3, start[1]])
    found = edge_junction.ring_stiffener_stress(pressure=1.0, ring_width=width, ring_height=height, **PIPE)
    assert found.number("F") == pytest.approx(2.0 * abs(solved.y[3, 0]), rel=1e-5)
    assert found.value == pytest.approx(greatest_stress(solved), rel=1e-5)


def test_hemisphere_of_the_same_thickness():
    """Q0 0.97245 N/mm, M_max 2.4390 N, 1.2927 p R / (2 t): derived for this project; handbooks give 1.293."""
    found = edge_junction.hemisphere_unequal_stress(pressure=1.0, head_thickness=1.0, **PIPE)
    known = edge.hemisphere_junction_stress(pressure=1.0, **PIPE)
    assert found.number("Q") == pytest.approx(0.97245, rel=1e-5)
    assert found.number("M") == pytest.approx(0.0, abs=1e-12)
    assert abs(found.number("M_max")) == pytest.approx(2.4390, rel=4e-5)
    assert found.value == pytest.approx(known.value, rel=1e-12)
    assert found.value / 50.0 == pytest.approx(1.2927, rel=4e-5)


@pytest.mark.parametrize("head", [0.5, 0.8, 1.5, 2.5])
def test_hemisphere_of_another_thickness(head):
    """Both walls put back: the two sides move and turn alike under the Q and M found, by their own equation."""
    found = edge_junction.hemisphere_unequal_stress(pressure=1.0, head_thickness=head, **PIPE)
    shear, moment = found.number("Q"), found.number("M")
    D, D_s = (E * t**3 / (12.0 * (1.0 - NU**2)) for t in (T, head))
    b, b_s = ((3.0 * (1.0 - NU**2)) ** 0.25 / (R * t) ** 0.5 for t in (T, head))
    out = R**2 / (E * T) * (1.0 - 0.5 * NU) + (b * moment - shear) / (2.0 * b**3 * D)
    out_s = R**2 / (2.0 * E * head) * (1.0 - NU) + (b_s * moment + shear) / (2.0 * b_s**3 * D_s)
    assert out == pytest.approx(out_s, rel=1e-9)
    turn = (2.0 * b * moment - shear) / (2.0 * b**2 * D)
    turn_s = -(2.0 * b_s * moment + shear) / (2.0 * b_s**2 * D_s)
    assert turn == pytest.approx(turn_s, rel=1e-9, abs=1e-12)
    solved = wall(lambda start: [start[0] - out, start[1] + turn])
    assert abs(solved.y[2, 0]) == pytest.approx(abs(moment), rel=1e-5)
    assert found.value == pytest.approx(greatest_stress(solved), rel=1e-4)
