"""A second opinion that shares no code with the package: a sphere dented all over, by Fourier series.

Marguerre's shallow-shell equations on a rectangular cell of the hexagonal pattern cos x + 2 cos(x/2) cos(sqrt(3) y/2),
in the units of dimple_bvp; inward positive; periodic, so that the mean of W is free and set to nought.
"""

import numpy as np
from scipy.optimize import minimize_scalar

SIZE = 12  # points along each side of the cell
X, Y = np.meshgrid(
    *(2.0 * np.pi * np.arange(SIZE) / SIZE * scale for scale in (2.0, 2.0 / np.sqrt(3.0))), indexing="ij"
)
KX, KY = np.meshgrid(*(np.fft.fftfreq(SIZE, 1.0 / SIZE) / scale for scale in (2.0, 2.0 / np.sqrt(3.0))), indexing="ij")
K2 = KX**2 + KY**2
# Cosines alone: sines would only move the pattern about. Each with m + n even, as in the pattern itself.
WAVES = np.array(
    [
        (np.cos(0.5 * m * X) * np.cos(0.5 * np.sqrt(3.0) * n * Y)).ravel()
        for m in range(SIZE // 2)
        for n in range(SIZE // 2)
        if (m + n) % 2 == 0 and m + n > 0
    ]
)
PATTERN = np.cos(X) + 2.0 * np.cos(0.5 * X) * np.cos(0.5 * np.sqrt(3.0) * Y)


def bracket(f, g):
    """f_xx g_yy + f_yy g_xx - 2 f_xy g_xy from Fourier coefficients, as values on the grid."""
    xx, yy, xy = ([np.fft.ifft2(-k * h).real for h in (f, g)] for k in (KX * KX, KY * KY, KX * KY))
    return xx[0] * yy[1] + yy[0] * xx[1] - 2.0 * xy[0] * xy[1]


def residual(W, P, dent):
    """Equilibrium on the grid, the stress function eliminated by compatibility."""
    w, total = np.fft.fft2(W), np.fft.fft2(W + dent)
    stretching = K2 * w - np.fft.fft2(bracket(np.fft.fft2(dent), w) + 0.5 * bracket(w, w))
    stress = np.where(K2 > 0.0, stretching / np.where(K2 > 0.0, K2, 1.0) ** 2, 0.0)
    forces = K2**2 * w + K2 * stress - 2.0 * P * K2 * total - np.fft.fft2(bracket(stress, total))
    return np.fft.ifft2(forces).real


def newton(function, u):
    """A root near u; the functions are polynomials of low degree, so that central differences are exact enough."""
    for _ in range(20):
        value = function(u)
        slopes = [(function(u + step) - function(u - step)) / 2e-4 for step in 1e-4 * np.eye(u.size)]
        change = np.linalg.solve(np.array(slopes).T, value)
        u = u - change
        if np.max(np.abs(change)) < 1e-12:
            return u
    raise AssertionError("no root")


def limit_load(depth):
    """Greatest P of a sphere with `depth` PATTERN / 3, its deepest point `depth` in t / sqrt(12 (1 - nu^2))."""
    dent = depth / 3.0 * PATTERN
    state = {
        "u": np.append(
            np.linalg.lstsq(WAVES.T, 0.4 * np.sqrt(depth) * PATTERN.ravel(), rcond=None)[0], 1.0 - np.sqrt(depth)
        )
    }

    def load(amplitude):
        def unbalanced(u):
            W = (u[:-1] @ WAVES).reshape(SIZE, SIZE)
            return np.append(WAVES @ residual(W, u[-1], dent).ravel(), np.mean(W * PATTERN) / 1.5 - amplitude)

        state["u"] = newton(unbalanced, state["u"])
        return float(state["u"][-1])

    expected = 8.0 / 9.0 * np.sqrt(0.75 * depth)  # where the first-order theory has its limit
    best = minimize_scalar(
        lambda a: -load(a),
        bounds=(0.5 * expected, 1.5 * expected),
        method="bounded",
        options={"xatol": 1e-3 * expected},
    )
    return -best.fun
