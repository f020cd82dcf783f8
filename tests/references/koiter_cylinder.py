"""A second opinion that shares no code with the package: an endless cylinder with an axisymmetric wave, pressed.

Donnell's equations in the lengths l = sqrt(R t) / (12 (1 - nu^2))^(1/4) along and around, deflections in the unit
t / sqrt(12 (1 - nu^2)), load = force over the classical one. The wave e cos(x) of the classical axisymmetric mode grows
to e / (1 - load) cos(x) before waves around begin (exact in this theory), and carries a hoop force load e / (1 - load)
cos(x) with it. Waves w(x) cos(m y) about it, with stress function f:

    lap lap f = w'' + A cos(x) (-m^2) w                          A = -W0'' over cos(x), W0 = e / (1 - load) cos(x)
    lap lap w + f'' + 2 load w'' + load A cos(x) m^2 w + A cos(x) (-m^2) f = 0

as Fourier series exp(i (j + 1/2 + shift) x). (L. H. Donnell 1934 and W. T. Koiter 1963, from memory; derived again
here.) The wave is in the unit of deflections.
"""

import numpy as np
from scipy.optimize import brentq

TERMS = 12
SHIFTS = np.linspace(0.0, 0.5, 33)


def bifurcation_load(wave, m):
    """Least load at which waves cos(m y) begin, over the shift of their series."""
    return min(_load(wave, m, shift) for shift in SHIFTS)


def _load(wave, m, shift):
    """First load at which the least eigenvalue vanishes."""
    loads = np.linspace(0.02, 0.995, 60)
    signs = [_least_eigenvalue(wave, m, shift, load) for load in loads]
    first = next((i for i, value in enumerate(signs) if value < 0.0), None)
    if first is None or first == 0:
        return 1.0
    return brentq(lambda load: _least_eigenvalue(wave, m, shift, load), loads[first - 1], loads[first], xtol=1e-9)


def _least_eigenvalue(wave, m, shift, load):
    k = np.arange(-TERMS, TERMS) + 0.5 + shift
    laps = np.diag((k**2 + m**2) ** 2)
    cos = 0.5 * (np.eye(len(k), k=1) + np.eye(len(k), k=-1))
    along, around = np.diag(-(k**2)), -(m**2) * np.eye(len(k))
    bent = wave / (1.0 - load)
    of_w = along + bent * cos @ around  # lap lap f = of_w w, since -W0'' = bent cos and f_compat = w'' - W0'' w_yy
    hoop = load * bent
    operator = laps + of_w.T @ np.linalg.solve(laps, of_w) + 2.0 * load * along - hoop * cos @ around
    return float(np.linalg.eigvalsh(0.5 * (operator + operator.T))[0])
