"""A meridian as a mesh of quadratic quadrilaterals, held at its edges and pressed on its mid-surface."""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csc_matrix
from skfem import (
    Basis,
    BilinearForm,
    ElementQuadS2,
    ElementVector,
    InteriorFacetBasis,
    LinearForm,
    MeshQuad,
    MeshQuad2,
)

from buckle.errors import SolveError
from buckle.material import Material
from buckle.meridian import Meridian
from buckle.mesh import Grading, mesh_meridian
from buckle.solid.forms import along, internal_work, lame, stiffness, stretched, swept_volume, swept_volume_rate

Array = NDArray[np.float64]
Index = NDArray[np.int64]

GRADING = Grading(per_decay=0.25, per_turn=0.25)
"""Two quadratic elements through the thickness, as long as a quarter of sqrt(R t): limits to 0.1 %."""
LAYERS = 2  # even, so that the mid-surface is a line of element sides
TWO_BY_TWO = 3  # order of the rule: with three by three points long thin elements lock, a coarse cap is 1.8 % strong
FIELDS = "rz"
FACE, MIDDLE = 1.0, 1e-9  # how far from the mid-surface a support reaches, in half thicknesses
SUPPORTS = {"clamped": (FACE, "rz"), "roller": (MIDDLE, "z"), "free": (MIDDLE, "")}
"""No hinge: held both ways at one row of nodes, the metal around it gives way and caps are 2 to 4 t/R weaker."""
ON_AXIS = (FACE, "r")


@dataclass(frozen=True, eq=False)
class Solid:
    """A discretised axisymmetric solid: unknowns are u_r, u_z of its nodes [mm]."""

    material: Material
    basis: Basis
    loaded: InteriorFacetBasis  # the mid-surface, with normals to the left of the walk
    side: int  # 1: pressure pushes to the right of the walk, -1: to the left
    fixed: Index  # held unknowns
    half_thickness: float  # of the thickest place [mm]

    @property
    def size(self) -> int:
        """Number of unknowns."""
        return int(self.basis.N)

    @cached_property
    def free(self) -> Index:
        """Unknowns that are not held."""
        return np.setdiff1d(np.arange(self.size), self.fixed)


@dataclass(frozen=True, eq=False)
class Assembled:
    """Nodal forces per radian and their derivative at a displacement and a pressure."""

    internal: Array
    enclosed: Array  # forces of unit pressure
    tangent: csc_matrix


def assemble(solid: Solid, x: Array, pressure: float) -> Assembled:
    """Assemble forces and stiffness at displacements x (size,) and a pressure [MPa]."""
    u = solid.basis.interpolate(x)
    at = stretched(solid.material, u.grad, u[0] / solid.basis.global_coordinates()[0])
    lam, mu = lame(solid.material)
    line = _loaded_line(solid, x)
    material = BilinearForm(stiffness).assemble(solid.basis, R=at.R, S=at.S, q=at.q, e=at.e, lam=lam, mu=mu)
    load = BilinearForm(swept_volume_rate).assemble(solid.loaded, **line)
    return Assembled(
        internal=LinearForm(internal_work).assemble(solid.basis, P=at.P, p=at.p),
        enclosed=solid.side * LinearForm(swept_volume).assemble(solid.loaded, **line),
        tangent=csc_matrix(material - pressure * solid.side * load),
    )


def _loaded_line(solid: Solid, x: Array) -> dict[str, Array]:
    """Radius and axial direction cosine of the deformed mid-surface, (elements, points) each."""
    line, u = solid.loaded, solid.loaded.interpolate(x)
    return {"rho": line.global_coordinates()[0] + u[0], "dz": along(line.normals, u)[1] - line.normals[0]}


def build_solid(
    meridian: Meridian,
    material: Material,
    edges: tuple[str | None, str | None],
    *,
    side: int = 1,
    grading: Grading = GRADING,
) -> Solid:
    """Discretise a meridian; edges are the supports of (start, outer) edge, None on the axis.

    Raises SolveError for a meridian with a kink or a support that only a shell can have.
    """
    for name in edges:
        if name is not None and name not in SUPPORTS:
            raise SolveError(f"the solid model has no support '{name}'", " or ".join(SUPPORTS))
    line = mesh_meridian(meridian, grading)
    if line.kinked.any():
        raise SolveError("the solid model has no sharp corners", "a small arc in place of the kink")
    flat = MeshQuad2.from_mesh(MeshQuad.init_tensor(line.vertices, np.linspace(-1.0, 1.0, LAYERS + 1)))
    middle = flat.facets_satisfying(lambda x: np.abs(x[1]) < 1e-9, normal=np.array([0.0, 1.0]))
    curved = replace(flat, doflocs=_placed(meridian, *flat.doflocs))
    element = ElementVector(ElementQuadS2())
    thickness = meridian.at_s(line.vertices).thickness
    return Solid(
        material=material,
        basis=Basis(curved, element, intorder=TWO_BY_TWO),
        loaded=InteriorFacetBasis(curved, element, facets=middle, intorder=5),
        side=side,
        fixed=_fixed(meridian, edges, Basis(flat, element, intorder=1).doflocs),
        half_thickness=0.5 * float(np.max(thickness)),
    )


def _placed(meridian: Meridian, s: Array, xi: Array) -> Array:
    """Position (r, z) of points at arc length s and xi half thicknesses to the left of the mid-surface."""
    at = meridian.at_s(s)
    zeta = 0.5 * at.thickness * xi
    return np.array([at.r - zeta * np.sin(at.heading), at.z + zeta * np.cos(at.heading)])


def _fixed(meridian: Meridian, edges: tuple[str | None, str | None], places: Array) -> Index:
    """Held unknowns; places are (s, xi) of every unknown, whose even numbers are u_r and odd ones u_z."""
    held = np.zeros(places.shape[1], dtype=bool)
    for end, closed, support in (
        (0.0, meridian.closed_at_start, edges[0]),
        (meridian.length, meridian.closed_at_end, edges[1]),
    ):
        reach, fields = ON_AXIS if closed else SUPPORTS[support or "free"]
        near = (np.abs(places[0] - end) < 1e-9 * meridian.length) & (np.abs(places[1]) <= reach)
        for field in fields:
            held[FIELDS.index(field) :: 2] |= near[FIELDS.index(field) :: 2]
    return np.flatnonzero(held)
