"""A sector of bricks: against affine movements, its own derivatives, the solid of revolution and its linear waves."""

from dataclasses import replace
from math import pi

import numpy as np
import pytest

from buckle.bands.lapack import nearest_zero
from buckle.case import read_case
from buckle.crosscheck.solid_side import solid_of
from buckle.errors import SolveError
from buckle.material import Material
from buckle.shapes import circular_plate
from buckle.solid import bricks
from buckle.solid.body import Body
from buckle.solid.deviation import carried_along
from buckle.solid.metal import EngineeringMetal, LogarithmicMetal, Metal
from buckle.solid.model import Fineness, Load, Solid, build_solid
from buckle.solid.numbering import Z
from buckle.solid.onset import find_onset
from buckle.solid.operators import evaluate, gradients
from buckle.solid.path import start
from buckle.solid.sector import Sector, sector_of
from buckle.solid.state import Direction, State
from buckle.solid.trace import Until, solid_path
from buckle.solid.waves import wave_operator
from tests.helpers.paths import ROOT
from tests.helpers.solid_bodies import COARSE, HARDENING, METAL, cap, moved, tube, wavy

MIDDLE = Load(on="middle")
RINGED = build_solid(tube(20.0, 1.0, 8.0), LogarithmicMetal(METAL), ("clamped", "clamped"), Load(-1), COARSE)


def deviation_in(solid: Solid, size: float) -> np.ndarray:
    return size * np.random.default_rng(311).standard_normal((len(solid.elements.s), 3))


def left(body: Body, x: np.ndarray, pressure: float) -> np.ndarray:
    """Force out of balance of what is not held."""
    at = evaluate(body, x, pressure, body.virgin)
    out = at.internal - pressure * at.enclosed
    out[body.fixed] = 0.0
    return out


def product(body: Body, band: np.ndarray, vector: np.ndarray) -> np.ndarray:
    """A general band times a vector."""
    out, half = np.zeros(body.size), body.layout.half_bandwidth
    for offset in range(-half, half + 1):
        row = np.arange(max(0, offset), min(body.size, body.size + offset))
        out[row] += band[row - offset, body.layout.offset + offset] * vector[row - offset]
    return out


def carried(sector: Sector, F: np.ndarray) -> np.ndarray:
    """Unknowns of the affine movement F X - X + c."""
    to = sector.elements.position @ (F - np.eye(3)).T + np.array([0.3, -0.2, 0.7])
    x = np.zeros(sector.size)
    x[sector.numbering.table] = np.einsum("nfi,ni->nf", sector.elements.base, to)
    return x


def test_affine_movements_are_met_exactly() -> None:
    """One gradient everywhere, of deviated bricks too, to round-off."""
    sector = sector_of(RINGED, 5, 2, deviation_in(RINGED, 0.03))
    F = np.eye(3) + 0.1 * np.random.default_rng(94).standard_normal((3, 3))
    assert np.max(np.abs(gradients(sector, carried(sector, F)) - F.reshape(9, 1))) < 1e-12


def test_one_stress_everywhere_balances_itself() -> None:
    """The patch test: in an affine movement no node inside has a force, but for round-off."""
    sector = sector_of(RINGED, 5, 2)
    F = np.eye(3) + 0.1 * np.random.default_rng(94).standard_normal((3, 3))
    at, elements = evaluate(sector, carried(sector, F), 0.0, sector.virgin), RINGED.elements
    below, theta = sector.elements.below, sector.elements.theta
    inside = (np.abs(elements.xi[below]) < 0.99) & (elements.s[below] > 0.0) & (elements.s[below] < elements.s[-1])
    inside &= (theta > 0.0) & (theta < np.max(theta))
    assert np.count_nonzero(inside) > 20
    forces = np.abs(at.internal[sector.numbering.table])
    assert np.max(forces[inside]) < 1e-12 * np.max(forces)


def test_rigid_movements_strain_nothing() -> None:
    """A turn by one radian about a slanted axis, and a shift: no force, but for 1e-12 of those of a stretch."""
    sector = sector_of(RINGED, 5, 2, deviation_in(RINGED, 0.03))
    axis = np.array([0.6, -0.48, 0.64])
    cross = np.cross(np.eye(3), axis)
    turn = np.eye(3) + np.sin(1.0) * cross + (1.0 - np.cos(1.0)) * cross @ cross
    rigid, stretched = (evaluate(sector, carried(sector, F), 0.0, sector.virgin) for F in (turn, 1.5 * np.eye(3)))
    assert np.max(np.abs(rigid.internal)) < 1e-12 * np.max(np.abs(stretched.internal))


