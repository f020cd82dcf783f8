"""A second opinion that shares no code with the package: axisymmetric limit of a spherical cap by scipy's solve_bvp.

Geometrically exact shell of revolution with linear elastic resultants (E. Reissner's finite-strain theory of 1972, from
memory; derived again here by virtual work). With s the arc length of the undeformed mid-surface, phi = s/R,
r0 = R sin phi, Phi the inclination of the director, (r, z) the deformed mid-surface and z towards the apex:

    r' = (1 + e) cos Phi + g sin Phi        e meridional stretch - 1, g transverse shear
    z' = -(1 + e) sin Phi + g cos Phi       circumferential strain r/r0 - 1
    kappa_s = Phi' - 1/R                    kappa_theta = (sin Phi - sin phi) / r0
    N = H cos Phi - V sin Phi               H, V radial and axial force per undeformed length
    Q = H sin Phi + V cos Phi
    (r0 H)' = N_theta - r0 f_r,  (r0 V)' = -r0 f_z,  (r0 M)' = M_theta cos Phi + r0 (V r' - H z')

External pressure p on the mid-surface gives r0 V = p r^2 / 2 (follower) or p r0^2 / 2 (dead, normal to the undeformed
surface). The path is followed in the space of displaced volume, apex displacement and p, where p is an unknown of the
boundary-value problem (volume alone turns back just beyond the limit of a cap of parameter 6); the limit is the first
maximum of p. Unit of length R, of force per length E t.
"""

from dataclasses import dataclass

import numpy as np
from scipy.integrate import solve_bvp
from scipy.optimize import minimize_scalar

SHEAR_FACTOR = 5.0 / 6.0
APEX = 1e-4  # start of the integration as a share of the meridian; the state is regular below it
RESIDUAL = 1e-6  # relative residual asked of solve_bvp; 1e-8 changes the limits below by less than 1e-6


@dataclass(frozen=True)
class Cap:
    """A cap of unit radius: thickness over radius, half-angle, Poisson's ratio and the options."""

    thinness: float
    half_angle: float
    nu: float
    follower: bool
    shear: bool
    clamped: bool

    @property
    def classical(self):
        """Classical pressure of the complete sphere, in E t / R."""
        return 2.0 * self.thinness / np.sqrt(3.0 * (1.0 - self.nu**2))

    @property
    def scales(self):
        """Sizes of u, w, beta, H, M and of the displaced volume, so that solve_bvp sees numbers near one."""
        t = self.thinness
        return np.array([t**1.5, t, np.sqrt(t), t, t * t, 0.1 * t * self.half_angle**2])[:, None]


def cap_parameter(radius, thickness, half_angle, nu):
    """(12 (1 - nu^2))^(1/4) sqrt(R/t) 2 sin(half_angle / 2)."""
    return (12.0 * (1.0 - nu**2)) ** 0.25 * np.sqrt(radius / thickness) * 2.0 * np.sin(half_angle / 2.0)


def half_angle_of(parameter, radius_over_thickness, nu):
    """The half-angle of a cap with that cap parameter."""
    return 2.0 * np.arcsin(parameter / cap_parameter(radius_over_thickness, 1.0, np.pi, nu))


def cap_limit(radius, thickness, half_angle, nu, *, follower, shear, clamped=True):
    """First axisymmetric limit pressure over the classical pressure of the complete sphere."""
    cap = Cap(thickness / radius, half_angle, nu, follower, shear, clamped)
    before, peak, after = first_peak(cap)
    # Pressure is flat at its maximum: 1e-3 of the way there is below 1e-6 of the pressure.
    ahead = point(after) - point(before)
    way = np.linalg.norm(ahead)
    found = minimize_scalar(
        lambda share: -solve(cap, (point(before), ahead / way, share * way), peak).p[0],
        bounds=(0.0, 1.0),
        method="bounded",
        options={"xatol": 1e-3},
    )
    return -found.fun


def path_point(left, right, load):
    """Displaced volume, apex displacement and pressure, scaled: the space in which the path is stepped along."""
    return np.array([right[5], left[1], load])


def point(state):
    """Place of a state."""
    return path_point(state.y[:, 0], state.y[:, -1], state.p[0])


