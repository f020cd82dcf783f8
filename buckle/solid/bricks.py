"""Bricks of twenty nodes over the elements of a solid of revolution, from theta = 0 to half a wave, and their tables.

Every element of the meridian is carried around in a few bricks; their nodes stand over those of the elements, in planes
through the axis, and keep u_r, u_z, u_theta of their own plane as unknowns. Two Gauss points each way, as in the
elements below and for the same reasons: three each way lock in thin bent bricks and where metal flows at constant
volume, and the motions that two miss do not fit from one brick to the next.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from skfem import ElementHexS2, ElementQuadS2

from buckle.solid.elements import FACE_POINTS, Elements, Face
from buckle.solid.numbering import WAVE, R, T, Z

Array = NDArray[np.float64]
Index = NDArray[np.int64]
POINTS = 2
"""Gauss points each way."""
CORNERS = 4
"""Nodes of an element of the meridian that stand in every plane; those at middles of sides in every other one."""
BRICK = ElementHexS2()
CARTESIAN = 3


@dataclass(frozen=True, eq=False)
class Bricks:
    """Bricks and their tables; per brick twenty nodes and eight points."""

    s: Array  # (nodes,) arc length [mm]
    theta: Array  # (nodes,) [rad]
    below: Index  # (nodes,) node of the solid of revolution that each stands over
    position: Array  # (nodes, 3) x, y, z of the unstrained shape [mm]
    nodes: Index  # (elements, 20)
    around: int  # bricks around half a wave

    @cached_property
    def base(self) -> Array:
        """Directions of u_r, u_z, u_theta of each node, (nodes, 3, 3): [field, component] [-]."""
        base = np.zeros((len(self.s), len(WAVE), CARTESIAN))
        base[:, R] = np.stack([np.cos(self.theta), np.sin(self.theta), np.zeros_like(self.theta)], axis=1)
        base[:, Z, 2] = 1.0
        base[:, T] = np.stack([-np.sin(self.theta), np.cos(self.theta), np.zeros_like(self.theta)], axis=1)
        return base

    @cached_property
    def _mapped(self) -> tuple[Array, Array]:
        """Derivatives of the shape functions by x, y, z, (bricks, points, 20, 3) [1/mm], and volumes of the points."""
        at, weight = gauss(POINTS)
        inside = np.stack(np.meshgrid(at, at, at, indexing="ij")).reshape(CARTESIAN, -1)
        _, slopes = shapes(inside)
        jacobian = np.einsum("eni,knp->epik", self.position[self.nodes], slopes)
        slope = np.einsum("knp,epkJ->epnJ", slopes, np.linalg.inv(jacobian), optimize=True)
        volume = np.abs(np.linalg.det(jacobian)) * np.einsum("i,j,k->ijk", weight, weight, weight).ravel()
        return slope, volume

    @cached_property
    def table(self) -> Array:
        """Change of F (nine rows) at each point with the unknowns of the nodes, (elements, 9 points, 60) [1/mm]."""
        slope, _ = self._mapped
        spread = np.einsum("epnJ,enfi->epiJnf", slope, self.base[self.nodes], optimize=True)
        return np.ascontiguousarray(spread).reshape(len(self.nodes), -1, self.nodes.shape[1] * len(WAVE))

    @cached_property
    def weight(self) -> Array:
        """Volume of the points, (points,) [mm3]."""
        return self._mapped[1].ravel()

    @property
    def point_count(self) -> int:
        """Number of Gauss points."""
        return int(self.weight.size)


def carried_around(elements: Elements, wave_number: int, around: int, deviation: Array) -> Bricks:
    """Carry the elements of a solid of revolution around half a wave in bricks.

    Nodes lie off the perfect shape by a deviation (nodes, 3) of the solid [mm]: amplitudes u_r cos, u_z cos, u_t sin.
    """
    corners = np.unique(elements.nodes[:, :CORNERS])
    _, column = np.unique(elements.s, return_inverse=True)
    planes = [np.arange(len(elements.s)) if plane % 2 == 0 else corners for plane in range(2 * around + 1)]
    below = np.concatenate(planes)
    plane = np.repeat(np.arange(len(planes)), [len(one) for one in planes])
    order = np.lexsort((below, plane, column[below]))
    below, plane = below[order], plane[order]
    theta = plane * np.pi / (2 * around * wave_number)
    number = np.full((len(planes), len(elements.s)), -1)
    number[plane, below] = np.arange(len(below))
    local, step = _stands_over()
    first = 2 * np.arange(around)
    nodes = number[first[:, None] + step, elements.nodes[:, None, local]]
    cos, sin = np.cos(wave_number * theta), np.sin(wave_number * theta)
    r = elements.position[below, R] + deviation[below, R] * cos
    z = elements.position[below, Z] + deviation[below, Z] * cos
    sideways = deviation[below, T] * sin
    x, y = r * np.cos(theta) - sideways * np.sin(theta), r * np.sin(theta) + sideways * np.cos(theta)
    bricks = nodes.reshape(-1, len(local))
    return Bricks(elements.s[below], theta, below, np.stack([x, y, z], axis=1), bricks, around)


def shapes(inside: Array) -> tuple[Array, Array]:
    """Shape functions (20, points) of a brick and their derivatives (3, 20, points), `inside` it (3, points) [-]."""
    found = [BRICK.lbasis(inside, node) for node in range(len(BRICK.doflocs))]
    return np.stack([np.asarray(value) for value, _ in found]), np.stack([slope for _, slope in found], axis=1)


def gauss(points: int) -> tuple[Array, Array]:
    """Gauss's points and weights from 0 to 1, (points,) [-]."""
    at, weight = np.polynomial.legendre.leggauss(points)
    return 0.5 * (at + 1.0), 0.5 * weight


def _stands_over() -> tuple[Index, Index]:
    """Node of the element below that each node of a brick stands over, and how many half bricks around, (20,) each."""
    over = np.array([np.flatnonzero((ElementQuadS2.doflocs == at[:2]).all(axis=1))[0] for at in BRICK.doflocs])
    return over, np.rint(2.0 * BRICK.doflocs[:, 2]).astype(np.int64)


@dataclass(frozen=True, eq=False)
class Surface:
    """The loaded face of a sector at its points: tables (sides, 9 points, 20) of the bricks that sides belong to."""

    owner: Index  # (sides,) bricks
    value: Array  # [-]
    along: Array  # [-] derivative along the meridian
    over: Array  # [-] derivative around
    weight: Array  # (9,) [-]


def surface_of(face: Face, around: int) -> Surface:
    """Carry the loaded line of a solid of revolution around in as many bricks as its elements."""
    at, weight = gauss(FACE_POINTS)
    tables = []
    for value, slope in zip(face.value, face.slope, strict=True):
        # The elements' shape functions give back where a point is in them, and so where those of the line are.
        on_line, heading = value @ ElementQuadS2.doflocs, slope @ ElementQuadS2.doflocs
        inside = np.column_stack([np.repeat(on_line, len(at), axis=0), np.tile(at, len(on_line))])
        shape, slopes = shapes(inside.T)
        headings = np.repeat(heading, len(at), axis=0)
        tables.append((shape.T, np.einsum("knp,pk->pn", slopes[:2], headings), slopes[2].T))
    value, along, over = (np.repeat(np.stack(table), around, axis=0) for table in zip(*tables, strict=True))
    owner = (face.owner[:, None] * around + np.arange(around)).ravel()
    return Surface(owner, value, along, over, np.outer(face.weight, weight).ravel())
