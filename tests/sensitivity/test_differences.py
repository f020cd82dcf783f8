"""The interface of sensitivities on a body whose derivatives are known in closed form."""

import pytest

from buckle.errors import CaseError
from buckle.sensitivity import sensitivities
from tests.helpers.bodies import SPHERE, case


def test_volume_and_mass_of_a_sphere():
    """V = 4 pi R^3 / 3: d ln V / d ln R = 3; the mass follows R^2 and t but for terms of the size of (t/R)^2."""
    sphere = case(SPHERE, run="LBA", metal={"density_kg_per_m3": 2700.0})
    found = sensitivities(sphere, "LBA", ["shape.radius_mm", "shape.thickness_mm"])
    volume, mass = found["enclosed_volume_ml"], found["mass_g"]
    assert volume[0].derivative == pytest.approx(4.0 * 3.14159265 * 100.0**2 / 1000.0, rel=1e-4)
    assert volume[1].derivative == pytest.approx(0.0, abs=1e-9)
    assert mass[0].derivative * 100.0 == pytest.approx(2.0 * mass[1].derivative, rel=1e-4)


def test_a_key_that_is_no_dimension_is_refused():
    with pytest.raises(CaseError, match=r"loads.follower: no dimension, gauge or metal property"):
        sensitivities(case(SPHERE, run="LBA"), "LBA", ["loads.follower"])
