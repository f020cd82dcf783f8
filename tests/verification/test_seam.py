"""A seam that is a spring, and stretches of several metals, against closed forms and against a shell of one metal."""

import math
from dataclasses import replace

import numpy as np
import pytest

from buckle import run
from buckle.analysis.setup import model_of, run_of
from buckle.case import Case
from buckle.container.container import Container
from buckle.container.reader import read_input
from buckle.container.walk import joined_walk
from buckle.material import Material
from buckle.meridian import RIGHT_ANGLE, Meridian, line
from buckle.shell.composed import Composition, Seam
from buckle.shell.operators import evaluate, residual, tangent, wave_operator
from buckle.solve.linear import solve_linear
from tests.helpers.bodies import case
from tests.helpers.paths import CONTAINER
from tests.verification.test_invariants import HARDENING

R, THIN, THICK, HALF, P, E, NU = 100.0, 0.2, 0.3, 60.0, 1.0, 69000.0, 0.3
TUBES = Meridian((R, 0.0), RIGHT_ANGLE, "left", (line(HALF, THIN), line(HALF, THICK)))
"""Two tubes end to end, each long against its bending: 60 mm are seventeen decay lengths."""


def tubes(kind: str = "LA") -> Case:
    shape = {"family": "cylinder", "radius_mm": R, "length_mm": 2.0 * HALF, "thickness_mm": THIN}
    edges = {"start_edge": "roller", "outer_edge": "free"}
    made = case(shape, run=kind, nu=NU, side="inside", edges=edges, loads={"end_thrust": False})
    return replace(made, meridian=TUBES)


def turned_apart(stiffness: float | None) -> float:
    """How far the thin tube's edge turns against the thick one's under 1 MPa [rad], by the shell."""
    made = tubes()
    seam = None if stiffness is None else Seam(HALF, stiffness)
    composed = Composition(((2.0 * HALF, made.material),), seam)
    at = solve_linear(model_of(run_of(made, "LA", composed=composed)), P)
    elements = model_of(run_of(made, "LA", composed=composed)).shell.elements
    vertex = int(np.argmin(np.abs(elements.mesh.vertices - HALF)))
    before, after = elements.axisymmetric.ends("a")[vertex - 1], elements.axisymmetric.values("a")[vertex]
    return float(at.x[after] - at.x[before])


def turned_by_hand(stiffness: float) -> float:
    """The same by the bending of long cylinders: w continuous, shear equal and opposite, moment k times the turn.

    An edge that carries shear Q and moment M moves by (Q + b M) / (2 b^3 D) and turns by (Q + 2 b M) / (2 b^2 D), with
    b^4 = 3 (1 - nu^2) / (R t)^2 (S. Timoshenko, Theory of Plates and Shells, 1940, articles 114 and 115; from memory);
    the free tubes widen by p R^2 / (E t). Derived here.
    """
    b = [(3.0 * (1.0 - NU**2)) ** 0.25 / math.sqrt(R * t) for t in (THIN, THICK)]
    d = [E * t**3 / (12.0 * (1.0 - NU**2)) for t in (THIN, THICK)]
    free = [P * R**2 / (E * t) for t in (THIN, THICK)]
    # Unknowns Q (outward on the thick, inward on the thin), M on both; each turn is counted away from the seam.
    move = [1.0 / (2.0 * b[i] ** 3 * d[i]) for i in (0, 1)]
    mixed = [1.0 / (2.0 * b[i] ** 2 * d[i]) for i in (0, 1)]
    turn = [1.0 / (b[i] * d[i]) for i in (0, 1)]
    # w0 - Q move0 + M mixed0 = w1 + Q move1 + M mixed1; turns add up to the gap: M = -k gap
    gap_q, gap_m = -mixed[0] + mixed[1], turn[0] + turn[1]
    matrix = np.array([[move[0] + move[1], mixed[1] - mixed[0]], [stiffness * gap_q, 1.0 + stiffness * gap_m]])
    q, m = np.linalg.solve(matrix, np.array([free[0] - free[1], 0.0]))
    return abs(float(gap_q * q + gap_m * m))


@pytest.mark.parametrize("stiffness", [0.0, 5.0, 50.0, 500.0])
def test_two_tubes_turn_apart_as_by_hand(stiffness: float) -> None:
    """Within 1 %: the shell has transverse shear and the bending of its own radius, of the order of sqrt(t/R) = 5 %
    in single terms and of t/R in sums."""
    assert abs(turned_apart(stiffness)) == pytest.approx(turned_by_hand(stiffness), rel=0.01)


def test_a_stiff_seam_is_none() -> None:
    """A millionth of the turn of a free one is left."""
    assert abs(turned_apart(1e9)) < 1e-5 * abs(turned_apart(0.0))
    assert turned_apart(None) == 0.0


# Of the whole container -----------------------------------------------------------------------------------------------