def first_peak(cap, step=0.1):
    """States before, at and after the first maximum of the pressure, a step apart."""
    nodes = np.linspace(APEX, 1.0, 41)
    unloaded = collocate(cap, (np.zeros(3), np.array([1.0, 0.0, 0.0]), 0.0), nodes, np.zeros((6, nodes.size)), 0.0)
    path = [unloaded, solve(cap, (np.zeros(3), np.array([0.0, 0.0, 1.0]), step), unloaded)]
    while len(path) < 3 or path[-1].p[0] > path[-2].p[0]:
        path.append(advance(cap, path[-2], path[-1], step))
    return path[-3:]


def advance(cap, before, now, step):
    """State a step beyond two others on the line through them; half the step where none is found."""
    assert step > 1e-4, "no state found ahead"
    ahead = point(now) - point(before)
    share = step / np.linalg.norm(ahead)
    guess = now.y + share * (now.y - before.sol(now.x))
    found = collocate(cap, (point(now), ahead * share / step, step), now.x, guess, now.p[0] + share * ahead[2])
    return found if found.success else advance(cap, before, now, 0.5 * step)


def solve(cap, control, near):
    """State on a control line, started from a state near it."""
    found = collocate(cap, control, near.x, near.y, near.p[0])
    assert found.success, found.message
    return found


def collocate(cap, control, x, y, load):
    """What solve_bvp finds on (point - origin) . direction = distance; `control` is (origin, direction, distance)."""
    return solve_bvp(
        lambda x, y, p: slopes(cap, x, y, p[0]),
        lambda left, right, p: boundary(cap, left, right, p[0], control),
        x,
        y,
        p=[load],
        tol=RESIDUAL,
        max_nodes=2000,
    )


def strains(cap, x, y, load):
    """r0, phi, Phi, (e, g, circumferential strain), (kappa_s, kappa_theta), r, V at x for scaled unknowns y."""
    u, _, beta, H, M, _ = y * cap.scales
    phi = cap.half_angle * x
    Phi = phi + beta
    r0 = np.sin(phi)
    r = r0 + u
    pressure = load * cap.classical
    V = pressure * (r**2 if cap.follower else r0**2) / (2.0 * r0)
    N, Q = H * np.cos(Phi) - V * np.sin(Phi), H * np.sin(Phi) + V * np.cos(Phi)
    around = u / r0
    along = (1.0 - cap.nu**2) * N - cap.nu * around
    shear = 2.0 * (1.0 + cap.nu) / SHEAR_FACTOR * Q if cap.shear else np.zeros_like(Q)
    turned = (np.sin(Phi) - np.sin(phi)) / r0
    bent = 12.0 * (1.0 - cap.nu**2) / cap.thinness**2 * M - cap.nu * turned
    return r0, phi, Phi, (along, shear, around), (bent, turned), r, V


def slopes(cap, x, y, load):
    """Derivatives by x of the scaled unknowns (u, w, beta, H, M, displaced volume)."""
    u, w, _, H, M, _ = y * cap.scales
    r0, phi, Phi, (along, shear, around), (bent, turned), r, V = strains(cap, x, y, load)
    pressure = load * cap.classical
    dr = (1.0 + along) * np.cos(Phi) + shear * np.sin(Phi)
    dz = -(1.0 + along) * np.sin(Phi) + shear * np.cos(Phi)
    N_around = (around + cap.nu * along) / (1.0 - cap.nu**2)
    M_around = cap.thinness**2 / (12.0 * (1.0 - cap.nu**2)) * (turned + cap.nu * bent)
    radial_load = pressure * r * dz if cap.follower else -pressure * r0 * np.sin(phi)
    dH = (N_around - radial_load - np.cos(phi) * H) / r0
    dM = (M_around * np.cos(Phi) - np.cos(phi) * M) / r0 + V * dr - H * dz
    dvolume = -(u * np.sin(phi) + w * np.cos(phi)) * r0
    rates = np.array([dr - np.cos(phi), dz + np.sin(phi), bent, dH, dM, dvolume])
    return cap.half_angle * rates / cap.scales


def boundary(cap, left, right, load, control):
    """Regular apex; edge with u = w = 0 and no rotation (clamped) or no moment (hinged); on the control line."""
    origin, direction, distance = control
    _, _, _, (along, _, around), (bent, turned), _, _ = strains(cap, np.array([APEX]), left[:, None], load)
    return np.array(
        [
            (along - around)[0] / cap.thinness,
            (bent - turned)[0],
            left[5],
            right[0],
            right[1],
            right[2] if cap.clamped else right[4],
            (path_point(left, right, load) - origin) @ direction - distance,
        ]
    )
