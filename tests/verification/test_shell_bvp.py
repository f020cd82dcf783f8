"""The second opinion against an independent boundary-value solution, and the package's cap curves against it."""

import math

import pytest

from buckle.formulas import cap
from tests.references.shell_bvp import cap_limit, cap_parameter, half_angle_of

# Computed for this project with a separate code: boundary-value problem of the geometrically exact, shear-rigid or
# shear-flexible (5/6) shell of revolution; clamped cap, nu = 0.3, pressure on the mid-surface, over 2 E (t/R)^2 /
# sqrt(3 (1 - nu^2)); given to six digits.
CLAMPED = [
    # lambda, R/t, follower, shear, limit
    (4.0, 200.0, True, False, 0.565963),
    (4.0, 200.0, False, False, 0.564835),
    (4.0, 200.0, True, True, 0.564601),
    (4.0, 400.0, True, False, 0.564842),
    (4.0, 400.0, True, True, 0.564160),
    (6.0, 200.0, True, False, 0.981359),
    (6.0, 200.0, False, False, 0.977517),
    (6.0, 200.0, True, True, 0.977341),
    (6.0, 400.0, True, False, 0.976657),
    (6.0, 400.0, True, True, 0.974662),
]


@pytest.mark.parametrize(
    ("parameter", "ratio", "follower", "shear", "limit"),
    [pytest.param(*row, marks=pytest.mark.slow if at % 2 else ()) for at, row in enumerate(CLAMPED)],
)
def test_limit_agrees_with_a_separate_boundary_value_code(parameter, ratio, follower, shear, limit):
    half_angle = half_angle_of(parameter, ratio, 0.3)
    found = cap_limit(ratio, 1.0, half_angle, 0.3, follower=follower, shear=shear)
    # 2e-6 is the last digit of the reference and the 1e-6 of the search for the maximum.
    assert found == pytest.approx(limit, rel=2e-6)


# As above, but lambda formed with the edge radius R sin(phi); computed for this project, five digits.
@pytest.mark.parametrize(("parameter", "ratio", "limit"), [(5.0, 50.0, 0.64657), (8.0, 500.0, 1.11716)])
def test_limit_with_the_parameter_of_the_edge_radius(parameter, ratio, limit):
    half_angle = math.asin(parameter / cap_parameter(ratio, 1.0, math.pi / 3.0, 0.3))  # 2 sin(pi/6) = 1
    assert cap_limit(ratio, 1.0, half_angle, 0.3, follower=True, shear=False) == pytest.approx(limit, rel=1e-5)


def test_a_scaled_cap_has_the_same_limit():
    limits = [
        cap_limit(size * 150.0, size, 0.25, 0.33, follower=True, shear=True, clamped=False) for size in (1.0, 0.27)
    ]
    assert limits[0] == pytest.approx(limits[1], rel=1e-9)


SHARED = {"youngs_modulus": 69e3, "radius": 40000.0, "thickness": 1.0}


@pytest.mark.parametrize(
    ("rule", "clamped", "nu", "parameter"),
    [
        (cap.clamped_limit_point, True, 0.3, 4.35),
        pytest.param(cap.clamped_limit_point, True, 0.3, 5.635, marks=pytest.mark.slow),
        (cap.clamped_limit_point, True, 0.33, 7.25),
        pytest.param(cap.hinged_limit_point, False, 0.3, 3.4, marks=pytest.mark.slow),
        (cap.hinged_limit_point, False, 0.33, 5.75),
    ],
)
def test_interpolated_limit_of_a_thin_cap(rule, clamped, nu, parameter):
    """Points between those of the table: 0.1 % of interpolation and 0.01 % of finite t/R, both measured."""
    half_angle = half_angle_of(parameter, 40000.0, nu)
    found = rule(poissons_ratio=nu, half_angle=half_angle, **SHARED)
    exact = cap_limit(40000.0, 1.0, half_angle, nu, follower=True, shear=False, clamped=clamped)
    assert found.number("lambda") == pytest.approx(parameter, rel=1e-12)
    assert found.value / found.number("p_cl") == pytest.approx(exact, rel=1.1e-3)
