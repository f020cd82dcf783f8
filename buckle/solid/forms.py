"""Elasticity of an axisymmetric solid at large displacement, as forms of scikit-fem; all integrals are per radian.

Coordinates (r, z) of the unloaded body, displacement u = (u_r, u_z). In the meridian plane F = I + grad u, around the
axis f = 1 + u_r / r. The polar decomposition F = R U of a plane tensor is explicit:

    q = tr U = sqrt((F11 + F22)^2 + (F21 - F12)^2)      R turns by the angle of (F11 + F22, F21 - F12)

The law is quadratic in the engineering strain U - I, whose energy per volume is, with e = tr U + f - 3,

    W = (lambda/2) e^2 + mu (|U - I|^2 + (f - 1)^2)
    P = dW/dF = (lambda e - 2 mu) R + 2 mu F            p = dW/df = lambda e + 2 mu (f - 1)

the three-dimensional counterpart of the law of classical shell theory (M. A. Biot 1939, from memory). The
St. Venant-Kirchhoff law, quadratic in (U^2 - I)/2, gives clamped caps a limit lower by 0.9 to 1.5 t/R (computed here).
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from skfem.helpers import ddot, grad

from buckle.material import Material

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Stretched:
    """What the forms need of a displacement: tensors (2, 2, elements, points) and scalars (elements, points)."""

    R: Array  # rotation
    S: Array  # its derivative by the angle
    q: Array  # trace of the stretch U
    P: Array  # nominal stress in the plane
    p: Array  # nominal stress around the axis
    e: Array  # sum of the three engineering strains


def stretched(material: Material, gradient: Array, around: Array) -> Stretched:
    """Rotation and stress for grad u (2, 2, ...) and u_r / r (...)."""
    lam, mu = lame(material)
    F = gradient + np.eye(2)[:, :, None, None]
    q = np.hypot(F[0, 0] + F[1, 1], F[1, 0] - F[0, 1])
    c, s = (F[0, 0] + F[1, 1]) / q, (F[1, 0] - F[0, 1]) / q
    R, S = np.array([[c, -s], [s, c]]), np.array([[-s, -c], [c, -s]])
    e = q - 2.0 + around
    return Stretched(R, S, q, (lam * e - 2.0 * mu) * R + 2.0 * mu * F, lam * e + 2.0 * mu * around, e)


def lame(material: Material) -> tuple[float, float]:
    """Lame's constants [MPa]."""
    mu, nu = material.shear_modulus, material.poissons_ratio
    return 2.0 * mu * nu / (1.0 - 2.0 * nu), mu


def internal_work(v: Any, w: Any) -> Any:
    """Virtual work of the stresses: (P : grad v + p v_r / r) r."""
    r = w.x[0]
    return ddot(w["P"], grad(v)) * r + w["p"] * v[0]


def stiffness(u: Any, v: Any, w: Any) -> Any:
    """Derivative of `internal_work`: dP = lambda de R + (lambda e - 2 mu) dR + 2 mu dF, dR = S (S : dF) / q."""
    r = w.x[0]
    du, dv = ddot(w["R"], grad(u)) + u[0] / r, ddot(w["R"], grad(v)) + v[0] / r
    spin = ddot(w["S"], grad(u)) * ddot(w["S"], grad(v)) / w["q"]
    strain = ddot(grad(u), grad(v)) + u[0] * v[0] / r**2
    return (w["lam"] * du * dv + (w["lam"] * w["e"] - 2.0 * w["mu"]) * spin + 2.0 * w["mu"] * strain) * r


def swept_volume(v: Any, w: Any) -> Any:
    """Derivative of the volume per radian swept by the loaded line, (1/2) rho^2 dz: rho z' v_r + (1/2) rho^2 v_z'."""
    return w["rho"] * (w["dz"] * v[0] + 0.5 * w["rho"] * along(w.n, v)[1])


def swept_volume_rate(u: Any, v: Any, w: Any) -> Any:
    """Derivative of `swept_volume`: what follower pressure adds to the stiffness; symmetric."""
    return w["dz"] * u[0] * v[0] + w["rho"] * (u[0] * along(w.n, v)[1] + along(w.n, u)[1] * v[0])


def along(n: Any, u: Any) -> Any:
    """Derivative of a field along the loaded line, whose direction is (n_z, -n_r) for its left normal n."""
    return u.grad[:, 0] * n[1] - u.grad[:, 1] * n[0]
