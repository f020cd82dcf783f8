"""Columns of eight-node quadrilaterals through the thickness, numbered column by column, and their tables.

Nodes lie on the exact meridian: (s, xi) is the point xi half thicknesses to the left of the mid-surface at arc length
s. Two by two Gauss points do not lock where the metal flows at constant volume, nor in long thin elements (with three
by three a coarse cap is 1.8 % strong); the one motion they miss does not fit from one element to the next.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from skfem import Basis, ElementQuadS2, MeshQuad, MeshQuad2

from buckle.errors import UnfitError
from buckle.meridian import Meridian
from buckle.solid.numbering import AXISYMMETRIC, NODES, WAVE, GradientRow, R, T, TwistRow, Z

Array = NDArray[np.float64]
Index = NDArray[np.int64]
TWO_BY_TWO = 3  # order of the rule
FACE_POINTS = 3  # enough for the volume that a quadratic side sweeps, which is of degree 5


@dataclass(frozen=True, eq=False)
class Elements:
    """Elements and their tables; per element eight nodes and four points."""

    s: Array  # (nodes,) arc length [mm]
    xi: Array  # (nodes,) [-] -1 right, 1 left of the walk
    position: Array  # (nodes, 2) r, z [mm]
    nodes: Index  # (elements, 8)
    value: Array  # (elements, points, 8) [-] shape functions
    slope: Array  # (2, elements, points, 8) [1/mm] their derivatives by R and Z
    radius: Array  # (elements, points) [mm]
    weight: Array  # (elements points,) [mm3] volume per radian

    @property
    def point_count(self) -> int:
        """Number of Gauss points."""
        return int(self.weight.size)

    @cached_property
    def table(self) -> Array:
        """Change of F (rR rZ zR zZ tT at each point) with (u_r, u_z) of the nodes, (elements, 5 points, 16) [1/mm]."""
        table = self._empty(len(GradientRow), AXISYMMETRIC)
        self._put_slopes(table)
        table[:, :, GradientRow.TT, :, R] = self.value / self.radius[:, :, None]
        return _flat(table)

    @cached_property
    def wave_tables(self) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
        """Change of F with (u_r, u_z, u_theta) in wave n, as constant and n-fold tables, each (elements, rows, 24).

        The displacement is (u_r cos, u_z cos, u_theta sin) of n theta, and exactly

            cos: rR rZ zR zZ of u_r and u_z, tT = (u_r + n u_theta) / R
            sin: rT = -(n u_r + u_theta) / R, zT = -n u_z / R, tR tZ of u_theta

        First the pair of the cos rows (5 points), then that of the sin rows (4 points).
        All [1/mm].
        """
        over = self.value / self.radius[:, :, None]
        cos, cos_n = (self._empty(len(GradientRow), WAVE) for _ in range(2))
        sin, sin_n = (self._empty(len(TwistRow), WAVE) for _ in range(2))
        self._put_slopes(cos)
        cos[:, :, GradientRow.TT, :, R] = cos_n[:, :, GradientRow.TT, :, T] = over
        sin[:, :, TwistRow.RT, :, T] = sin_n[:, :, TwistRow.RT, :, R] = sin_n[:, :, TwistRow.ZT, :, Z] = -over
        sin[:, :, TwistRow.TR, :, T], sin[:, :, TwistRow.TZ, :, T] = self.slope
        tables = [_flat(self.on_axis(table)) for table in (cos, cos_n, sin, sin_n)]
        return (tables[0], tables[1]), (tables[2], tables[3])

    def at_end(self, s: float) -> Index:
        """Nodes (nodes,) of the face at an end of the walk, from right to left."""
        return np.flatnonzero(np.abs(self.s - s) <= 1e-9 * self.s[-1])

    def on_axis(self, table: Array, elements: Index | slice = slice(None)) -> Array:
        """Let the third unknown of nodes on the axis stand for u_theta + u_r, which vanishes there in every wave.

        In a table (elements, points, rows, 8, 3) [-, 1/mm] of some elements, in place.
        """
        element, node = np.nonzero(self.position[self.nodes[elements], 0] == 0.0)
        table[element, :, :, node, R] -= table[element, :, :, node, T]
        return table

    def _empty(self, rows: int, fields: str) -> Array:
        return np.zeros((*self.value.shape[:2], rows, NODES, len(fields)))

    def _put_slopes(self, table: Array) -> None:
        """Enter the change of F in the meridian plane with u_r and u_z."""
        table[:, :, GradientRow.RR, :, R], table[:, :, GradientRow.RZ, :, R] = self.slope
        table[:, :, GradientRow.ZR, :, Z], table[:, :, GradientRow.ZZ, :, Z] = self.slope


@dataclass(frozen=True, eq=False)
class Face:
    """The loaded line as sides of elements: tables of its three points by the nodes of the elements they belong to."""

    owner: Index  # (sides,) elements
    value: Array  # (sides, 3, 8) [-]
    slope: Array  # (sides, 3, 8) [-] derivative along the side, which runs from -1 to 1
    weight: Array  # (3,) [-]
    radius: Array  # (sides, 3) [mm]
    rise: Array  # (sides, 3) [mm] slope of z


def columns(meridian: Meridian, ends: Array, layers: int) -> Elements:
    """Divide a meridian at arc lengths `ends` into columns of `layers` elements.

    Raises UnfitError where the metal reaches across the axis, at a bend around it.
    Ends (vertices,) [mm].
    """
    flat = MeshQuad2.from_mesh(MeshQuad.init_tensor(ends, np.linspace(-1.0, 1.0, layers + 1)))
    basis = Basis(replace(flat, doflocs=_positions(meridian, *flat.doflocs)), ElementQuadS2(), intorder=TWO_BY_TWO)
    s, xi, rank = _ordered(Basis(flat, ElementQuadS2(), intorder=1).doflocs, ends, layers)
    position = _positions(meridian, s, xi)
    apex = np.isclose(s, 0.0) & meridian.closed_at_start | np.isclose(s, meridian.length) & meridian.closed_at_end
    if np.any(position[0, ~apex] <= 0.0):
        raise UnfitError("the solid has no metal across the axis", "a wider bend, a thinner gauge", "shape")
    position[0, apex] = 0.0
    radius = np.asarray(basis.global_coordinates())[0]
    count = range(len(basis.basis))
    return Elements(
        s=s,
        xi=xi,
        position=position.T,
        nodes=rank[basis.element_dofs].T.astype(np.int64),
        value=np.stack([np.broadcast_to(np.asarray(basis.basis[i][0]), radius.shape) for i in count], axis=-1),
        slope=np.stack([basis.basis[i][0].grad for i in count], axis=-1),
        radius=radius,
        weight=(basis.dx * radius).ravel(),
    )


def face_of(elements: Elements, xi: float) -> Face:
    """Sides of elements at xi half thicknesses to the left of the mid-surface."""
    line = np.flatnonzero(np.abs(elements.xi - xi) < 1e-9)
    sides = np.stack([line[:-2:2], line[1:-1:2], line[2::2]], axis=1)
    owner = np.array([np.flatnonzero((elements.nodes == side[1]).any(axis=1))[0] for side in sides])
    local = np.argmax(elements.nodes[owner][:, None, :] == sides[:, :, None], axis=2)
    at, weight = np.polynomial.legendre.leggauss(FACE_POINTS)
    shapes = np.stack([0.5 * at * (at - 1.0), 1.0 - at * at, 0.5 * at * (at + 1.0)], axis=1)
    slopes = np.stack([at - 0.5, -2.0 * at, at + 0.5], axis=1)
    value, slope = np.zeros((2, len(sides), FACE_POINTS, NODES))
    for node in range(3):
        value[np.arange(len(sides)), :, local[:, node]] = shapes[:, node]
        slope[np.arange(len(sides)), :, local[:, node]] = slopes[:, node]
    r, z = elements.position[sides].transpose(2, 0, 1)
    return Face(owner, value, slope, weight, r @ shapes.T, z @ slopes.T)


def _positions(meridian: Meridian, s: Array, xi: Array) -> Array:
    """Position (r, z) of points at arc length s and xi half thicknesses to the left of the mid-surface."""
    at = meridian.at_s(np.clip(s, 0.0, meridian.length))
    zeta = 0.5 * at.thickness * xi
    return np.array([at.r - zeta * np.sin(at.heading), at.z + zeta * np.cos(at.heading)])


def _ordered(lattice_points: Array, ends: Array, layers: int) -> tuple[Array, Array, Index]:
    """(s, xi) of the nodes in order, column by column from right to left, and the new number of each old one."""
    lattice = np.sort(np.concatenate([ends, 0.5 * (ends[1:] + ends[:-1])]))
    column = np.rint(np.interp(lattice_points[0], lattice, np.arange(len(lattice)))).astype(np.int64)
    row = np.rint(layers * (lattice_points[1] + 1.0)).astype(np.int64)
    order = np.lexsort((row, column))
    rank = np.empty(len(order), dtype=np.int64)
    rank[order] = np.arange(len(order))
    return lattice[column[order]], row[order] / layers - 1.0, rank


def _flat(table: Array) -> Array:
    count, points, rows, nodes, fields = table.shape
    return table.reshape(count, points * rows, nodes * fields)
