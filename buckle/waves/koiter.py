"""Initial post-buckling of an elastic shell about its nonlinear axisymmetric state: Koiter's b.

At a bifurcation a wave y of any size xi grows with the load p / p_c = 1 + a xi + b xi^2 + ... In n waves around a is
nil: half a turn of a wave changes its sign. Equilibrium up to the third order in xi, with R the residual, K its
tangent, ' its rate along the axisymmetric path:

    z = -K^-1 (1/2) R,yy      (harmonics 0 and 2 n)
    b p_c = -(R,yz + (1/6) R,yyy) . y / (K' y . y)

All derivatives are those of the full residual, so that b belongs to the same shell as the path. Koiter 1945, with a
nonlinear state before buckling as Fitch 1968 has it (both from memory); derived here. It holds for waves much smaller
than the wall, and while no other wave number is about to buckle.
"""

import numpy as np
from numpy.typing import NDArray

from buckle.bands.lapack import factor, multiply
from buckle.shell.model import Model
from buckle.shell.operators import evaluate as evaluate_shell
from buckle.shell.operators import tangent as shell_tangent
from buckle.shell.operators import wave_operator
from buckle.solve.bifurcation import Bifurcation
from buckle.waves.body import Waved, waved
from buckle.waves.operators import evaluate, residual, tangent

Array = NDArray[np.float64]
SIZES = 0.01 * 2.0 ** np.arange(9)
"""Of the wall: waves by which derivatives of the residual are taken. What is left is of the fourth power of the size,
round-off of one over its square; the size at which b moves least is taken."""


def post_buckling(model: Model, found: Bifurcation, mode: Array) -> float:
    """Koiter's b of an elastic bifurcation into n > 1 waves, for a wave of the size of `mode` (size,) [mm, rad]."""
    body = waved(model, found.wave_number, count=2)
    own, wave = body.harmonics.own(0), np.zeros(body.size)
    state = np.zeros(body.size)
    state[own], wave[body.harmonics.own(1)] = found.point.at.x, mode
    units = SIZES * float(np.max(model.shell.elements.station.thickness)) / _size(body, wave)
    thirds = []
    for unit in units:
        second = _second(body, state, wave, found.load_factor, unit)
        thirds.append(_third(body, (state, wave, second), found.load_factor, unit))
    third = thirds[1 + int(np.argmin(np.abs(np.diff(thirds))))]
    return -third / (_softening(model, found, mode) * found.load_factor)


def _residual(body: Waved, x: Array, load_factor: float) -> Array:
    out = residual(evaluate(body, x, body.virgin), load_factor)
    out[body.fixed] = 0.0
    return out


def _size(body: Waved, wave: Array) -> float:
    """Largest displacement of a wave [mm]."""
    own = body.harmonics.own(1)
    numbers = np.concatenate([own[body.model.shell.elements.wave.values(name)] for name in "uvw"])
    return float(np.max(np.abs(wave[numbers])))


def _second(body: Waved, state: Array, wave: Array, load_factor: float, unit: float) -> Array:
    """Movement of the second order, in harmonics 0 and 2 n, by a fourth-order difference."""
    at = {k: _residual(body, state + k * unit * wave, load_factor) for k in (-2, -1, 0, 1, 2)}
    curved = (-at[2] + 16.0 * at[1] - 30.0 * at[0] + 16.0 * at[-1] - at[-2]) / (12.0 * unit * unit)
    held = body.harmonics.own(1)  # singular there, and nothing to move
    curved[held] = 0.0
    band = tangent(body, evaluate(body, state, body.virgin), load_factor)
    lu = factor(body.harmonics.layout.held(held).put(band))
    assert lu is not None
    return lu.solve(-0.5 * curved)


def _third(body: Waved, fields: tuple[Array, Array, Array], load_factor: float, unit: float) -> float:
    """Work of the wave in what is left of the third order, extrapolated from two sizes."""
    state, wave, second = fields

    def left(size: float) -> float:
        ends = [
            wave @ _residual(body, state + sign * size * wave + size * size * second, load_factor) for sign in (1, -1)
        ]
        linear = wave @ _first(body, state, wave, load_factor)
        return float(0.5 * (ends[0] - ends[1]) - size * linear) / size**3

    return (4.0 * left(unit) - left(2.0 * unit)) / 3.0


def _first(body: Waved, state: Array, wave: Array, load_factor: float) -> Array:
    """K y, nil but for how far the bifurcation has been placed."""
    own, point = body.harmonics.own(1), state[body.harmonics.own(0)]
    operator = wave_operator(body.model, evaluate_shell(body.model, point), load_factor)
    out = np.zeros(body.size)
    out[own] = 0.5 * multiply(operator.at(body.harmonics.wave_number), wave[own])
    return out


def _softening(model: Model, found: Bifurcation, mode: Array) -> float:
    """K' y . y along the axisymmetric path, by a central difference, in the mean around."""
    at, load_factor, step = found.point.at, found.load_factor, 1e-4 * found.load_factor
    lu = factor(shell_tangent(model, at, load_factor))
    assert lu is not None
    onward = lu.solve(model.supports.freed(at.increasing))
    forms = []
    for sign in (1.0, -1.0):
        beside = evaluate_shell(model, at.x + sign * step * onward)
        operator = wave_operator(model, beside, load_factor + sign * step)
        forms.append(0.5 * float(mode @ multiply(operator.at(found.wave_number), mode)))
    return (forms[0] - forms[1]) / (2.0 * step)
