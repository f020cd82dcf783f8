"""A second opinion that shares no code with the package: shallow spherical caps in waves, by Marguerre's equations.

Lengths in sqrt(R t) / (12 (1 - nu^2))^(1/4), so that the edge lies at the cap parameter; P = p / p_cl. With W the
deflection towards the load and F the stress function beside that of the membrane, one has (K. Marguerre 1938, from
memory; derived again here)

    lap lap W = lap F - 2 P lap W + [F, W]        lap lap F = -lap W - [W, W] / 2

For the axisymmetric state b = W', f = F' these integrate once; waves cos(n theta) are its linear perturbation. At an
edge that does not move: W = 0, W' = 0 or M_r = 0, no strain around, and the strain's change along the meridian
x e_theta' = e_r + d gamma / d theta - (x + b) W'. `linear` is the bifurcation problem of a state without rotations.
Chebyshev collocation over the whole diameter, odd and even parts apart, so that nothing is singular at the apex.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.optimize import brentq

POINTS = 40  # of a radius; 48 change no load by more than 1e-8
LOWEST, STEP = 0.3, 0.02  # of P: where the search begins, and how far two tries are apart


def chebyshev(order):
    """Differentiation matrix and points cos(pi k / order) of [-1, 1] (L. N. Trefethen 2000, from memory)."""
    x = np.cos(np.pi * np.arange(order + 1) / order)
    weights = np.r_[2.0, np.ones(order - 1), 2.0] * (-1.0) ** np.arange(order + 1)
    matrix = np.outer(weights, 1.0 / weights) / (x[:, None] - x[None, :] + np.eye(order + 1))
    return matrix - np.diag(matrix.sum(axis=1)), x


@dataclass(frozen=True)
class ShallowCap:
    """A cap by its parameter, Poisson's ratio and edge."""

    parameter: float
    nu: float
    clamped: bool

    @cached_property
    def grid(self):
        """Points from the edge inward, and the derivatives of order 0 to 4 of even and of odd functions."""
        matrix, x = chebyshev(2 * POINTS - 1)
        powers = [np.linalg.matrix_power(matrix / self.parameter, order) for order in range(5)]
        halves = {
            parity: [p[:POINTS, :POINTS] + parity * p[:POINTS, POINTS:][:, ::-1] for p in powers] for parity in (1, -1)
        }
        return self.parameter * x[:POINTS], halves

    def state(self, P, start, *, linear=False):
        """(b, f) at a load from a state nearby; None where there is none, as beyond the limit."""
        x, halves = self.grid
        eye, d1, d2 = halves[-1][:3]
        bend = d2 + d1 / x[:, None] - eye / x[:, None] ** 2
        full = 0.0 if linear else 1.0
        values = np.array(start)
        for _ in range(30):
            b, f = values[:POINTS], values[POINTS:]
            residual = np.r_[bend @ b - f + full * (2.0 * P * b - f * b / x), bend @ f + b + full * 0.5 * b * b / x]
            tangent = np.block(
                [
                    [bend + full * (2.0 * P * eye - np.diag(f / x)), -eye - full * np.diag(b / x)],
                    [eye + full * np.diag(b / x), bend],
                ]
            )
            held = eye[0] if self.clamped else d1[0] + self.nu * eye[0] / x[0]
            fixed = d1[0] - self.nu * eye[0] / x[0]
            tangent[0], residual[0] = np.r_[held, 0.0 * held], held @ b
            tangent[POINTS] = np.r_[0.0 * fixed, fixed]
            residual[POINTS] = fixed @ f - 2.0 * P * (1.0 - self.nu)
            change = np.linalg.solve(tangent, -residual)
            values = values + change
            if np.abs(change).max() < 1e-11 * (1.0 + np.abs(values).max()):
                return values
        return None

    @cached_property
    def path(self):
        """States (P, values) that are tried for waves, from the lowest load to the last that has one below 1."""
        states, start = [], np.zeros(2 * POINTS)
        for P in np.arange(LOWEST, 1.0, STEP):
            start = self.state(P, start)
            if start is None:
                break
            states.append((P, start))
        return states

    def waves(self, P, state, n, *, linear=False):
        """Matrix that is singular where n >= 1 waves begin; rows of unit length."""
        x, halves = self.grid
        eye, d1, d2, d3, d4 = halves[1 if n % 2 == 0 else -1]
        column, edge, nu = x[:, None], self.parameter, self.nu
        around = d1 / column - n * n * eye / column**2
        lap = d2 + around
        ring = 1.0 + 2.0 * n * n
        twice = d4 + 2.0 / column * d3 - ring / column**2 * d2 + ring / column**3 * d1
        twice += (n**4 - 4.0 * n * n) / column**4 * eye
        b, f = state[:POINTS], state[POINTS:]
        odd = halves[-1][1]

        def bracket(slope):
            return (odd @ slope)[:, None] * around + slope[:, None] / column * d2

        full = 0.0 if linear else 1.0
        matrix = np.block(
            [[twice + 2.0 * P * lap - bracket(f), -lap - full * bracket(b)], [lap + full * bracket(b), twice]]
        )
        none = np.zeros(POINTS)
        matrix[0] = np.r_[eye[0], none]
        matrix[1] = np.r_[d1[0] if self.clamped else d2[0] + nu / edge * d1[0], none]
        along = around[0] - nu * d2[0]
        matrix[POINTS] = np.r_[none, d2[0] - nu * around[0]]
        change = d3[0] - nu * (d2[0] / edge - (1.0 + n * n) * d1[0] / edge**2 + 2.0 * n * n * eye[0] / edge**3)
        sheared = 2.0 * (1.0 + nu) * n * n * (d1[0] / edge - eye[0] / edge**2)
        matrix[POINTS + 1] = np.r_[(edge + full * b[0]) * d1[0], edge * change - along - sheared]
        if n == 1:  # F = x cos(theta) carries no stress: it is held at nothing by a row and a column more
            matrix = np.block([[matrix, np.zeros((2 * POINTS, 1))], [none, x / edge, np.zeros(1)]])
            matrix[POINTS + 2, -1] = 1.0
        return matrix / np.linalg.norm(matrix, axis=1)[:, None]

    def axisymmetric(self, P, state):
        """Matrix that is singular at linear bifurcation without waves."""
        x, halves = self.grid
        eye, d1, d2 = halves[-1][:3]
        bend = d2 + d1 / x[:, None] - eye / x[:, None] ** 2
        matrix = np.block([[bend + 2.0 * P * eye - np.diag(state[POINTS:] / x), -eye], [eye, bend]])
        none = np.zeros(POINTS)
        matrix[0] = np.r_[eye[0] if self.clamped else d1[0] + self.nu * eye[0] / x[0], none]
        matrix[POINTS] = np.r_[none, d1[0] - self.nu * eye[0] / x[0]]
        return matrix / np.linalg.norm(matrix, axis=1)[:, None]


