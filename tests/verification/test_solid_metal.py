"""What the metal of the solid answers at a point: energies, derivatives, return to yield, moduli of both theories."""

from collections.abc import Callable

import numpy as np
import pytest
from scipy.linalg import logm, polar
from scipy.optimize import brentq

from buckle.material import Hardening, Material, linear_hardening, ramberg_osgood, swift_hardening, voce_hardening
from buckle.solid.history import History, Preflow, Step, ended, preflow, take
from buckle.solid.metal import EngineeringMetal, LogarithmicMetal, Metal, bulk_modulus, mises, plastic_step
from buckle.solid.nominal import nominal_around, nominal_moduli, nominal_stress
from buckle.solid.stability import Theory, state_moduli
from buckle.solid.tensors import determinant

ELASTIC = Material(69000.0, 0.33)
VOCE = Material(69000.0, 0.33, hardening=voce_hardening(262.0, 38.0, 40.0))
IDEAL = Material(69000.0, 0.33, hardening=linear_hardening(262.0))
POINTS = 40
TURN = np.array([np.cos(0.7), -np.sin(0.7), np.sin(0.7), np.cos(0.7), 1.0])[:, None]
UNIT = np.array([1.0, 0.0, 0.0, 1.0, 1.0])[:, None]


def product(a: np.ndarray, b: np.ndarray) -> np.ndarray:
    """Product of gradients (5, points)."""
    return np.array(
        [
            a[0] * b[0] + a[1] * b[2],
            a[0] * b[1] + a[1] * b[3],
            a[2] * b[0] + a[3] * b[2],
            a[2] * b[1] + a[3] * b[3],
            a[4] * b[4],
        ]
    )


def worked(seed: int = 59) -> tuple[History, np.ndarray]:
    """Histories with plastic strains up to 0.2 and the symmetric plastic gradients behind them, stretches about 5 %."""
    rng = np.random.default_rng(seed)
    first, second = 0.05 * rng.standard_normal((2, POINTS))
    turn = rng.uniform(0.0, np.pi, POINTS)
    c, s = np.cos(turn), np.sin(turn)

    def power(k: float) -> np.ndarray:
        one, two, three = np.exp(k * first), np.exp(k * second), np.exp(-k * (first + second))
        return np.array([one * c * c + two * s * s, one * s * s + two * c * c, (one - two) * c * s, three])

    rr, zz, rz, tt = power(1.0)
    return History(power(-2.0), rng.uniform(0.0, 0.2, POINTS)), np.array([rr, rz, rz, zz, tt])


def strained(plastic: np.ndarray, size: float, *, equal: bool = False, seed: int = 17) -> np.ndarray:
    """Gradients with elastic strains of a size, turned by 0.7 rad; `equal` ones in the plane on request."""
    elastic = UNIT + size * (np.array([1.0, 0.0, 0.0, 1.0, -1.0])[:, None] * np.ones(POINTS))
    if not equal:
        elastic = UNIT + size * np.random.default_rng(seed).standard_normal((5, POINTS))
    return product(TURN, product(elastic, plastic))


def answered(metal: Metal, F: np.ndarray, history: History, before: Preflow | None = None):
    step = take(metal, F, history, before)
    to_axes, answer = step.axes.into(F), step.answer.principal
    return nominal_stress(to_axes, answer), nominal_moduli(to_axes, answer), step


def full(F: np.ndarray) -> np.ndarray:
    """One gradient of five components as a matrix."""
    return np.array([[F[0], F[1], 0.0], [F[2], F[3], 0.0], [0.0, 0.0, F[4]]])


def hencky_energy(F: np.ndarray) -> float:
    """(K/2) (tr ln U)^2 + G |dev ln U|^2 with the matrix logarithm of a library."""
    F = full(F) if F.ndim == 1 else F
    strain = 0.5 * logm(F.T @ F).real
    deviator = strain - np.trace(strain) / 3.0 * np.eye(3)
    return 0.5 * bulk_modulus(ELASTIC) * np.trace(strain) ** 2 + ELASTIC.shear_modulus * np.sum(deviator**2)


def engineering_energy(F: np.ndarray) -> float:
    """(lambda/2) (tr U - 3)^2 + mu |U - I|^2 with the polar decomposition of a library."""
    strain = polar(full(F))[1] - np.eye(3)
    mu = ELASTIC.shear_modulus
    return 0.5 * (bulk_modulus(ELASTIC) - 2.0 / 3.0 * mu) * np.trace(strain) ** 2 + mu * np.sum(strain**2)


