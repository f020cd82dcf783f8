"""A quadratic elastic solid of revolution put together by scikit-fem's general forms: a rival to measure speed against.

Energy quadratic in engineering strain, W = (lambda/2) e^2 + mu (|U - I|^2 + (f - 1)^2) with e = tr U + f - 3, where
F = I + grad u = R U in the meridian plane and f = 1 + u_r / r around the axis; pressure follows the mid-surface, the
edge is clamped. The polar decomposition of a plane tensor is explicit: R turns by the angle of
(F11 + F22, F21 - F12), and tr U is that vector's length.
"""

from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementQuadS2, ElementVector, InteriorFacetBasis, LinearForm, MeshQuad, MeshQuad2
from skfem.helpers import ddot, grad

from buckle.material import Material
from buckle.meridian import Meridian
from buckle.mesh import Grading, mesh_meridian

GRADING = Grading(per_decay=0.25, per_turn=0.25)
LAYERS = 2
FIRST, LONGEST, TOLERANCE, CLOSE_ENOUGH = 0.3, 2.0, 1e-5, 1e-6
NEWTON = 9


@dataclass(frozen=True, eq=False)
class GeneralSolid:
    material: Material
    basis: Basis
    loaded: InteriorFacetBasis
    free: np.ndarray
    half_thickness: float


@dataclass(frozen=True, eq=False)
class Point:
    y: np.ndarray  # displacements and pressure
    onward: np.ndarray
    weights: np.ndarray

    @property
    def rising(self) -> float:
        return float(self.onward[-1])


def build(meridian: Meridian, material: Material, grading: Grading = GRADING) -> GeneralSolid:
    """A body that starts on the axis and is clamped at its outer edge."""
    line = mesh_meridian(meridian, grading)
    flat = MeshQuad2.from_mesh(MeshQuad.init_tensor(line.vertices, np.linspace(-1.0, 1.0, LAYERS + 1)))
    middle = flat.facets_satisfying(lambda x: np.abs(x[1]) < 1e-9, normal=np.array([0.0, 1.0]))
    at = meridian.at_s(flat.doflocs[0])
    zeta = 0.5 * at.thickness * flat.doflocs[1]
    positions = np.array([at.r - zeta * np.sin(at.heading), at.z + zeta * np.cos(at.heading)])
    curved, element = replace(flat, doflocs=positions), ElementVector(ElementQuadS2())
    s, _ = Basis(flat, element, intorder=1).doflocs
    radial = np.arange(len(s)) % 2 == 0
    held = (s > (1.0 - 1e-9) * meridian.length) | (radial & (s < 1e-9 * meridian.length))
    return GeneralSolid(
        material=material,
        basis=Basis(curved, element, intorder=3),
        loaded=InteriorFacetBasis(curved, element, facets=middle, intorder=5),
        free=np.flatnonzero(~held),
        half_thickness=0.5 * float(np.max(at.thickness)),
    )


def limit_pressure(solid: GeneralSolid) -> float:
    """First pressure at which pressure stops rising [MPa]."""
    point, step = start(solid), FIRST
    while True:
        new, effort = advance(solid, point, step)
        while new is None:
            step *= 0.5
            new, effort = advance(solid, point, step)
        if new.rising <= 0.0:
            return highest(solid, point, new, step)
        point, step = new, min(step * (5.0 / effort) ** 0.5, LONGEST)


def start(solid: GeneralSolid) -> Point:
    size = solid.basis.N
    y = np.zeros(size + 1)
    _, rise = solved(solid, y)
    weights = np.full(size + 1, 2.0 / (size * solid.half_thickness**2))
    weights[-1] = np.dot(weights[:-1] * rise, rise)
    return Point(y, unit(weights, rise), weights)


def advance(solid: GeneralSolid, point: Point, step: float) -> tuple[Point | None, int]:
    """Step along the tangent and correct at right angles to it; None when Newton does not converge."""
    y, normal = point.y + step * point.onward, point.weights * point.onward
    for iteration in range(1, NEWTON + 1):
        fall, rise = solved(solid, y)
        change = -np.dot(normal[:-1], fall) / (np.dot(normal[:-1], rise) + normal[-1])
        correction = np.append(fall + change * rise, change)
        y = y + correction
        size = np.sqrt(np.dot(point.weights * correction, correction))
        if not size < 10.0 * step:
            break
        if size <= TOLERANCE * step:
            onward = unit(point.weights, rise)
            return Point(y, np.copysign(1.0, np.dot(normal, onward)) * onward, point.weights), iteration
    return None, NEWTON


