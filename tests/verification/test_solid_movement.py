"""What is read off the nodes of a solid: movements, gaps of the wall, the work of transverse shear; and its climb."""

from dataclasses import replace
from itertools import pairwise
from math import pi

import numpy as np
import pytest

from buckle.meridian import Meridian, Piece
from buckle.solid import onset
from buckle.solid.history import History, ended, take
from buckle.solid.metal import LogarithmicMetal
from buckle.solid.model import Fineness, Load, Solid, build_solid
from buckle.solid.movement import movement_of
from buckle.solid.operators import gradients
from buckle.solid.path import start
from buckle.solid.shear import shear_share
from buckle.solid.state import Direction, State
from buckle.solid.strained import face_strain
from buckle.solid.touch import least_gap
from buckle.solid.trace import SolidPath, Until, solid_path
from scripts.study.rolling.bodies import feasible
from tests.helpers.solid_bodies import METAL, hemisphere, ideal, plain_base, tube

COARSE = Fineness(layers=2).refined(0.6)


def moved_as(solid: Solid, u_r: np.ndarray, u_z: np.ndarray) -> State:
    """A state with given displacements of the nodes."""
    begun = start(solid)
    return replace(begun, at=Direction(np.stack([u_r, u_z], axis=1).ravel(), 0.0))


def base() -> Solid:
    meridian = plain_base()
    side = 1 if meridian.inside == "left" else -1
    return build_solid(meridian, LogarithmicMetal(METAL), (None, "clamped"), Load(side=side), COARSE)


def test_growth_of_a_base_is_against_the_foot_of_its_wall() -> None:
    """All of it goes down with the foot but the dome, which goes down farther, and the stand, by half of that."""
    solid = base()
    movement = movement_of(solid)
    s, r = solid.elements.s, solid.elements.position[:, 0]
    foot = solid.elements.position[movement.datum]
    assert foot == pytest.approx([33.0, foot[1]])
    assert foot[1] < np.max(solid.elements.position[:, 1]) - 10.0
    assert movement.ring is not None
    assert movement.ring.ahead
    near = np.abs(s - movement.ring.s) < 3.0
    down = -0.2 - np.where(r < 20.0, 0.6, np.where(near, 0.3, 0.0))
    state = moved_as(solid, 0.0 * r, down)
    assert movement.growth(state) == pytest.approx(0.6, abs=1e-12)
    assert movement.ring_travel(state) == pytest.approx(0.3, abs=1e-9)


def test_growth_of_a_sphere_does_not_ask_which_point_is_held() -> None:
    """Half of what its height grows by, wherever the whole of it goes."""
    full = Meridian((0.0, -10.0), 0.0, "left", (Piece(10.0 * pi, 0.1, (0.5, 0.5)),), {})
    solid = build_solid(full, LogarithmicMetal(METAL), (None, None), Load(side=1), COARSE)
    movement = movement_of(solid)
    r, z = solid.elements.position.T
    states = [moved_as(solid, 0.01 * r, 0.01 * z + shift) for shift in (0.0, 0.7)]
    grown = [movement.growth(state) for state in states]
    assert grown == pytest.approx([0.1, 0.1], abs=1e-12)


def test_growth_of_a_tube_is_its_largest_displacement() -> None:
    solid = build_solid(tube(10.0, 0.5, 4.0), LogarithmicMetal(METAL), ("guided", "guided"), None, COARSE)
    r, z = solid.elements.position.T
    assert movement_of(solid).growth(moved_as(solid, 0.0 * r + 0.3, 0.0 * z + 0.4)) == pytest.approx(0.5)


@pytest.mark.parametrize("lean", [0.9, 0.96, 1.1])
@pytest.mark.parametrize("layers", [2, 3])
def test_the_gap_between_two_legs(layers: int, lean: float) -> None:
    """A hairpin of legs 1.2 mm apart, 0.24 mm thick: one leans over until they touch, at 0.96 mm, and beyond."""
    legs = (Piece(5.0, 0.0, (0.24, 0.24)), Piece(0.6 * pi, 1.0 / 0.6, (0.24, 0.24)), Piece(4.0, 0.0, (0.24, 0.24)))
    hairpin = Meridian((20.0, 0.0), -0.5 * pi, "left", legs, {})
    solid = build_solid(hairpin, LogarithmicMetal(METAL), ("clamped", "clamped"), None, Fineness(layers=layers))
    s, r = solid.elements.s, solid.elements.position[:, 0]
    leg = hairpin.length - 4.0
    leaning = np.where(s > leg, -lean * (s - leg) / 4.0, 0.0)
    assert least_gap(solid, moved_as(solid, leaning, 0.0 * r)) == pytest.approx(0.96 - lean, abs=1e-9)


def test_neighbours_do_not_touch() -> None:
    """Places count from 1.57 thicknesses on: a straight wall has a gap of 0.57 of one, to the length of an element."""
    solid = build_solid(tube(10.0, 0.5, 4.0), LogarithmicMetal(METAL), ("guided", "guided"), None, COARSE)
    r = solid.elements.position[:, 0]
    assert 0.57 * 0.5 <= least_gap(solid, moved_as(solid, 0.0 * r, 0.0 * r)) < 0.57 * 0.5 + 0.5