@pytest.mark.parametrize(
    ("metal", "energy"), [(LogarithmicMetal(ELASTIC), hencky_energy), (EngineeringMetal(ELASTIC), engineering_energy)]
)
def test_stress_is_the_derivative_of_the_energy(metal: Metal, energy: Callable[[np.ndarray], float]) -> None:
    """Central differences at strains of 10 to 30 %; 1e-7 of the largest stress is their error."""
    F, h = strained(UNIT * np.ones(POINTS), 0.1), 1e-5
    stress, _, _ = answered(metal, F, History.virgin(POINTS))
    for point in range(6):
        slopes = [(energy(F[:, point] + h * row) - energy(F[:, point] - h * row)) / (2.0 * h) for row in np.eye(5)]
        assert np.max(np.abs(stress[point] - slopes)) < 1e-7 * np.max(np.abs(slopes))


@pytest.mark.parametrize("metal", [LogarithmicMetal(ELASTIC), EngineeringMetal(ELASTIC)])
def test_a_small_pull_answers_with_youngs_modulus(metal: Metal) -> None:
    """Stretch 1 + e along r, 1 - nu e across: E e, but for terms of e^2."""
    e, nu = 1e-6, ELASTIC.poissons_ratio
    F = product(TURN, np.array([[1.0 + e], [0.0], [0.0], [1.0 - nu * e], [1.0 - nu * e]]))
    stress = answered(metal, F, History.virgin(1))[0][0]
    unturned = full(TURN[:, 0]).T @ full(stress)
    assert (
        np.max(np.abs(unturned - np.diag([ELASTIC.youngs_modulus * e, 0.0, 0.0])))
        < 3.0 * e * ELASTIC.youngs_modulus * e
    )


KINDS = {  # metal, elastic trial strain, plastic strain of an explicit half, least and most share of points that flow
    "elastic": (LogarithmicMetal(ELASTIC), 0.1, 0.0, (0.0, 0.0)),
    "engineering": (EngineeringMetal(ELASTIC), 0.1, 0.0, (0.0, 0.0)),
    "loading": (LogarithmicMetal(VOCE), 0.05, 0.0, (1.0, 1.0)),
    "unloading": (LogarithmicMetal(VOCE), 2e-4, 0.0, (0.0, 0.0)),
    "mixed": (LogarithmicMetal(VOCE), 0.002, 0.0, (0.2, 0.8)),
    "two halves": (LogarithmicMetal(VOCE), 0.05, 0.01, (1.0, 1.0)),
    "halves or not": (LogarithmicMetal(VOCE), 0.01, 0.008, (0.6, 1.0)),
    "ideal": (LogarithmicMetal(IDEAL), 0.05, 0.0, (1.0, 1.0)),
}


@pytest.mark.parametrize(("kind", "equal"), [(kind, False) for kind in KINDS] + [("elastic", True), ("loading", True)])
def test_moduli_are_the_derivative_of_the_stress(kind: str, equal: bool) -> None:
    """Fourth-order differences of the stress of a whole step; their error is 1e-8 of the largest modulus: 1e-7.

    Also where both principal values of the plane are equal, and with histories from which the step starts.
    """
    metal, size, half, (least, most) = KINDS[kind]
    history, plastic = worked() if metal.flows else (History.virgin(POINTS), UNIT * np.ones(POINTS))
    F = strained(plastic, size, equal=equal)
    before = preflow(strained(plastic, 0.003, seed=29), history, np.full(POINTS, half)) if half else None
    _, moduli, step = answered(metal, F, history, before)
    assert least <= np.mean(step.answer.grown > 0.0) <= most
    h = 2e-5
    for column, nudge in enumerate(h * np.eye(5)[:, :, None]):
        a, b, c, d = (answered(metal, F + k * nudge, history, before)[0] for k in (2, 1, -1, -2))
        slope = (-a + 8.0 * b - 8.0 * c + d) / (12.0 * h)
        assert np.max(np.abs(moduli[:, :, column] - slope)) < 1e-7 * np.max(np.abs(moduli))


