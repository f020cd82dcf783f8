"""A second opinion that shares no code with the package: plastic limits of circular plates under uniform pressure.

With M_r, M_t over M0 and P = p a^2 / M0, equilibrium is d(x M_r)/dx = M_t - P x^2 / 2. The plate yields everywhere, so
that both moments lie on von Mises' ellipse and one angle w stands for them:

    M_r = c cos(w - pi/6),   M_t = c cos(w + pi/6),   c = 2 / sqrt(3)

w = 0 at the centre. With y = P x^2 the load drops out: dw/d(ln y) = (M_t - M_r - y/2) / (2 dM_r/dw). The value of y at
the edge is P. A simply supported edge has M_r = 0, w = -pi/3. A clamped one is a hinge, where the flow rule leaves no
curvature around: M_r = 2 M_t < 0, w = -5 pi/6 (after H. G. Hopkins and A. J. Wang, 1955, from memory; derived here).
"""

import math

from scipy.integrate import solve_ivp

EDGES = {"supported": -math.pi / 3.0, "clamped": -5.0 * math.pi / 6.0}
_START = 1e-9  # of y; the next term of the series is as small
_SHORT = 1e-6  # rad before the hinge, where dM_r/dw vanishes; y is level there to 1e-7


def plate_limit(edge: str) -> float:
    """p a^2 / M0 at collapse; edge is 'supported' or 'clamped'."""
    c = 2.0 / math.sqrt(3.0)

    def slope(log_y, w):
        radial, around = c * math.cos(w[0] - math.pi / 6.0), c * math.cos(w[0] + math.pi / 6.0)
        return [(around - radial - 0.5 * math.exp(log_y)) / (-2.0 * c * math.sin(w[0] - math.pi / 6.0))]

    def reached(_, w):
        return w[0] - EDGES[edge] - _SHORT * (edge == "clamped")

    reached.terminal = True
    span, start = (math.log(_START), math.log(100.0)), [-_START / (4.0 * c)]
    found = solve_ivp(slope, span, start, "DOP853", events=reached, rtol=1e-12, atol=1e-14)
    assert found.t_events[0].size == 1, found.message
    return math.exp(found.t_events[0][0])
