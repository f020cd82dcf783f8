"""Linear analysis (LA) and linear bifurcation (LBA) for every wave number."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import ArpackNoConvergence, LinearOperator, eigsh

from buckle.bands.lapack import cholesky, cholesky_solve, factor, is_stable, multiply, negatives
from buckle.errors import SolveError
from buckle.shell.model import Load, Model
from buckle.shell.operators import (
    HOLD,
    PUSHED,
    Evaluation,
    evaluate,
    linear_wave_operators,
    residual,
    tangent,
    unbalanced,
)
from buckle.shell.supports import Supports
from buckle.solve.path import buckled
from buckle.solve.stability import outside

Array = NDArray[np.float64]
CLEARLY = 1e-4  # of a load: how much lower another has to be to be told


@dataclass(frozen=True, eq=False)
class LinearBifurcation:
    """Lowest critical load [MPa] or [N] of one wave number and its mode; None when the load only stiffens it."""

    wave_number: int
    load_factor: float | None
    mode: Array  # (size,) [mm, rad] of any size
    residual: float  # |K y + p G y| / |K y|
    lowest: bool  # confirmed by factorisations just below and just above; of a higher mode its number


@dataclass(frozen=True, eq=False)
class Below:
    """Linear modes below a load: those worked out, by their load, and how many more each wave number has."""

    modes: tuple[LinearBifurcation, ...]
    left_out: Mapping[int, int]


def solve_linear(model: Model, load_factor: float = 1.0) -> Evaluation:
    """Linear solution at a load factor; the shell must be elastic with small strain."""
    assert not model.shell.wall.measure.finite
    at = evaluate(model, np.zeros(model.shell.size))
    if unbalanced(model, at, load_factor):
        raise SolveError(PUSHED, HOLD)
    lu = factor(tangent(model, at, 0.0))
    if lu is None:
        raise SolveError("the unloaded shell has no stiffness against some motion", "hold an edge")
    return evaluate(model, lu.solve(model.supports.freed(-residual(at, load_factor))))


def linear_bifurcations(model: Model, wave_numbers: range) -> list[LinearBifurcation]:
    """Critical loads of the wave numbers from the linear prestress with its edge bending.

    K_n + p G_n is singular; p the load, G_n holds the initial stress and the follower pressure, no prebuckling
    rotations. What stays constant counts with the elastic part. Where the membrane stress would pass E nothing is
    looked for: linear theory then predicts only the bursting of its own strains.
    """
    prestressed, near = _prestressed(model), 0.0
    lowest = _lowest_of_all(prestressed, wave_numbers)
    out: list[LinearBifurcation] = []
    for n in wave_numbers:
        out.append(lowest if n == lowest.wave_number else _lowest(prestressed, n, near))
        near = out[-1].load_factor or 0.0
    return out


def lowest_bifurcation(model: Model, wave_numbers: range) -> LinearBifurcation:
    """Lowest critical load of all wave numbers, to the last bit as `linear_bifurcations` tells it.

    It is None where there is none.
    """
    return _lowest_of_all(_prestressed(model), wave_numbers)


def modes_below(model: Model, wave_numbers: range, load_factor: float, most: int) -> Below:
    """Linear modes of wave numbers below a load [MPa] or [N]: the lowest few of each, all of them counted.

    The count is that of negative eigenvalues of K + p G at that load, so that none is missed. Raises SolveError where
    a mode cannot be confirmed to be the one of its number.
    """
    prestressed = _prestressed(model)
    bound = min(load_factor, prestressed.ceiling)
    found: list[LinearBifurcation] = []
    left_out: dict[int, int] = {}
    for n in wave_numbers:
        k, g = prestressed.at(n)
        _check_unloaded(model.load, k, n)
        count = negatives(k + bound * g)
        if count:
            found += _first(prestressed, n, bound, min(count, most))
        if count > most:
            left_out[n] = count - most
    for each in found:
        if not each.lowest:
            raise SolveError(f"a mode of wave number {each.wave_number} could not be confirmed", "a finer mesh")
    return Below(tuple(sorted(found, key=lambda each: each.load_factor or 0.0)), left_out)


def linear_mode(model: Model, wave_number: int, index: int = 0) -> LinearBifurcation:
    """One of the linear modes of a wave number, the lowest unless another is asked for by how many lie below it.

    Raises SolveError where the load makes the wave number not unstable, or cannot be told to be that one.
    """
    found = linear_bifurcations(model, range(wave_number, wave_number + 1))[0]
    if found.load_factor is not None and index:
        found = _first(_prestressed(model), wave_number, found.load_factor, index + 1)[index]
    if found.load_factor is None or not found.lowest:
        raise SolveError(f"linear bifurcation has no such mode of wave number {wave_number}", "another wave number")
    return found


def _first(prestressed: "_Prestressed", n: int, near: float, count: int) -> list[LinearBifurcation]:
    """The lowest few modes of a wave number that has so many, by their load; `near` a guess of where they begin."""
    k, g = prestressed.at(n)
    shift = _stable_below(k, g, near, (0.99, 0.9, 0.8, 0.6, 0.3))
    loads, modes = _eigenpairs(k, g, n, (shift, 1e-8), count)
    out = []
    for at, (load, mode) in enumerate(zip(loads, modes.T, strict=True)):
        below = negatives(k + (1.0 - CLEARLY) * load * g) <= at < negatives(k + (1.0 + CLEARLY) * load * g)
        out.append(LinearBifurcation(n, float(load), mode, _residual(k, g, float(load), mode), below))
    return out


def lower_outside(model: Model, wave_numbers: range, load_factor: float) -> tuple[int, ...]:
    """Wave numbers below and just above a range that become unstable below a load [MPa] or [N]."""
    prestressed = _prestressed(model)
    out = []
    for n in outside(model.shell, wave_numbers):
        k, g = prestressed.at(n)
        if not is_stable(k + (1.0 - CLEARLY) * load_factor * g):
            out.append(n)
    return tuple(out)


def _lowest_of_all(prestressed: "_Prestressed", wave_numbers: range) -> LinearBifurcation:
    """Lowest of all wave numbers without working out the others.

    A rough value, which Lanczos finds from above, bounds the lowest: a wave number that is stable there is done with.
    Every fourth is tried first, to find a low bound early.
    """
    rough: dict[int, float] = {}
    for n in [*wave_numbers[::4], *(n for n in wave_numbers if n not in wave_numbers[::4])]:
        bound = min(rough.values(), default=prestressed.ceiling)
        k, g = prestressed.at(n)
        # What is stable there and at the bound is stable between: the stable loads are an interval.
        _check_unloaded(prestressed.model.load, k, n)
        if not is_stable(k + bound * g):
            shift = _stable_below(k, g, bound if rough else 0.0, (0.9, 0.6, 0.3))
            rough[n] = _eigenpair(k, g, n, shift, 1e-3)[0]
    if not rough:
        size = prestressed.model.shell.elements.wave.size
        return LinearBifurcation(wave_numbers[0], None, np.zeros(size), 0.0, True)
    lowest: LinearBifurcation | None = None
    for n in sorted(rough, key=lambda n: rough[n]):
        k, g = prestressed.at(n)
        if lowest is None or not is_stable(k + (lowest.load_factor or 0.0) * g):
            lowest = _lowest(prestressed, n, rough[n])
    assert lowest is not None
    return lowest


@dataclass(frozen=True, eq=False)
class _Prestressed:
    """The operators of K_n + p G_n, and the load above which nothing is looked for."""

    model: Model
    elastic: Array  # bands (3, size, width)
    geometric: Array
    ceiling: float

    def at(self, n: int) -> tuple[Array, Array]:
        """Bands of K_n and G_n."""
        supports = self.model.supports
        return _bands(supports, self.elastic, n), _bands(supports, self.geometric, n, held=0.0)


@lru_cache(maxsize=1)  # asked for once more of the same model, for the waves beside its range
def _prestressed(model: Model) -> _Prestressed:
    unit = solve_linear(model, 1.0)
    operators = linear_wave_operators(model, unit, 1.0)
    elastic, geometric = (operator.bands for operator in operators)
    none = solve_linear(model, 0.0)
    if np.any(unit.constant):
        constant = linear_wave_operators(model, none, 0.0)[1].bands
        elastic, geometric = elastic + constant, geometric - constant
    return _Prestressed(
        model, elastic, geometric, model.shell.wall.material.youngs_modulus / _membrane_rise(none, unit)
    )


def _membrane_rise(none: Evaluation, unit: Evaluation) -> float:
    """Largest rise of a stress averaged over the layers by one unit of the load [MPa]."""
    pairs = zip(none.resultants.tau, unit.resultants.tau, strict=True)
    return max(float(np.max(np.abs(np.mean(after - before, axis=1)))) for before, after in pairs)


def _bands(supports: Supports, bands: Array, n: int, held: float = 1.0) -> Array:
    """Band of wave number n with supports in; `held` is put on the diagonal of held unknowns."""
    holds = supports.wave_held(n)
    out = holds.put(bands[0] + n * bands[1] + n * n * bands[2])
    out.reshape(-1)[holds.diagonal] = held
    return out


def _check_unloaded(load: Load, k: Array, n: int) -> None:
    if not is_stable(k.copy()):
        raise buckled(load, f"in n = {n} waves")


def _lowest(prestressed: _Prestressed, n: int, near: float) -> LinearBifurcation:
    """Smallest positive p with K + p G singular; `near` a guess (0: none).

    A rough value from a stable load well below gives a stable load just below, from where the eigenvalue stands
    out of its neighbours: a complete sphere has dozens within a thousandth.
    """
    k, g = prestressed.at(n)
    _check_unloaded(prestressed.model.load, k, n)
    if is_stable(k + prestressed.ceiling * g):
        return LinearBifurcation(n, None, np.zeros(len(k)), 0.0, True)
    rough, _ = _eigenpair(k, g, n, _stable_below(k, g, near, (0.9, 0.6, 0.3)), 1e-3)
    load_factor, mode = _eigenpair(k, g, n, _stable_below(k, g, rough, (0.995, 0.98, 0.9, 0.6)), 1e-8)
    error = _residual(k, g, load_factor, mode)
    lowest = is_stable(k + 0.9999 * load_factor * g) and not is_stable(k + 1.0001 * load_factor * g)
    return LinearBifurcation(n, load_factor, mode, error, lowest)


def _residual(k: Array, g: Array, load_factor: float, mode: Array) -> float:
    stiff = multiply(k, mode)
    return float(np.linalg.norm(stiff + load_factor * multiply(g, mode)) / np.linalg.norm(stiff))


def _stable_below(k: Array, g: Array, load_factor: float, shares: tuple[float, ...]) -> float:
    """Return the first of the shares of a load at which K + p G is definite, else zero."""
    return next(
        (share * load_factor for share in shares if load_factor and is_stable(k + share * load_factor * g)), 0.0
    )


def _eigenpair(k: Array, g: Array, n: int, shift: float, tolerance: float) -> tuple[float, Array]:
    """Critical load and mode nearest above a stable load `shift`."""
    loads, modes = _eigenpairs(k, g, n, (shift, tolerance), 1)
    return float(loads[0]), modes[:, 0]


def _eigenpairs(k: Array, g: Array, n: int, near: tuple[float, float], count: int) -> tuple[Array, Array]:
    """Critical loads (count,) and modes (size, count) next above a stable load, that and a tolerance given, by Lanczos.

    1/(p - shift) is the largest eigenvalue of -G y = (1/(p - shift)) (K + shift G) y, with the definite matrix as mass
    (with the indefinite G as mass the result would be noise).
    """
    shift, tolerance = near
    mass = k + shift * g
    factors = cholesky(mass)
    assert factors is not None
    size = len(k)

    def operator(apply: Callable[[Array], Array]) -> LinearOperator:
        return LinearOperator((size, size), matvec=lambda y: apply(y.ravel()), dtype=float)

    try:
        value, vector = eigsh(
            operator(lambda y: -multiply(g, y)),
            k=count,
            M=operator(lambda y: multiply(mass, y)),
            Minv=operator(lambda y: cholesky_solve(factors, y)),
            which="LA",
            v0=np.cos(np.arange(size)),
            ncv=min(size, 12 + 4 * count),
            tol=tolerance,
            maxiter=400,
        )
    except ArpackNoConvergence as error:
        raise SolveError(f"the eigenvalue of wave number {n} did not converge", "a coarser mesh") from error
    order = np.argsort(-value)
    return shift + 1.0 / value[order], vector[:, order]