def test_turning_the_body_turns_the_stress_and_nothing_else() -> None:
    """P(Q F) = Q P(F) with a history and flow in the step; the moment is in balance: P F^T is symmetric. Round-off."""
    metal, (history, plastic) = LogarithmicMetal(VOCE), worked()
    F = strained(plastic, 0.05)
    stress, _, step = answered(metal, F, history)
    turned, _, again = answered(metal, product(TURN, F), history)
    scale = np.max(np.abs(stress))
    assert np.max(np.abs(turned.T - product(TURN, stress.T))) < 1e-12 * scale
    assert np.max(np.abs(step.answer.grown - again.answer.grown)) < 1e-13
    kirchhoff = product(stress.T, F[[0, 2, 1, 3, 4]])
    assert np.max(np.abs(kirchhoff[1] - kirchhoff[2])) < 1e-12 * scale


@pytest.mark.parametrize("half", [0.0, 0.01])
def test_flow_keeps_the_volume_and_ends_at_yield(half: float) -> None:
    """det C_p = 1 after a step, and the elastic strain left answers with the flow stress; round-off of both."""
    metal, (history, plastic) = LogarithmicMetal(VOCE), worked()
    F = strained(plastic, 0.05)
    before = preflow(strained(plastic, 0.003, seed=29), history, np.full(POINTS, half)) if half else None
    step = take(metal, F, history, before)
    after = ended(metal, F, step)
    rr, zz, rz, tt = after.plastic
    assert np.max(np.abs((rr * zz - rz * rz) * tt - 1.0)) < 1e-12
    again = take(metal, F, after, None)
    stress = again.answer.principal.stress
    strength, _ = VOCE.hardening.stress_and_slope(after.worked)
    assert np.max(np.abs(mises(stress - stress.mean(axis=0)) / strength - 1.0)) < 1e-11
    assert np.max(np.abs(after.worked - history.worked - half - step.answer.grown)) < 1e-15


def test_only_points_that_go_on_flowing_take_the_explicit_half() -> None:
    """Points that unload, or flow by less than that half, end as a plain step does: same history, same stress."""
    metal, (history, plastic) = LogarithmicMetal(VOCE), worked()
    F = strained(plastic, 0.002)
    before = preflow(strained(plastic, 0.003, seed=29), history, np.full(POINTS, 0.0004))
    plain, halves = take(metal, F, history, None), take(metal, F, history, before)
    little = plain.answer.grown < 0.0004
    assert 0.2 < np.mean(little) < 0.95
    assert np.array_equal(halves.answer.principal.stress[:, little], plain.answer.principal.stress[:, little])
    assert np.all(halves.start.worked[~little] > history.worked[~little])


@pytest.mark.parametrize(
    "hardening",
    [
        linear_hardening(262.0),
        linear_hardening(262.0, 500.0),
        voce_hardening(262.0, 38.0, 40.0),
        swift_hardening(262.0, 0.01, 0.2),
        ramberg_osgood(262.0, 30.0),
    ],
    ids=["ideal", "linear", "voce", "swift", "ramberg_osgood"],
)
def test_return_to_yield_solves_its_equation(hardening: Hardening) -> None:
    """Against a bisecting root finder, from a hundredth above yield to ten times it; the foot of the last has 1e7 MPa.

    1e-11 of the trial stress over the stiffness is what 1e-12 of the stress leaves and the root finder adds.
    """
    stiff = 3.0 * ELASTIC.shear_modulus
    past = np.repeat([0.0, 1e-6, 1e-3, 0.3], 5)
    trial = hardening.stress_and_slope(past)[0] * np.tile([1.01, 1.2, 2.0, 4.0, 10.0], 4)
    step, slope = plastic_step(hardening, stiff, trial, past)
    for got, q, eps in zip(step, trial, past, strict=True):

        def left(x: float, q: float = q, eps: float = eps) -> float:
            return q - stiff * x - float(hardening.stress_and_slope(np.array([eps + x]))[0][0])

        assert got == pytest.approx(brentq(left, 0.0, q / stiff, xtol=1e-16), abs=1e-11 * q / stiff)
    assert np.array_equal(slope, hardening.stress_and_slope(past + step)[1])


def loaded(metal: LogarithmicMetal, history: History, F: np.ndarray) -> tuple[Step, History]:
    step = take(metal, F, history, None)
    return step, ended(metal, F, step)


def moduli(
    metal: Metal, F: np.ndarray, onward: np.ndarray, history: History, theory: Theory
) -> tuple[np.ndarray, np.ndarray]:
    answer, axes = state_moduli(metal, F, onward, history, theory)
    return nominal_moduli(axes.into(F), answer), nominal_around(F, axes, answer)


