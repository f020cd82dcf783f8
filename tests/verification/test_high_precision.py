"""Closed forms and exact geometry against mpmath at thirty digits: a second evaluation that shares no code."""

import pytest
from mpmath import mp, mpf

from buckle.formulas import burst, capacity
from buckle.formulas.cylinder import buckling as cylinder
from buckle.formulas.edge import cylinder as edge
from buckle.formulas.sphere import perfect as sphere
from buckle.shapes import ellipsoidal_head, torispherical_head

mp.dps = 30
E, NU = mpf(69000), mpf(33) / 100
CLOSE = 1e-12  # of a value in double precision


def close(value: float | None, exact: mpf, tolerance: float = CLOSE) -> bool:
    return value == pytest.approx(float(exact), rel=tolerance)


@pytest.mark.parametrize("ratio", [50, 160, 2000])
def test_spheres(ratio: int) -> None:
    """Zoelly's pressure, and the least of Timoshenko and Gere's expression over whole degrees (both from memory)."""
    numbers = {"youngs_modulus": float(E), "poissons_ratio": float(NU), "radius": float(ratio), "thickness": 1.0}
    assert close(sphere.classical_pressure(**numbers).value, 2 * E / mpf(ratio) ** 2 / mp.sqrt(3 * (1 - NU**2)))

    def pressure(n: int) -> mpf:
        big, alpha = mpf(n * (n + 1) - 2), 1 / (12 * mpf(ratio) ** 2)
        load = (1 - NU**2) + alpha * (big**2 + 2 * big + (1 + NU) ** 2)
        return 2 * E / (ratio * (1 - NU**2)) * load / (big + 1 + 3 * NU)

    assert close(sphere.thin_shell_pressure(**numbers).value, min(pressure(n) for n in range(2, 200)))


@pytest.mark.parametrize(("ratio", "length"), [(100, 1), (330, 3)])
def test_von_mises_cylinder(ratio: int, length: int) -> None:
    """The form of Windenburg and Trilling 1934 (from memory), least over whole n."""

    def pressure(n: int) -> mpf:
        a1 = mp.pi / length
        bracket = 1 / (n**2 / a1**2 + 1) ** 2 + (n**2 - 1 + a1**2) ** 2 / (12 * mpf(ratio) ** 2 * (1 - NU**2))
        return E / ratio / (n**2 - 1 + a1**2 / 2) * bracket

    numbers = {"youngs_modulus": float(E), "poissons_ratio": float(NU), "radius": float(ratio), "thickness": 1.0}
    found = cylinder.hydrostatic_pressure(length=float(ratio * length), **numbers).value
    assert close(found, min(pressure(n) for n in range(2, 60)))


def test_burst_is_the_maximum_of_the_equilibrium_of_the_grown_sphere() -> None:
    """d/d eps of 2 sigma(eps) (t/R) exp(-3 eps/2) vanishes; root by mpmath, not by the closed form."""
    yield_stress, increment, rate = mpf(250), mpf(150), mpf(12)

    def pressure(eps: mpf) -> mpf:
        return 2 * (yield_stress + increment * (1 - mp.exp(-rate * eps))) / 100 * mp.exp(-3 * eps / 2)

    top = mp.findroot(lambda eps: mp.diff(pressure, eps), mpf("0.1"))
    found = burst.burst_voce(yield_stress=250.0, increment=150.0, rate=12.0, radius=100.0, thickness=1.0).value
    assert close(found, pressure(top))


def test_two_term_interaction() -> None:
    found = capacity.two_term(elastic_pressure=1.86, plastic_pressure=3.05).value
    assert close(found, 1 / (1 / mpf("1.86") + 1 / mpf("3.05")))


def test_edge_bending_decays_over_its_length() -> None:
    """1 / beta, beta^4 = 3 (1 - nu^2) / (R t)^2 (Timoshenko and Woinowsky-Krieger, from memory)."""
    found = edge.decay_length(poissons_ratio=float(NU), radius=33.0, thickness=0.1).value
    assert close(found, 1 / mp.root(3 * (1 - NU**2) / (mpf(33) * mpf("0.1")) ** 2, 4))


@pytest.mark.parametrize("aspect", [2, 3])
def test_arc_length_and_surface_of_an_ellipsoid(aspect: int) -> None:
    """Complete elliptic integral of the second kind; surface of an oblate half-spheroid."""
    a, b = mpf(250), mpf(250) / aspect
    head = ellipsoidal_head(diameter=500.0, aspect_ratio=float(aspect), thickness=1.0)
    square = 1 - (b / a) ** 2
    assert close(head.length, a * mp.ellipe(square))
    root = mp.sqrt(square)
    assert close(head.surface_area, mp.pi * a**2 * (1 + (1 - square) / root * mp.atanh(root)))


def test_volume_of_a_torispherical_head() -> None:
    """Integral of pi r^2 dz over crown and knuckle, by mpmath's quadrature of the circles themselves."""
    crown, knuckle, half = mpf(500), mpf(50), mpf(250)
    angle = mp.asin((half - knuckle) / (crown - knuckle))
    part_crown = mp.quad(lambda t: (crown * mp.sin(t)) ** 2 * crown * mp.sin(t), [0, angle])
    centre = half - knuckle
    part_knuckle = mp.quad(lambda t: (centre + knuckle * mp.sin(t)) ** 2 * knuckle * mp.sin(t), [angle, mp.pi / 2])
    head = torispherical_head(crown_radius=500.0, knuckle_radius=50.0, diameter=500.0, thickness=1.0)
    assert close(head.enclosed_volume, mp.pi * (part_crown + part_knuckle))
