"""Volume that a body gains under its pressure, and the demand of contents that share it."""

import math
from dataclasses import replace

import numpy as np
import pytest

from buckle.analysis.setup import model_of, run_of
from buckle.analysis.swelling import gained, swelled, swelling_of
from buckle.case import Case, case_from_dict
from buckle.demand.filling import Evenly
from buckle.demand.swelling import PathSwelling
from buckle.solve.linear import solve_linear

METAL = {"youngs_modulus_GPa": 69.0, "poissons_ratio": 0.3}
CONTENTS = {
    "gas": "carbon_dioxide",
    "carbonation_volumes": 2.5,
    "drink": "water",
    "liquid_ml": 330.0,
    "headspace_ml": 20.0,
    "fill_temperature_degC": 4.0,
    "temperatures_degC": [20.0, 55.0],
}


def tube(**contents: object) -> Case:
    """A closed tube, R = 29, L = 100, t = 0.1 mm, whose ends slide and do not turn: it widens alike all along."""
    return case_from_dict(
        {
            "material": METAL,
            "shape": {"family": "cylinder", "radius_mm": 29.0, "length_mm": 100.0, "thickness_mm": 0.1},
            "supports": {"start_edge": "guided", "outer_edge": "free"},
            "loads": {"pressure_side": "inside"},
            "analyses": {"run": ["GNA"], "wave_numbers": [0, 0]},
            "contents": CONTENTS | contents,
        }
    )


def test_a_tube_gains_what_its_two_strains_say() -> None:
    """pi R^2 L (2 e_t + e_x), e_t = p R (1 - nu/2) / (E t), e_x = p R (1/2 - nu) / (E t); elementary.

    2 %: the state of 1 bar is linear to its strains of 4e-4, and only the free edge bends.
    """
    model = model_of(run_of(tube(), "LA"))
    at = solve_linear(model, 0.1)
    strain = 0.1 * 29.0 / (69e3 * 0.1)
    expected = math.pi * 29.0**2 * 100.0 * strain * (2.0 * 0.85 + 0.2)
    assert gained(model, at) == pytest.approx(expected, rel=0.02)


def test_pressure_and_volume_agree() -> None:
    """What the balance takes as gained is what the path gains there; a rigid container sees more."""
    case = tube()
    own = swelled(case)
    assert case.demand is not None
    assert own.rigid == pytest.approx(case.demand.pressure, rel=1e-12)
    governing = own.demand.governing.state
    assert governing.gauge < own.rigid
    assert own.gained == pytest.approx(own.swelling(governing.gauge), rel=1e-12)
    assert not any("rigid" in each for each in own.demand.assumptions)


def test_the_compliance_that_is_said_gives_the_same_demand() -> None:
    """Written into the case as it is said, in ml for a bar: the same pressure in the condition that governs."""
    own = swelled(tube())
    written = tube(compliance_ml_per_bar=1e-4 * own.compliance)
    assert written.demand is not None
    assert written.demand.pressure == pytest.approx(own.demand.pressure, rel=1e-9)
    assert isinstance(written.demand.filling.body.swelling, Evenly)
    assert swelled(written).rigid == pytest.approx(own.rigid, rel=1e-9)


def test_volume_never_falls_and_ends_where_the_path_does() -> None:
    found = swelling_of(tube())
    assert found.kind == "GNA"
    assert found.volume[0] == found.pressure[0] == 0.0
    assert np.all(np.diff(found.volume) >= 0.0)
    assert found(found.pressure[-1] + 1.0) == found.volume[-1]
    assert found(-0.05) == 0.0


def test_what_was_gained_at_closing_is_not_gained_again() -> None:
    path = PathSwelling("GNA", np.array([0.0, 0.2]), np.array([0.0, 500.0]))
    assert replace(path, closed_at=0.1)(0.1) == 0.0
    assert replace(path, closed_at=0.1)(0.15) == pytest.approx(125.0)