def whole(kind: str, stiffness: float | None = 200.0, *, same: bool = False) -> tuple[Case, Composition]:
    """The demonstration's container as a case, and what it is composed of; `same`: all of the base's metal."""
    container = read_input(CONTAINER)
    assert isinstance(container, Container)
    walk, parts = joined_walk(container), container.parts
    metals = [(end, parts["base" if same else name].material) for name, (_, end) in walk.parts.items()]
    assert walk.seam is not None
    made = replace(
        parts["base"],
        meridian=walk.meridian,
        supports=parts["base"].supports.model_copy(update={"outer_edge": None}),
        analyses=parts["base"].analyses.model_copy(update={"run": (kind,)}),
    )
    return made, Composition(tuple(metals), None if stiffness is None else Seam(walk.seam, stiffness))


@pytest.mark.parametrize("kind", ["GNA", "GMNA"])
def test_the_tangent_is_the_derivative_of_the_residual(kind: str) -> None:
    """Along a random direction, by central differences of 1e-6: 1e-6 of the largest force."""
    made, composed = whole(kind)
    model = model_of(run_of(made, kind, composed=composed))
    rng = np.random.default_rng(5)
    x = 1e-5 * rng.standard_normal(model.shell.size)
    y = rng.standard_normal(model.shell.size)
    x[model.supports.fixed] = y[model.supports.fixed] = 0.0
    history = model.shell.wall.virgin
    load, step = 0.1, 1e-7
    at = evaluate(model, x, history)
    band, layout = tangent(model, at, load), model.shell.elements.layout
    by_band = np.zeros_like(y)
    for column in range(len(y)):
        low, high = max(0, column - layout.half_bandwidth), min(len(y), column + layout.half_bandwidth + 1)
        by_band[low:high] += band[column, layout.offset + np.arange(low, high) - column] * y[column]
    both = [residual(evaluate(model, x + sign * step * y, history), load) for sign in (1.0, -1.0)]
    by_steps = (both[0] - both[1]) / (2.0 * step)
    free = np.setdiff1d(np.arange(len(y)), model.supports.fixed)
    assert np.max(np.abs(by_steps - by_band)[free]) < 1e-6 * np.max(np.abs(by_band[free]))


def test_a_wave_of_none_is_the_axisymmetric_tangent() -> None:
    """The spring among them: K_0 is the tangent, unknown by unknown."""
    made, composed = whole("GNA")
    model = model_of(run_of(made, "GNA", composed=composed))
    at = evaluate(model, np.zeros(model.shell.size), None)
    elements = model.shell.elements
    band = tangent(model, at, 0.0)
    wave = wave_operator(model, at, 0.0).bands[0]
    free = np.setdiff1d(np.arange(model.shell.size), model.supports.fixed)
    spring = model.shell.spring
    assert spring is not None
    before, after = spring._sides(elements.axisymmetric)
    for one in (before, after):
        other = elements.as_wave[one]
        assert wave[other, 0] == pytest.approx(band[one, elements.layout.offset], rel=1e-9)
    assert {before, after} <= set(free.tolist())


@pytest.mark.slow
@pytest.mark.study
def test_stretches_of_one_metal_are_a_shell_of_it() -> None:
    """The same to the last but some digits: the fronts of yield stop at the ends of stretches."""
    made, composed = whole("GMNA", None, same=True)
    quick = {"estimate_error": False, "lower_bracket": False, "pictures": False}
    zones = run(made, "GMNA", composed=composed, **quick)
    plain = run(made, "GMNA", composed=Composition(composed.stretches[-1:]), **quick)
    assert zones.governing is not None
    assert plain.governing is not None
    assert zones.governing.load == pytest.approx(plain.governing.load, rel=1e-3)


@pytest.mark.slow
@pytest.mark.study
def test_the_base_in_the_whole_carries_what_it_does_alone() -> None:
    """Its wall of 30 mm is long against its bending, and the end is 100 mm away: 0.1 % between two meshes."""
    made, composed = whole("GMNA")
    elastic = tuple(
        (end, metal if not at else replace(metal, hardening=None)) for at, (end, metal) in enumerate(composed.stretches)
    )
    quick = {"estimate_error": False, "lower_bracket": False, "pictures": False}
    joint = run(made, "GMNA", composed=Composition(elastic, composed.seam), **quick).governing
    container = read_input(CONTAINER)
    assert isinstance(container, Container)
    alone = run(container.parts["base"], "GMNA", **quick).governing
    assert joint is not None
    assert alone is not None
    assert joint.load == pytest.approx(alone.load, rel=1e-3)


def test_the_first_metal_that_yields_leads() -> None:
    """Its law rules the wall's layers and steps; where none yields, the first."""
    soft = Material(69e3, 0.3, hardening=HARDENING)
    elastic, other = Material(69e3, 0.3), replace(soft, youngs_modulus=70e3)
    assert Composition(((1.0, elastic), (2.0, soft), (3.0, other))).leading is soft
    assert Composition(((1.0, elastic), (2.0, elastic))).leading is elastic