def highest(solid: GeneralSolid, before: Point, after: Point, step: float) -> float:
    """Highest pressure within a step: the secant on its rate, at most min(rates) * width below the top."""
    low, high = (0.0, before), (step, after)
    while True:
        width = high[0] - low[0]
        best = max(low[1].y[-1], high[1].y[-1])
        if min(low[1].rising, -high[1].rising) * width <= CLOSE_ENOUGH * best:
            return float(best)
        share = low[1].rising / (low[1].rising - high[1].rising)
        at = low[0] + width * min(max(share, 0.05), 0.95)
        point, _ = advance(solid, before, at)
        low, high = ((at, point), high) if point.rising > 0.0 else (low, (at, point))


def solved(solid: GeneralSolid, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Displacements by the out-of-balance forces and by a unit of pressure."""
    internal, enclosed, tangent = assembled(solid, y[:-1], y[-1])
    free = solid.free
    both = np.zeros((len(internal), 2))
    right = np.stack([y[-1] * enclosed - internal, enclosed], axis=1)[free]
    both[free] = splu(tangent[free][:, free], permc_spec="MMD_AT_PLUS_A").solve(right)
    return both[:, 0], both[:, 1]


def unit(weights: np.ndarray, rise: np.ndarray) -> np.ndarray:
    direction = np.append(rise, 1.0)
    return direction / np.sqrt(np.dot(weights * direction, direction))


def assembled(solid: GeneralSolid, x: np.ndarray, pressure: float) -> tuple[np.ndarray, np.ndarray, csc_matrix]:
    """Forces of the stresses, forces of unit pressure, and the derivative of what is out of balance."""
    u, v = solid.basis.interpolate(x), solid.loaded.interpolate(x)
    state = stretched(solid.material, u.grad, u[0] / solid.basis.global_coordinates()[0])
    line = {
        "rho": solid.loaded.global_coordinates()[0] + v[0],
        "dz": along(solid.loaded.normals, v)[1] - solid.loaded.normals[0],
    }
    material = BilinearForm(stiffness).assemble(solid.basis, **state)
    load = BilinearForm(swept_volume_rate).assemble(solid.loaded, **line)
    internal = LinearForm(internal_work).assemble(solid.basis, P=state["P"], p=state["p"])
    return internal, LinearForm(swept_volume).assemble(solid.loaded, **line), csc_matrix(material - pressure * load)


def stretched(material: Material, gradient: np.ndarray, around: np.ndarray) -> dict[str, object]:
    """Rotation R, its derivative S by the angle, trace q of U, nominal stress P and p, strain e, moduli."""
    mu, nu = material.shear_modulus, material.poissons_ratio
    lam = 2.0 * mu * nu / (1.0 - 2.0 * nu)
    F = gradient + np.eye(2)[:, :, None, None]
    q = np.hypot(F[0, 0] + F[1, 1], F[1, 0] - F[0, 1])
    c, s = (F[0, 0] + F[1, 1]) / q, (F[1, 0] - F[0, 1]) / q
    R, S = np.array([[c, -s], [s, c]]), np.array([[-s, -c], [c, -s]])
    e = q - 2.0 + around
    P = (lam * e - 2.0 * mu) * R + 2.0 * mu * F
    return {"R": R, "S": S, "q": q, "P": P, "p": lam * e + 2.0 * mu * around, "e": e, "lam": lam, "mu": mu}


def internal_work(v, w):
    return ddot(w["P"], grad(v)) * w.x[0] + w["p"] * v[0]


def stiffness(u, v, w):
    r = w.x[0]
    du, dv = ddot(w["R"], grad(u)) + u[0] / r, ddot(w["R"], grad(v)) + v[0] / r
    spin = ddot(w["S"], grad(u)) * ddot(w["S"], grad(v)) / w["q"]
    strain = ddot(grad(u), grad(v)) + u[0] * v[0] / r**2
    return (w["lam"] * du * dv + (w["lam"] * w["e"] - 2.0 * w["mu"]) * spin + 2.0 * w["mu"] * strain) * r


def swept_volume(v, w):
    return w["rho"] * (w["dz"] * v[0] + 0.5 * w["rho"] * along(w.n, v)[1])


def swept_volume_rate(u, v, w):
    return w["dz"] * u[0] * v[0] + w["rho"] * (u[0] * along(w.n, v)[1] + along(w.n, u)[1] * v[0])


def along(n, u):
    """Derivative of a field along the loaded line, whose direction is (n_z, -n_r) for its left normal n."""
    return u.grad[:, 0] * n[1] - u.grad[:, 1] * n[0]
