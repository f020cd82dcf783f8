"""Polynomial elements along the meridian: scikit-fem's basis and quadrature turned into tables used at every step."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from skfem import Basis, ElementLinePp
from skfem.quadrature import get_quadrature

from buckle.meridian import Station
from buckle.mesh import MeridianMesh

Array = NDArray[np.float64]
Index = NDArray[np.int64]
DEGREE = 4  # quartic; with as many Gauss points as the degree the elements do not lock


@dataclass(frozen=True, eq=False)
class Elements:
    """Tables for all elements; points are (elements * quadrature points) in walking order."""

    mesh: MeridianMesh
    degree: int
    value: Array  # (elements, points per element, degree + 1) shape functions, walking order
    slope: Array  # the same, derivative by s
    station: Station  # reference geometry at the points
    length: Array  # (points,) length of meridian each point stands for
    s: Array  # (points,) arc length

    @property
    def point_count(self) -> int:
        """Number of quadrature points."""
        return len(self.length)

    @property
    def scalar_count(self) -> int:
        """Unknowns of one field."""
        return self.mesh.count * self.degree + 1

    @cached_property
    def scalar_dofs(self) -> Index:
        """Numbers of one field's unknowns, (elements, degree + 1)."""
        return np.arange(self.mesh.count)[:, None] * self.degree + np.arange(self.degree + 1)

    @cached_property
    def axisymmetric_dofs(self) -> Index:
        """Numbers of (u, w, beta) of all nodes of each element, (elements, 3 (degree + 1))."""
        return (3 * self.scalar_dofs[:, :, None] + np.arange(3)).reshape(self.mesh.count, -1)

    @cached_property
    def axisymmetric_table(self) -> Array:
        """Fields (u, u', w', beta, beta') at the points from the unknowns, (elements, 5 points, 3 (degree + 1))."""
        table = self._empty(5, 3)
        table[:, :, 0, :, 0] = self.value
        table[:, :, 1, :, 0] = self.slope
        table[:, :, 2, :, 1] = self.slope
        table[:, :, 3, :, 2] = self.value
        table[:, :, 4, :, 2] = self.slope
        return self._flat(table)

    @cached_property
    def wave_first(self) -> Index:
        """Number of the first unknown (u) of each scalar node; a kinked vertex has two tilts and so one more."""
        extra = np.zeros(self.scalar_count, dtype=np.int64)
        extra[:: self.degree] = self.mesh.kinked
        return 5 * np.arange(self.scalar_count) + np.cumsum(extra) - extra

    @property
    def wave_size(self) -> int:
        """Unknowns of a wave number."""
        return 5 * self.scalar_count + int(np.sum(self.mesh.kinked))

    @cached_property
    def wave_dofs(self) -> Index:
        """Numbers of (u, w, alpha, v, omega) of all nodes of each element, (elements, 5 (degree + 1)).

        The tilt omega is not continuous at a kink: a rigid corner turning about an axis in the meridian plane tilts
        the directors of its two sides differently.
        """
        dofs = self.wave_first[self.scalar_dofs][:, :, None] + np.arange(5)
        dofs[:, 0, 4] += self.mesh.kinked[:-1]
        return dofs.reshape(self.mesh.count, -1)

    @cached_property
    def wave_table(self) -> Array:
        """Wave fields at the points from the unknowns, (elements, 10 points, 5 (degree + 1)).

        At an apex the unknowns v and omega stand for v + u and omega - alpha cos(heading), which vanish there for
        n = 1 because displacement and tilt are those of one rigid disc.
        """
        table = self._empty(10, 5)
        for field in range(5):
            table[:, :, 2 * field, :, field] = self.value
            table[:, :, 2 * field + 1, :, field] = self.slope
        for end in self.apexes:
            turn = np.cos(self.end_heading(end))
            for field, partner, share in ((3, 0, -1.0), (4, 2, turn)):
                table[end, :, :, end, partner] += share * table[end, :, :, end, field]
        return self._flat(table)

    @property
    def apexes(self) -> tuple[int, ...]:
        """Ends of the walk that lie on the axis: 0 for the start, -1 for the end."""
        meridian = self.mesh.meridian
        return (0,) * meridian.closed_at_start + (-1,) * meridian.closed_at_end

    def end_heading(self, end: int) -> float:
        """Heading [rad] at the start (0) or the end (-1) of the walk."""
        piece = self.mesh.piece[end]
        distance = (self.mesh.vertices[-1] - self.mesh.meridian.breaks[piece]) * (end != 0)
        return float(self.mesh.meridian.at(np.array([piece]), np.array([distance])).heading[0])

    @cached_property
    def vertex_radius(self) -> Array:
        """Radius at element ends, (elements + 1,)."""
        return self.mesh.meridian.at_s(self.mesh.vertices).r

    def _empty(self, fields: int, unknowns: int) -> Array:
        return np.zeros((self.mesh.count, self.value.shape[1], fields, self.degree + 1, unknowns))

    def _flat(self, table: Array) -> Array:
        count, points, fields, nodes, unknowns = table.shape
        return np.ascontiguousarray(table.reshape(count, points * fields, nodes * unknowns))


def meridian_elements(mesh: MeridianMesh, degree: int = DEGREE) -> Elements:
    """Tabulate elements of a degree (>= 3) on a mesh, with `degree` Gauss points each."""
    return _tabulate(mesh, degree, get_quadrature(ElementLinePp(degree).refdom, 2 * degree - 1))


def sampled_elements(elements: Elements, per_element: int) -> Elements:
    """Tabulate the same unknowns at evenly spaced points, the ends of each element almost included."""
    points = np.linspace(1e-4, 1.0 - 1e-4, per_element)
    return _tabulate(elements.mesh, elements.degree, (points[None, :], np.full(per_element, 1.0 / per_element)))


def _tabulate(mesh: MeridianMesh, degree: int, rule: tuple[Array, Array]) -> Elements:
    basis = Basis(mesh.line, ElementLinePp(degree), quadrature=rule)
    order = [0, *range(2, degree + 1), 1]
    value = np.stack([np.broadcast_to(np.asarray(basis.basis[i][0]), basis.dx.shape) for i in order], axis=2)
    slope = np.stack([basis.basis[i][0].grad[0] for i in order], axis=2)
    s = np.asarray(basis.global_coordinates())[0]
    piece = np.repeat(mesh.piece, s.shape[1])
    station = mesh.meridian.at(piece, s.ravel() - mesh.meridian.breaks[piece])
    return Elements(mesh, degree, value, slope, station, basis.dx.ravel(), s.ravel())
