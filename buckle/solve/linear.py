"""Linear analysis (LA) and linear bifurcation (LBA) for every wave number."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import ArpackNoConvergence, LinearOperator, eigsh

from buckle.errors import SolveError
from buckle.shell.model import Shell
from buckle.shell.operators import Evaluation, evaluate, linear_wave_operators, residual, tangent
from buckle.solve.banded import cholesky, cholesky_solve, factor, is_stable, multiply

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class LinearBifurcation:
    """Lowest critical pressure [MPa] of one wave number and its mode; pressure None when pressure only stiffens it."""

    wave_number: int
    pressure: float | None
    mode: Array
    residual: float  # |K y + p G y| / |K y|
    lowest: bool  # confirmed by factorisations just below and just above


def solve_linear(shell: Shell, pressure: float = 1.0) -> Evaluation:
    """Linear solution at a pressure [MPa]; the shell must be elastic with small strain."""
    assert not shell.section.measure.finite
    at = evaluate(shell, np.zeros(shell.size))
    lu = factor(tangent(shell, at, 0.0))
    if lu is None:
        raise SolveError("the unloaded shell has no stiffness against some motion", "hold an edge")
    force = -residual(at, pressure)
    force[shell.fixed] = 0.0
    return evaluate(shell, lu.solve(force))


def linear_bifurcations(shell: Shell, wave_numbers: range, prestress: float = 1.0) -> list[LinearBifurcation]:
    """Critical pressures of the wave numbers from the linear prestress with its edge bending.

    K_n + p G_n is singular; G_n holds the initial stress and the follower pressure, no prebuckling rotations. A
    constant axial force counts with the elastic part.
    """
    dead = solve_linear(shell, 0.0)
    unit = solve_linear(shell, prestress)
    elastic, both = linear_wave_operators(shell, unit)
    _, constant = linear_wave_operators(shell, dead)
    out: list[LinearBifurcation] = []
    for n in wave_numbers:
        k = _bands(shell, elastic.bands + (constant.bands if np.any(dead.dead) else 0.0), n)
        g = _bands(shell, (both.bands - (constant.bands if np.any(dead.dead) else 0.0)) / prestress, n, held=0.0)
        out.append(_lowest(k, g, n, _stable_pressure(k, g, out)))
    return out


def _bands(shell: Shell, bands: Array, n: int, held: float = 1.0) -> Array:
    """Band of wave number n with supports in; `held` is put on the diagonal of held unknowns."""
    if n == 0:  # no torsion: hold v and omega everywhere
        fixed = _axisymmetric_fixed(shell)
    else:
        fixed = shell.wave_fixed(n)
    out = shell.wave_layout.held(fixed).put(bands[0] + n * bands[1] + n * n * bands[2])
    out[fixed, 0] = held
    return out


def _axisymmetric_fixed(shell: Shell) -> NDArray[np.int64]:
    first = shell.elements.wave_first
    torsion = np.setdiff1d(np.arange(shell.elements.wave_size), (first[:, None] + np.arange(3)).ravel())
    meridional = first[shell.fixed // 3] + shell.fixed % 3
    return np.sort(np.concatenate([torsion, meridional]))


def _stable_pressure(k: Array, g: Array, before: list[LinearBifurcation]) -> float:
    """Return a pressure near but below the critical one: a fraction of that of the wave number before, or zero."""
    near = 0.9 * (before[-1].pressure or 0.0) if before else 0.0
    for _ in range(6):
        if near == 0.0 or is_stable(k + near * g):
            return near
        near *= 0.7
    return 0.0


def _lowest(k: Array, g: Array, n: int, shift: float) -> LinearBifurcation:
    """Smallest positive p with K + p G singular, from a stable pressure `shift` below it.

    It is the largest eigenvalue 1/(p - shift) of -G y = (1/(p - shift)) (K + shift G) y; Lanczos with the definite
    matrix as mass. (With the indefinite G as mass it would return noise.)
    """
    mass = k + shift * g
    factors = cholesky(mass)
    if factors is None:
        raise SolveError(
            f"the shell is not stable without pressure in wave number {n}", "other supports or less axial force"
        )
    size = len(k)

    def operator(apply: Callable[[Array], Array]) -> LinearOperator:
        return LinearOperator((size, size), matvec=lambda y: apply(y.ravel()), dtype=float)

    try:
        value, vector = eigsh(
            operator(lambda y: -multiply(g, y)),
            k=1,
            M=operator(lambda y: multiply(mass, y)),
            Minv=operator(lambda y: cholesky_solve(factors, y)),
            which="LA",
            v0=np.cos(np.arange(size)),
            ncv=14,
            tol=1e-9,
            maxiter=400,
        )
    except ArpackNoConvergence as error:
        raise SolveError(f"the eigenvalue of wave number {n} did not converge", "a coarser mesh") from error
    mode = vector[:, 0] * np.sign(vector[np.argmax(np.abs(vector[:, 0])), 0])
    if value[0] <= 1e-12:
        return LinearBifurcation(n, None, mode, 0.0, True)
    pressure = shift + 1.0 / float(value[0])
    stiff = multiply(k, mode)
    error = float(np.linalg.norm(stiff + pressure * multiply(g, mode)) / np.linalg.norm(stiff))
    lowest = is_stable(k + 0.9999 * pressure * g) and not is_stable(k + 1.0001 * pressure * g)
    return LinearBifurcation(n, pressure, mode, error, lowest)
