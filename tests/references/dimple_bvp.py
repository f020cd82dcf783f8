"""A second opinion that shares no code with the package: a complete sphere with an axisymmetric dent, by solve_bvp.

Shallow-shell (Marguerre) equations in the length l = sqrt(R t) / (12 (1 - nu^2))^(1/4), the deflection unit
t / sqrt(12 (1 - nu^2)) and P = p / p_cl, inward positive; chi = W', psi = F' of the stress function, chi_I of the dent:

    psi'' + psi'/x - psi/x^2 = -chi - (chi_I + chi/2) chi / x
    chi'' + chi'/x - chi/x^2 = psi - 2 P (chi + chi_I) + psi (chi + chi_I) / x

(K. Marguerre 1938, from memory; derived again here). Regular at x = 0, at rest far away.
"""

import numpy as np
from scipy.integrate import solve_bvp
from scipy.optimize import minimize_scalar
from scipy.special import j0, j1

SINGULAR = np.zeros((5, 5))  # of y = (chi/x, (chi/x)', psi/x, (psi/x)', W): y'' + 3 y'/x
SINGULAR[1, 1] = SINGULAR[3, 3] = -3.0


def limit_load(width, depth, far=40.0):
    """Greatest P on the way up of a sphere with the dent depth exp(-(x/width)^2), depth in t / sqrt(12 (1 - nu^2))."""
    x = np.concatenate([np.linspace(0.0, 10.0, 121), np.linspace(10.2, far, 161)])
    step = 0.2 * depth**0.5  # the deflection at the limit grows with the root of a small depth
    state = {"x": x, "y": step * _fading_wave(x), "P": 0.9}

    def load(deflection):
        found = _held(width, depth, deflection, state)
        state.update(x=found.x, y=found.y, P=found.p[0])
        return float(found.p[0])

    path = [(0.0, 0.0)]
    while len(path) < 3 or path[-1][1] > path[-2][1]:
        path.append((path[-1][0] + step, load(path[-1][0] + step)))
    low, high = path[-3][0], path[-1][0]
    found = minimize_scalar(lambda w: -load(w), bounds=(low, high), method="bounded", options={"xatol": 1e-3})
    return -found.fun


def _fading_wave(x, fade=0.2):
    """Where the search starts: W = F = J0(x) exp(-fade x), the sphere's own mode, as y for a unit deflection."""
    g = np.where(x > 0.0, (-j1(x) - fade * j0(x)) / np.maximum(x, 0.1), 0.0) * np.exp(-fade * x)
    return np.array([g, np.gradient(g, x), g, np.gradient(g, x), j0(x) * np.exp(-fade * x)])


def _held(width, depth, deflection, start):
    """The state with that deflection at the centre."""

    def slopes(x, y, p):
        g, dg, h, dh, _ = y  # chi = x g, psi = x h
        dent = -2.0 * depth / width**2 * np.exp(-((x / width) ** 2))
        return np.array([dg, h - 2.0 * p[0] * (g + dent) + h * (g + dent), dh, -g - (dent + 0.5 * g) * g, x * g])

    def boundary(left, right, p):
        return np.array([left[1], left[3], left[4] - deflection, right[0], right[2], right[4]])

    found = solve_bvp(slopes, boundary, start["x"], start["y"], p=[start["P"]], S=SINGULAR, tol=1e-6, max_nodes=20_000)
    assert found.success, found.message
    return found