@pytest.mark.parametrize("layers", [2, 3])
def test_strain_of_a_face_is_averaged_over_a_thickness(layers: int) -> None:
    """0.3 on the left face at the middle of a tube, falling to nil 2 mm to both sides and at the right face.

    The mean over one thickness of 0.5 mm about the top is 0.3 (1 - 0.125 / 2), to 1 % as elements are 0.1 mm long.
    """
    fine = Fineness(0.05, 0.05, 0.1, layers)
    solid = build_solid(tube(10.0, 0.5, 8.0), LogarithmicMetal(METAL), ("guided", "guided"), None, fine)
    elements = solid.elements
    s, xi = (np.matmul(elements.value, of[elements.nodes][:, :, None]).ravel() for of in (elements.s, elements.xi))
    worked = 0.15 * (1.0 + xi) * np.maximum(0.0, 1.0 - 0.5 * np.abs(s - 4.0))
    begun = start(solid)
    state = replace(begun, history=History(begun.history.plastic, worked))
    assert face_strain(solid, state) == pytest.approx(0.3 * (1.0 - 0.125 / 2.0), abs=3e-3)
    assert face_strain(solid, begun) == 0.0


def sheared(shear: float, stretch: float) -> tuple[Solid, State]:
    """A tube whose wall is sheared across, u_z = shear (r - R), and stretched along, all of it flowing on like that."""
    solid = build_solid(tube(1e6, 1.0, 4.0), LogarithmicMetal(ideal(1.0)), ("guided", "guided"), None, COARSE)
    r, z = solid.elements.position.T
    state = moved_as(solid, -stretch * (r - 1e6), shear * (r - 1e6) + stretch * z)
    F = gradients(solid, state.at.x)
    step = take(solid.metal, F, History.virgin(solid.elements.point_count))
    history = ended(solid.metal, F, step)
    return solid, replace(state, history=history, pace=history.worked)


def test_shear_does_all_the_work_of_a_wall_that_is_sheared_across() -> None:
    assert shear_share(*sheared(1e-3, 0.0)) == pytest.approx(1.0, abs=3e-3)  # elastic strains are 1e-5 of 1e-3


def test_shear_does_none_of_the_work_of_a_wall_that_is_stretched() -> None:
    assert shear_share(*sheared(0.0, 1e-3)) == pytest.approx(0.0, abs=1e-9)


def test_shear_and_stretch_share_the_work_by_their_squares() -> None:
    """In plane strain eps_eq^2 = (4/3) e^2 + g^2 / 3, so that g = 2 e makes halves of it; to the second order: 1 %."""
    assert shear_share(*sheared(2e-3, 1e-3)) == pytest.approx(0.5, abs=0.01)


def test_an_elastic_body_has_no_plastic_work() -> None:
    solid = build_solid(hemisphere(10.0, 0.5), LogarithmicMetal(ideal(250.0)), (None, "guided"), Load(side=-1), COARSE)
    assert shear_share(solid, start(solid)) == 0.0


PATHS: list[SolidPath] = []


def shelf() -> SolidPath:
    """A random base whose pressure has a limit at 6.56 bar, dips by a hundredth, and rises on to 7 bar."""
    if not PATHS:
        case = next(case for number, _, case in feasible("bases", 30) if number == 23)
        side = 1 if case.meridian.inside == "left" else -1
        metal = LogarithmicMetal(case.material)
        solid = build_solid(case.meridian, metal, (None, "clamped"), Load(side=side), COARSE.refined(1.2))
        PATHS.append(solid_path(solid, Until(drop=0.05, travel=5.5)))
    return PATHS[0]


def test_a_climb_leaves_out_what_lies_behind_a_limit_until_its_pressure_is_regained() -> None:
    path = shelf()
    assert path.limit is not None
    climb, limit = path.climb, path.limit
    assert [leg.high.pressure for leg in climb] == sorted(leg.high.pressure for leg in climb)
    for one, other in pairwise(climb):
        assert other.low.pressure == pytest.approx(one.high.pressure, rel=1e-5)
    jumps = [(one.high, other.low) for one, other in pairwise(climb) if other.low.arc > one.high.arc]
    assert len(jumps) == 1
    assert jumps[0][0] is limit
    assert path.rising[-1].pressure > 1.03 * limit.pressure


def test_a_path_up_to_a_state_ends_there() -> None:
    path = shelf()
    assert path.limit is not None
    assert path.up_to(path.limit).states[-1] is path.limit
    assert path.up_to(path.limit).limits == (path.limit,)
    before = path.at_pressure(0.9 * path.limit.pressure)
    assert path.up_to(before).limits == ()
    assert path.up_to(before).rising[-1] is before


@pytest.mark.parametrize("since", ["dip", "later"])
def test_waves_behind_a_limit_begin_at_its_pressure_or_above(since: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Waves that begin in the dip are met when pressure has come back to that of the limit; later ones later."""
    path = shelf()
    assert path.limit is not None
    regained = next(leg.low for leg in path.climb if leg.low.arc > path.limit.arc)
    first = 0.5 * (path.limit.arc + regained.arc) if since == "dip" else regained.arc + 0.7
    monkeypatch.setattr(
        onset, "unstable_waves", lambda solid, state, waves, theory: [n for n in waves if n == 7 and state.arc >= first]
    )
    monkeypatch.setattr(onset, "_onset", lambda solid, state, waves, theory: (state, waves))
    state, waves = onset.find_onset(path, range(1, 12))
    assert waves == [7]
    if since == "dip":
        assert state.pressure == pytest.approx(path.limit.pressure, rel=1e-5)
        assert state.arc == pytest.approx(regained.arc)
    else:
        assert state.pressure > 1.001 * path.limit.pressure
        assert state.arc == pytest.approx(first, abs=0.05)
