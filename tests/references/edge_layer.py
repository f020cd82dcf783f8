"""A second opinion that shares no code with the package: waves in the layer at the edge of an endless cap.

The limit of `shallow_cap` as the cap parameter grows: parallel circles become straight, n / x becomes a wave number k
across the layer, terms in 1 / x go. With s up to the edge at 0, the state is b'' = f - 2 P b, f'' = -b with f' = 2 P
(1 - nu) at an edge that does not move; it fades away from it.

The same layer at the end of a long cylinder under axial force, P the share of E t^2 / (R sqrt(3 (1 - nu^2))): hoop
force is nil away from the edge, so that f' = -2 P nu there, and only the curvature around and the force along are left
in the equations of L. H. Donnell, 1934 (derived here). As waves begin an end is held along the axis too, or not.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.optimize import brentq, minimize_scalar

from tests.references.shallow_cap import chebyshev

DEPTH, POINTS = 50.0, 90  # the state fades as exp(-0.3 s): 3e-7 are left; 120 points change no load by more than 1e-8
LOWEST, HIGHEST, STEP = 0.4, 0.96, 0.05  # of P


@dataclass(frozen=True)
class EdgeLayer:
    """The layer by Poisson's ratio and edge."""

    nu: float
    clamped: bool
    cylinder: bool = False
    axially_free: bool = False

    @cached_property
    def derivatives(self):
        """Of order 0 to 4, from the edge inward."""
        matrix, _ = chebyshev(POINTS - 1)
        return [np.linalg.matrix_power(2.0 * matrix / DEPTH, order) for order in range(5)]

    def state(self, P):
        """Slopes b and f."""
        eye, d1, d2 = self.derivatives[:3]
        matrix, right = np.block([[d2 + 2.0 * P * eye, -eye], [eye, d2]]), np.zeros(2 * POINTS)
        none = np.zeros(POINTS)
        matrix[0] = np.r_[eye[0] if self.clamped else d1[0], none]
        matrix[POINTS], right[POINTS] = np.r_[none, d1[0]], 2.0 * P * (-self.nu if self.cylinder else 1.0 - self.nu)
        matrix[POINTS - 1], matrix[-1] = np.r_[eye[-1], none], np.r_[none, eye[-1]]
        found = np.linalg.solve(matrix, right)
        return found[:POINTS], found[POINTS:]

    def waves(self, P, k):
        """Matrix that is singular where waves begin; rows of unit length."""
        eye, d1, d2, d3, d4 = self.derivatives
        b, f = self.state(P)
        lap, twice = d2 - k**2 * eye, d4 - 2.0 * k**2 * d2 + k**4 * eye
        by_f, by_b = -(k**2) * np.diag(d1 @ f), -(k**2) * np.diag(d1 @ b)
        curved = d2 if self.cylinder else lap
        matrix = np.block([[twice + 2.0 * P * curved - by_f, -curved - by_b], [curved + by_b, twice]])
        none = np.zeros(POINTS)
        matrix[0], matrix[1] = np.r_[eye[0], none], np.r_[d1[0] if self.clamped else d2[0], none]
        matrix[POINTS] = np.r_[none, d2[0] + self.nu * k**2 * eye[0]]
        matrix[POINTS + 1] = np.r_[d1[0], d3[0] + self.nu * k**2 * d1[0] - 2.0 * (1.0 + self.nu) * k**2 * d1[0]]
        if self.axially_free:
            matrix[POINTS], matrix[POINTS + 1] = np.r_[none, eye[0]], np.r_[none, d2[0]]
        for row, values in ((-2, d1[-1]), (-1, eye[-1])):
            matrix[POINTS + row], matrix[row] = np.r_[values, none], np.r_[none, values]
        return matrix / np.linalg.norm(matrix, axis=1)[:, None]

    def load(self, k):
        """Least P at which waves with that number begin."""
        tries = np.arange(LOWEST, HIGHEST, STEP)
        found = [np.linalg.slogdet(self.waves(P, k)) for P in tries]
        at = next(i for i in range(len(tries) - 1) if found[i][0] != found[i + 1][0])

        def scaled(P):
            sign, logarithm = np.linalg.slogdet(self.waves(P, k))
            return sign * np.exp(min(logarithm - found[at][1], 50.0))

        return brentq(scaled, tries[at], tries[at + 1], xtol=1e-10)


def edge_waves(nu, *, clamped):
    """Least P and the k it belongs to, n / cap parameter."""
    return _least(EdgeLayer(nu, clamped), (0.7, 1.0))


def cylinder_waves(nu, *, clamped, axially_free):
    """Least P and the k it belongs to, n / ((12 (1 - nu^2))^(1/4) sqrt(R/t))."""
    return _least(EdgeLayer(nu, clamped, cylinder=True, axially_free=axially_free), (0.3, 0.6))


def _least(layer, bounds):
    found = minimize_scalar(layer.load, bounds=bounds, method="bounded", options={"xatol": 1e-5})
    return found.fun, found.x