@pytest.mark.parametrize(
    ("metal", "edge", "load"),
    [
        (LogarithmicMetal(HARDENING), "clamped", Load(side=1)),
        (LogarithmicMetal(HARDENING), "sleeve", Load(side=-1, on="middle")),
        (EngineeringMetal(METAL), "roller", Load(side=1, follower=False, on="middle")),
    ],
)
def test_tangent_is_the_derivative_of_the_forces(metal: Metal, edge: str, load: Load) -> None:
    """Fourth-order difference along a random direction, elastic and flowing, off the perfect shape; 1e-7.

    It is symmetric, since follower pressure sweeps a volume.
    """
    solid = build_solid(wavy(), metal, (None, edge), load, COARSE)
    held_axially = solid if edge != "sleeve" else replace(solid, edges=(None, "clamped"))
    sector = replace(sector_of(held_axially, 4, 1, deviation_in(solid, 0.02)), solid=solid)
    x, direction, h, pressure = moved(sector, 37, 0.004), moved(sector, 613, 1.0), 1e-6, 3.0
    a, b, c, d = (left(sector, x + k * h * direction, pressure) for k in (2, 1, -1, -2))
    slope = (-a + 8.0 * b - 8.0 * c + d) / (12.0 * h)
    at = evaluate(sector, x, pressure, sector.virgin)
    assert (metal.flows and np.count_nonzero(at.step.answer.grown)) or not metal.flows
    found = product(sector, at.tangent, direction)
    assert np.max(np.abs(found - slope)) < 1e-7 * np.max(np.abs(slope))
    assert x @ found == pytest.approx(direction @ product(sector, at.tangent, x), rel=1e-10)


SMOOTH = Fineness(per_decay=1.0, per_turn=0.8, growth=1.0, layers=2)


def shallow(metal: Metal) -> tuple[Solid, State]:
    """A clamped cap, and a state of it that is moved by one wall in its linear shape, without being in equilibrium."""
    solid = build_solid(cap(4.0, 60.0), metal, (None, "clamped"), Load(1), SMOOTH)
    still = start(solid)
    return solid, replace(still, at=Direction(still.onward.x / np.max(np.abs(still.onward.x)), 2.0))


@pytest.mark.parametrize(("material", "around", "error"), [(METAL, 1, 5e-4), (METAL, 2, 2e-5), (HARDENING, 2, 4e-4)])
def test_without_a_deviation_it_is_the_solid_of_revolution(material: Material, around: int, error: float) -> None:
    """A large axisymmetric movement does the same work in the sector; bricks make arcs of parabolas.

    Where metal flows it tells that the middles of elements lie off the exact arc by the fourth power of its length.
    """
    solid, state = shallow(LogarithmicMetal(material))
    sector, x = sector_of(solid, 6, around), state.at.x
    ring, part = evaluate(solid, x, 3.0, solid.virgin), evaluate(sector, sector.evenly(x), 3.0, sector.virgin)
    assert np.any(ring.step.answer.grown > 0.0) == (material is HARDENING)
    for whole, own in ((ring.internal, part.internal), (ring.enclosed, part.enclosed)):
        assert sector.evenly(x) @ own == pytest.approx(pi / 6 * x @ whole, rel=error)


def waved_work(sector: Sector, state: State, y: np.ndarray) -> float:
    """Work of a wave of the sector at a state of the solid, over that of the operator of linear waves, less one."""
    at = evaluate(sector, sector.evenly(state.at.x), state.pressure, sector.virgin)
    wave = sector.wave(sector.solid.waved(y))
    own = wave @ product(sector, at.tangent, wave)
    operator = wave_operator(sector.solid, state).bands
    n = sector.wave_number
    lower = operator[0] + n * operator[1] + n * n * operator[2]
    linear = sum(
        (2.0 if k else 1.0) * float(np.sum(lower[: len(y) - k, k] * y[: len(y) - k] * y[k:]))
        for k in range(lower.shape[1])
    )
    return own / (0.5 * pi / n * linear) - 1.0


def test_its_tangent_on_a_wave_is_the_operator_of_linear_waves() -> None:
    """In the softest wave at a large axisymmetric movement under pressure; cos^2 over half a wave makes pi / 2n.

    Parabolas follow a cosine to the fourth power of their length where bending is what there is, so that the error
    falls more than eightfold from two to four bricks (computed: 1.2 % and 0.04 %).
    """
    solid, state = shallow(LogarithmicMetal(METAL))
    y = nearest_zero(wave_operator(solid, state).at(6))[1]
    errors = [abs(waved_work(sector_of(solid, 6, around), state, y)) for around in (2, 4)]
    assert errors[0] < 0.015
    assert errors[1] < min(errors[0] / 8.0, 5e-4)


def long_tube() -> Solid:
    """A piece of an endless tube under outside pressure."""
    load = Load(side=-1, on="middle")
    metal = EngineeringMetal(METAL)
    return build_solid(tube(100.0, 1.0, 10.0), metal, ("guided", "guided"), load, replace(COARSE, per_decay=9.0))


