"""A second opinion that shares no code with the package: von Karman's circular plate by scipy's solve_bvp.

Unit of length the thickness for w and the radius for x, E = 1, D = 1 / (12 (1 - nu^2)). With the slope w' = x g, the
radial force N and the load q = p a^4 / (E t^4), equilibrium and compatibility are

    g'' + 3 g'/x = (N g + q/2) / D        N'' + 3 N'/x = -g^2 / 2

(T. von Karman 1910, from memory; derived again here), regular at x = 0.
"""

import numpy as np
from scipy.integrate import solve_bvp

SINGULAR = np.diag([0.0, -3.0, 0.0, -3.0, 0.0])


def plate_load(deflection, nu, edge):
    """Load q that gives the central deflection w0/t; edge is 'clamped_fixed', 'hinged_sliding' and so on."""
    turning, moving = edge.split("_")
    D = 1.0 / (12.0 * (1.0 - nu**2))

    def slopes(x, y, p):
        g, dg, N, dN, _ = y
        return np.array([dg, (N * g + p[0] / 2.0) / D, dN, -(g**2) / 2.0, -x * g])

    def boundary(left, right, p, w):
        g, dg, N, dN, _ = right
        turned = g if turning == "clamped" else dg + (1.0 + nu) * g
        moved = dN + (1.0 - nu) * N if moving == "fixed" else N
        return np.array([left[1], left[3], left[4], turned, moved, right[4] - w])

    x = np.linspace(0.0, 1.0, 31)
    y, load = np.zeros((5, x.size)), 0.0
    for w in deflection * np.linspace(0.1, 1.0, 10):  # each deflection starts from the solution of the one before
        found = solve_bvp(slopes, lambda a, b, p, w=w: boundary(a, b, p, w), x, y, p=[load], S=SINGULAR, tol=1e-6)
        assert found.success, found.message
        x, y, load = found.x, found.y, found.p[0]
    return load