def first_waves(cap, numbers):
    """Least P up to 1 or the limit at which waves of one of the numbers begin, and which; (inf, 0) if none do."""

    def matrix(P, n, state):
        return cap.waves(P, state, n)

    def at(P, near):
        return cap.state(P, near)

    return min((_first(n, cap.path, matrix, at), n) for n in numbers)


def linear_bifurcation(cap, numbers, top):
    """Least P up to `top` of the linear bifurcation problem, and its n."""
    unit = cap.state(1.0, np.zeros(2 * POINTS), linear=True)

    def matrix(P, n, state):
        return cap.waves(P, state, n, linear=True) if n else cap.axisymmetric(P, state)

    def at(P, _):
        return P * unit

    path = [(P, P * unit) for P in np.arange(LOWEST, top, STEP)]
    return min((_first(n, path, matrix, at), n) for n in numbers)


def _first(n, path, matrix, at):
    """Least P at which the determinant changes its sign; inf if there is none."""
    last = None
    for P, state in path:
        sign, size = np.linalg.slogdet(matrix(P, n, state))
        if last is not None and sign != last:
            return brentq(lambda P, s=state, z=size: _scaled(matrix(P, n, at(P, s)), z), P - STEP, P, xtol=1e-10)
        last = sign
    return np.inf


def _scaled(matrix, size):
    sign, logarithm = np.linalg.slogdet(matrix)
    return sign * np.exp(min(logarithm - size, 50.0))


def axisymmetric_limit(cap, top):
    """Highest P to which the state without waves can be followed, to 1e-7; inf if beyond `top`.

    A state that is farther off than half of what has been reached is taken for one beyond the limit.
    """
    start, reached, step = np.zeros(2 * POINTS), 0.0, STEP
    while step > 1e-7:
        ahead = cap.state(reached + step, start)
        near = ahead is not None and np.abs(ahead - start).max() < 0.5 * (1.0 + np.abs(start).max())
        if near:
            start, reached = ahead, reached + step
            if reached > top:
                return np.inf
        else:
            step /= 2.0
    return reached
