"""Inextensible ring under pressure that follows it, far beyond buckling: the elastica, solved by shooting.

Per unit of breadth, in units of radius and bending stiffness: with t the tangent, n the inward normal, curvature kappa,
tension N and shear force Q,

    theta' = kappa    kappa' = -Q    N' = kappa Q    Q' = -kappa N - p

A quarter of the ring goes from Q = 0 at one axis of symmetry to Q = 0 and theta = pi/2 at the other. Classical (Levy
1884; the post-buckled shapes Tadjbakhsh and Odeh 1967, from memory); derived here. It buckles at p = 3.
"""

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import fsolve


def pressure_and_flattening(turned_in: float) -> tuple[float, float]:
    """Pressure over D/R^3, and half the difference of both half axes over R, of a ring of two waves.

    `turned_in` is by how much the curvature at one end of an axis differs from the circle's.
    """

    def quarter(unknowns: np.ndarray) -> np.ndarray:
        tension, pressure = unknowns

        def slope(_: float, y: np.ndarray) -> list[float]:
            theta, kappa, pull, shear = y[:4]
            return [kappa, -shear, kappa * shear, -kappa * pull - pressure, np.cos(theta), np.sin(theta)]

        start = [0.0, 1.0 + turned_in, tension, 0.0, 0.0, 0.0]
        return solve_ivp(slope, (0.0, 0.5 * np.pi), start, rtol=1e-11, atol=1e-12).y[:, -1]

    def open_ends(unknowns: np.ndarray) -> list[float]:
        end = quarter(unknowns)
        return [end[0] - 0.5 * np.pi, end[3]]

    found, _, success, message = fsolve(open_ends, [-3.0, 3.0 + 0.3 * turned_in**2], full_output=True)
    assert success == 1, message
    end = quarter(found)
    return float(found[1]), 0.5 * abs(float(end[4] - end[5]))