def test_deformation_theory_has_the_moduli_of_one_step_from_the_virgin_state() -> None:
    """Backward Euler in one proportional step is deformation theory: same stress, secant and tangent; round-off."""
    metal, F = LogarithmicMetal(VOCE), strained(UNIT * np.ones(POINTS), 0.05)
    step, history = loaded(metal, History.virgin(POINTS), F)
    within, around = moduli(metal, F, F - TURN, history, "deformation")
    assert np.max(np.abs(within - answered(metal, F, History.virgin(POINTS))[1])) < 1e-9 * np.max(np.abs(within))
    assert np.max(np.abs(around - nominal_around(F, step.axes, step.answer.principal))) < 1e-9 * np.max(np.abs(around))


def test_flow_theory_has_the_moduli_of_a_vanishing_step() -> None:
    """The moduli of steps that go on along the strain so far approach them, half the step by half the distance: 2 %."""
    metal, F = LogarithmicMetal(VOCE), strained(UNIT * np.ones(POINTS), 0.05)
    _, history = loaded(metal, History.virgin(POINTS), F)
    within, _ = moduli(metal, F, F - TURN, history, "flow")
    distances = []
    for share in (1e-3, 5e-4):
        on = F + share * (F - TURN)
        _, algorithmic, step = answered(metal, on, history)
        distances.append(np.max(np.abs(within - algorithmic)))
        assert np.all(step.answer.grown > 0.0)
    assert distances[0] < 0.02 * np.max(np.abs(within))
    assert distances[0] / distances[1] == pytest.approx(2.0, rel=0.02)


def test_shear_around_the_axis_by_flow_theory_is_elastic_about_the_plastic_gradient() -> None:
    """Second differences of Hencky's energy of F F_p^-1 in rT, zT, tR, tZ, at strains of 5 %: 1e-5 is their error."""
    (history, plastic), h = worked(), 1e-3
    F = strained(plastic, 0.05)
    _, around = moduli(LogarithmicMetal(ELASTIC), F, F, history, "flow")
    for point in range(4):
        matrix, still = full(F[:, point]), np.linalg.inv(full(plastic[:, point]))

        def energy(nudge: np.ndarray, matrix: np.ndarray = matrix, still: np.ndarray = still) -> float:
            moved = matrix.copy()
            moved[[0, 1, 2, 2], [2, 2, 0, 1]] += nudge
            return hencky_energy(moved @ still)

        steps = h * np.eye(4)
        second = [
            [sum(p * q * energy(p * one + q * two) for p in (1, -1) for q in (1, -1)) / (4.0 * h * h) for one in steps]
            for two in steps
        ]
        assert np.max(np.abs(around[point] - second)) < 1e-5 * np.max(np.abs(second))


def test_points_that_the_path_unloads_are_elastic_by_both_theories() -> None:
    metal, F = LogarithmicMetal(VOCE), strained(UNIT * np.ones(POINTS), 0.05)
    _, history = loaded(metal, History.virgin(POINTS), F)
    back = {theory: moduli(metal, F, TURN - F, history, theory)[0] for theory in ("flow", "deformation")}
    elastic = moduli(LogarithmicMetal(ELASTIC), F, TURN - F, history, "flow")[0]
    assert np.max(np.abs(back["flow"] - elastic)) < 1e-9 * np.max(np.abs(elastic))
    assert np.array_equal(back["flow"], back["deformation"])


def test_deformation_theory_is_nowhere_stiffer_than_flow_theory() -> None:
    """The difference of their moduli is positive semidefinite, in the plane and around: why it can watch first."""
    metal, F = LogarithmicMetal(VOCE), strained(UNIT * np.ones(POINTS), 0.05)
    _, history = loaded(metal, History.virgin(POINTS), F)
    flow, deformation = (moduli(metal, F, F - TURN, history, theory) for theory in ("flow", "deformation"))
    for stiff, soft in zip(flow, deformation, strict=True):
        least = np.linalg.eigvalsh(stiff - soft)
        assert np.min(least) > -1e-10 * np.max(np.abs(stiff))
        assert np.max(least) > 0.1 * np.max(np.abs(stiff))


def test_an_element_is_inside_out_where_its_determinant_is_negative() -> None:
    assert determinant(UNIT)[0] == 1.0
    assert determinant(np.array([[1.0], [0.0], [0.0], [-1.0], [1.0]]))[0] == -1.0