@pytest.mark.slow
def test_a_small_deviation_grows_as_linear_waves_say() -> None:
    """A tube in two waves: with a deviation a, elastic waves are a / (p_cr / p - 1) (Southwell 1932, from memory).

    p_cr is that of the linear waves of the solid of revolution, 3 E I' / R^3 (Levy 1884, from memory) to (t/R)^2. The
    waves are a hundredth of the wall and up to four times that: squares of them over R do not count. 0.2 % in p_cr is
    what six bricks leave in half a wave of 90 degrees (computed: 0.5 % at 0.8 p_cr; with four 1.5 %, with eight 0.3 %).
    """
    solid = long_tube()
    stiffness = METAL.youngs_modulus / (12.0 * (1.0 - METAL.poissons_ratio**2))
    levy = 3.0 * stiffness / 100.0**3
    onset = find_onset(solid_path(solid, Until(pressure=1.2 * levy)), [2])
    assert onset is not None
    assert onset.pressure == pytest.approx(levy, rel=1e-4)
    amplitude = 0.01
    sector = sector_of(solid, 2, 6, amplitude * onset.mode / np.max(np.abs(onset.mode)))
    path = solid_path(sector, Until(pressure=0.8 * onset.pressure))
    for share in (0.3, 0.6, 0.8):
        state = path.at_pressure(share * onset.pressure)
        assert sector.wave_size(state.at.x) == pytest.approx(amplitude / (1.0 / share - 1.0), rel=2e-3 / (1.0 - share))


def test_a_wall_is_carried_along() -> None:
    """Turned rigidly about a diameter (n = 1), all metal goes with the mid-surface; 1e-4, of splines across kinks."""
    solid = build_solid(wavy(), EngineeringMetal(METAL), (None, "clamped"), MIDDLE, COARSE)

    def turned(position: np.ndarray) -> np.ndarray:
        r, z = position.T
        return np.stack([z, -r, -z], axis=1)

    s = np.linspace(0.0, solid.meridian.length, 400)
    station = solid.meridian.at_s(s)
    found = carried_along(solid, 1, s, turned(np.stack([station.r, station.z], axis=1)))
    off_axis = solid.elements.position[:, 0] > 0.0
    assert np.max(np.abs(found - turned(solid.elements.position))[off_axis]) < 1e-4


def stiffer(points: int, monkeypatch: pytest.MonkeyPatch) -> float:
    """By how much a clamped plate of thin bricks deflects less than by plate theory."""
    monkeypatch.setattr(bricks, "POINTS", points)
    radius, t = 100.0, 1.0
    plate = circular_plate(radius=radius, thickness=t)
    solid = build_solid(plate, EngineeringMetal(METAL), (None, "clamped"), MIDDLE, COARSE)
    sector = sector_of(solid, 12, 1)
    onward, stiffness = start(sector).onward, METAL.youngs_modulus * t**3 / (12.0 * (1.0 - METAL.poissons_ratio**2))
    assert sector.apex is not None
    moved_up = abs(float(sector.moved(onward.x)[sector.apex, Z])) / onward.pressure
    return 1.0 - moved_up / (radius**4 / (64.0 * stiffness))


def test_bricks_bend_with_two_points_each_way(monkeypatch: pytest.MonkeyPatch) -> None:
    """Clamped circular plate, p R^4 / 64 D (Timoshenko, formula from memory): 12 bricks 8 walls long, two through t.

    0.5 % stiff by clamping and mesh; three points each way make it 1.3 %, which is why there are two.
    """
    two, three = (stiffer(points, monkeypatch) for points in (2, 3))
    assert 0.0 < two < 0.006
    assert three > 2.0 * two


@pytest.mark.slow
def test_its_path_without_a_deviation_is_that_of_the_solid_of_revolution() -> None:
    """Two-layered E2, elastic-plastic, over its limit in as many steps: one brick in half of 18 waves leaves 1e-5."""
    solid = solid_of(read_case(ROOT / "cases/benchmarks/end/e2-gmna.toml"), "GMNA", Fineness(0.7, 0.7, 0.4, layers=2))
    ring, part = (solid_path(body, Until(drop=0.002)) for body in (solid, sector_of(solid, 18, 1)))
    assert part.limit is not None
    assert part.limit.pressure == pytest.approx(ring.limit.pressure, rel=2e-5)
    assert len(part.states) == len(ring.states)
    assert part.limit.largest_strain == pytest.approx(ring.limit.largest_strain, rel=1e-3)


def test_a_sector_refuses_what_it_cannot_be() -> None:
    solid = build_solid(wavy(), EngineeringMetal(METAL), (None, "free"), MIDDLE, COARSE)
    with pytest.raises(SolveError, match="held axially by a support"):
        sector_of(solid, 4)
    with pytest.raises(SolveError, match="2 waves or more"):
        sector_of(RINGED, 1)
    odd = build_solid(wavy(), EngineeringMetal(METAL), (None, "clamped"), Load(), replace(COARSE, layers=1))
    with pytest.raises(SolveError, match="between two layers"):
        sector_of(odd, 4)
