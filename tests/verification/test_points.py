"""The compiled points of a step against their plain form, and the laws it knows against `buckle.material`."""

import numpy as np
import pytest

from buckle.material import (
    Hardening,
    Material,
    linear_hardening,
    ramberg_osgood,
    swift_hardening,
    table_hardening,
    voce_hardening,
)
from buckle.meridian import Meridian, Piece
from buckle.mesh import Grading
from buckle.shell.model import Fineness, Load, Model, build_model
from buckle.shell.operators import answer_of, evaluate
from buckle.shell.strain import ENGINEERING, LOGARITHMIC, StrainMeasure
from tests.references import pure_points

LAWS = {
    "ideal": linear_hardening(262.0),
    "linear": linear_hardening(262.0, 700.0),
    "voce": voce_hardening(262.0, 38.0, 40.0),
    "swift": swift_hardening(262.0, 0.01, 0.1),
    "table": table_hardening((0.0, 0.01, 0.05, 0.2), (262.0, 275.0, 290.0, 310.0)),
    "ramberg_osgood, 5": ramberg_osgood(262.0, 5.0),
    "ramberg_osgood, 30": ramberg_osgood(262.0, 30.0),
}


def made_model(law: Hardening | None, measure: StrainMeasure, layers: int = 6) -> Model:
    """A dome, an arc the other way round and a thinning cone, on few elements."""
    pieces = (
        Piece(12.0, -1 / 45.0, (0.27, 0.25)),
        Piece(2.0, 1 / 1.7, (0.27, 0.25)),
        Piece(4.0, 0.0, (0.25, 0.15), turn_here=0.3),
    )
    meridian = Meridian((0.0, 10.0), 0.0, "left", pieces, {})
    coarse = Fineness(Grading(per_decay=3.0, per_turn=1.0, per_meridian=4), layers=layers)
    return build_model(meridian, Material(69000.0, 0.33, 0.0, law), (None, "free"), Load(), coarse, measure)


def walk(model: Model) -> np.ndarray:
    """Displacements along a path that goes out, turns, and comes back, (7, size)."""
    rng = np.random.default_rng(20_777)
    onward, aside = 0.02 * rng.standard_normal((2, model.shell.size))
    turns = np.array([0.3, 0.6, 0.8, 0.79, 0.795, 1.0, 0.4])[:, None]
    return turns * onward + 0.2 * np.arange(7)[:, None] ** 2 / 49.0 * aside


def test_elastic_layers_stay_where_they_are_in_the_wall() -> None:
    """They keep no history; their number may be odd, for which there is no table of how halves of a wall thin."""
    model = made_model(None, LOGARITHMIC, layers=3)
    x = walk(model)[0]
    answer, start = answer_of(model.shell, x), model.shell.wall.unstrained
    assert np.array_equal(answer.history.position, start.position)
    assert np.max(np.abs(answer.tau)) > 0.0


@pytest.mark.parametrize("law", LAWS.values(), ids=LAWS)
def test_plastic_points_are_those_of_the_plain_form(law: Hardening) -> None:
    """Seven states, loading and unloading, history handed on.

    Stress to a billionth of the yield stress; moduli to 1e-6, since both stop at a millionth of a millionth of strain
    and a slope of 1e7 MPa makes more of that.
    """
    model = made_model(law, LOGARITHMIC)
    history, flowed = model.shell.wall.virgin, []
    for x in walk(model):
        at = evaluate(model, x, history)
        plain = pure_points.respond(model, history, at.q)
        assert np.max(np.abs(np.stack(at.resultants.tau) - plain.tau)) < 1e-7 * 262.0
        assert np.max(np.abs(at.history.equivalent - plain.equivalent)) < 1e-9
        assert np.max(np.abs(at.history.strain - plain.strain)) < 1e-9
        assert np.max(np.abs(at.history.position - plain.position)) < 1e-9
        assert np.max(np.abs(at.hess - plain.hess)) < 1e-6 * np.max(np.abs(plain.hess))
        flowed.append(float(np.mean(at.history.equivalent > history.equivalent)))
        history = at.history
    assert max(flowed) > 0.3  # many layers flow ...
    assert min(flowed[1:]) < 0.5  # ... and where the path turns, many unload


@pytest.mark.parametrize("measure", [ENGINEERING, LOGARITHMIC])
def test_elastic_points_are_those_of_the_plain_form(measure: StrainMeasure) -> None:
    """Forces and their derivative to round-off."""
    model = made_model(None, measure)
    x = walk(model)[3]
    at = evaluate(model, x)
    plain = pure_points.respond(model, model.shell.wall.unstrained, at.q)
    assert np.max(np.abs(np.stack(at.resultants.tau) - plain.tau)) < 1e-13 * np.max(np.abs(plain.tau))
    assert np.max(np.abs(at.hess - plain.hess)) < 1e-13 * np.max(np.abs(plain.hess))
    assert at.history is None


@pytest.mark.parametrize("law", LAWS.values(), ids=LAWS)
def test_compiled_laws_are_those_of_the_material(law: Hardening) -> None:
    """Stretch one way at nu = 0 in one step from rest: the stress must lie on the law at the plastic strain told."""
    model = made_model(law, LOGARITHMIC)
    at = evaluate(model, walk(model)[2], model.shell.wall.virgin)
    flowed = at.history.equivalent > 0.0
    size = np.hypot(*at.history.stress)[flowed]
    assert np.count_nonzero(flowed) > 50
    assert size == pytest.approx(law.stress_and_slope(at.history.equivalent[flowed])[0], rel=1e-12)


def test_the_wall_thins_as_much_as_it_is_stretched() -> None:
    """A sheet stretched both ways by e and held there: its faces come closer by exp(-2 e), less the elastic swelling.

    Closed form; the elastic part is (1 - 2 nu) / E times the sum of the stresses, 0.1 % of the thickness.
    """
    flat = Meridian((50.0, 0.0), 0.0, "left", (Piece(10.0, 0.0, (1.0, 1.0)),), {})
    metal = Material(69000.0, 0.33, 0.0, linear_hardening(262.0))
    model = build_model(flat, metal, ("free", "free"), Load(), Fineness(layers=6), LOGARITHMIC)
    x, e = np.zeros(model.shell.size), 0.2
    radial = model.shell.elements.axisymmetric.values("u")
    x[radial] = (np.exp(e) - 1.0) * model.shell.elements.vertex_radius
    at = evaluate(model, x, model.shell.wall.virgin)
    swelling = (1.0 - 2.0 * 0.33) / 69000.0 * 2.0 * 262.0
    assert at.history.position / model.shell.wall.unstrained.position == pytest.approx(
        np.exp(swelling - 2.0 * e), rel=1e-9
    )
