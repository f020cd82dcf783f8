"""Derivatives of deviated shapes: by what units demand of them, and against the same steps taken again."""

from types import SimpleNamespace

import numpy as np
import pytest

from buckle.analysis import run, run_and_follow
from buckle.case import case_from_dict, replace_keys
from buckle.errors import SolveError
from buckle.report.sheet.effect_tables import without_slope
from buckle.sensitivity import sensitivities
from buckle.sensitivity.all import derive
from buckle.sensitivity.exact import PLAIN, neighbours, of_deviated
from buckle.sensitivity.numbers import Number
from buckle.sensitivity.slopes import Slopes, lowest
from buckle.sensitivity.variants import deviating, neighbours_of, variant_of
from scripts.study.sensitivities.replays import replays
from tests.helpers.bodies import BASE, cap_shape, case

METAL = {"yield_stress_MPa": 260.0, "hardening": {"law": "voce", "increment_MPa": 36.0, "rate": 40.0}}
DIMPLE = {"shape": "dimple", "width_mm": 4.0, "depth_mm": 0.1}


def cap(**deviation):
    body = case(cap_shape(4.0, 200.0, 0.3), run="GNA", edges={"outer_edge": "clamped"})
    tables = replace_keys(
        body.tables, {"analyses.run": ["GNIA"], "deviation": {**DIMPLE, "width_mm": 12.0, **deviation}}
    )
    return case_from_dict(tables)


def test_lengths_cancel_in_what_a_dimpled_cap_carries():
    """A pressure has the dimension of E: the exponents of all lengths add to 0, those of the dimple among them.

    5e-4: the limit is placed to a millionth of its load, which is at up to a thousandth of a step from it.
    """
    body = cap()
    value = run(body, "GNIA", estimate_error=False, pictures=False).limit.load * 10.0
    rows = sensitivities(body, "GNIA")["GNIA.limit_pressure_bar"]
    found = {row.key: row.relative / value for row in rows}
    lengths = [value for key, value in found.items() if key.endswith("_mm")]
    assert sum(lengths) == pytest.approx(0.0, abs=5e-4)
    assert found["material.youngs_modulus_MPa"] == pytest.approx(1.0, abs=1e-5)
    assert found["deviation.depth_mm"] < -0.01
    assert "deviation.width_mm" in found


def test_the_perfect_shape_has_no_derivative_by_a_deviation():
    body = case_from_dict(replace_keys(cap().tables, {"analyses.run": ["GNA", "GNIA"]}))
    made = derive(body, [run_and_follow(body, kind, PLAIN) for kind in body.analyses.run])
    keys = {name: {row.key for row in rows} for name, rows in made.rows.items()}
    assert "deviation.depth_mm" in keys["GNIA.limit_pressure_bar"]
    assert "deviation.depth_mm" not in keys["GNA.limit_pressure_bar"]
    assert "deviation.depth_mm" not in keys["enclosed_volume_ml"]


def test_a_shape_that_deviates_in_a_mode_is_refused():
    """With the reason: how the mode changes with the body is left out."""
    tables = cap().tables
    body = case_from_dict(
        {**tables, "deviation": {"shape": "mode", "analysis": "LBA", "wave_number": 0, "amplitude_mm": 0.1}}
    )
    with pytest.raises(SolveError, match="the mode changes with the body, and how is left out"):
        sensitivities(body, "GNIA")


def test_the_member_of_a_class_that_carries_least_is_the_one_derived():
    """On both sides of every number it is the dimple of the same place in the set, as deep as that body's class says.

    EN 1993-1-6's depth goes with sqrt(r t), so that it grows with the thickness.
    """
    body = case_from_dict({**cap().tables, "deviation": {"shape": "class", "quality": "B"}})
    thickness = neighbours_of(body, next(n.number for n in neighbours(body) if n.number.key == "shape.thickness_mm"))
    member = body.deviated[3]
    moved = deviating(thickness, body, member)
    depths = [side.meridian.pieces[0].profile.depth for side in (moved.below, moved.above)]
    stations = [side.meridian.pieces[0].profile.at for side in (moved.below, moved.above)]
    assert abs(depths[0]) < abs(member.profile.depth) < abs(depths[1])
    assert stations == pytest.approx([member.profile.at] * 2, rel=1e-3)


def test_waves_that_meet_have_two_derivatives_beyond_one_per_cent():
    """1.755 and 1.737 are within 2 %: their mean serves; of 0.0952 and 0.0931 both are told, with the reason."""
    number = Number("shape.gauge_mm", 1.0)
    one, two = (Slopes(1.0, np.array([a, b]), np.array([a, b])) for a, b in ((1.755, 0.0952), (1.737, 0.0931)))
    close, apart = lowest({"waves n = 19": one, "waves n = 18": two}).recorded([number, number])
    assert (close.derivative, close.reason) == (pytest.approx(1.746), "")
    assert (apart.left, apart.right) == (0.0952, 0.0931)
    assert "waves n = 19 and waves n = 18 are met at once" in apart.reason


def test_why_there_is_no_one_derivative_is_said_once():
    effects = [
        SimpleNamespace(key=key, capacity=SimpleNamespace(change=change), reason=reason)
        for key, change, reason in (("a", None, "met"), ("b", 1.0, ""), ("c", None, "met"), ("d", None, "one side"))
    ]
    sheet = SimpleNamespace(sensitivities=SimpleNamespace(effects=effects))
    assert without_slope(sheet) == ("by a, c: met", "by d: one side")


@pytest.mark.slow
@pytest.mark.study
def test_a_dimpled_base_against_the_same_steps_taken_again():
    """GMNIA through the whole history, by the dimple's own numbers and by two of the body's, to 1 %."""
    body = case(BASE, run="GMNA", nu=0.33, side="inside", edges={"outer_edge": "clamped"}, waves=(0, 30), metal=METAL)
    tables = {
        "analyses.run": ["GMNIA"],
        "deviation": {**DIMPLE, "at_mm": 6.0},
        "requirements.service_pressure_bar": 4.0,
    }
    body = case_from_dict(replace_keys(body.tables, tables))
    keys = ["deviation.at_mm", "deviation.width_mm", "deviation.depth_mm", "shape.gauge_mm", "shape.dome_depth_mm"]
    outcome, followed = run_and_follow(body, "GMNIA", PLAIN)
    exact = of_deviated(body, outcome, followed, neighbours(body, keys))
    (member,) = body.deviated
    names = {"growth": "growth_mm", "limit": "GMNIA.limit_pressure_bar"}
    again = {names[name]: work for name, work in replays(followed).items() if name in names}
    assert again
    for name, work_out in again.items():
        for row in exact[name]:
            near = deviating(neighbours_of(body, Number(row.key, row.value), 2e-6), body, member)
            variant = variant_of(followed.run, followed.trace.model, near)
            below, above = work_out(variant.below), work_out(variant.above)
            middle, unit = 0.5 * (below + above), 1.0 if name.endswith("mm") else 10.0
            difference = (above - below) / (2.0 * 2e-6 * middle)
            assert row.relative / (unit * middle) == pytest.approx(difference, rel=1e-2, abs=5e-4), (name, row.key)
