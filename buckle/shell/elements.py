"""Polynomial elements along the meridian: tables of shape functions at their points, used at every step.

All fields take scikit-fem's hierarchic quartics. Where plastic hinges are kept from becoming too short (see `hinge`)
the turning of the director takes quartics with continuous slopes (two values, two slopes, a bump): curvature is then
continuous wherever the body lets it be, and has a derivative. Elastic elements are better without: with as many Gauss
points as the degree, plain quartics are superconvergent.
"""

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.polynomial import Polynomial
from numpy.typing import NDArray
from skfem import Basis, ElementLinePp, MeshLine
from skfem.quadrature import get_quadrature

from buckle.bands.layout import BandLayout
from buckle.meridian import Meridian, Station
from buckle.mesh import MeridianMesh
from buckle.shell.numbering import (
    AXISYMMETRIC,
    END,
    FUNCTIONS,
    OF_FIELDS,
    OF_WAVES,
    START,
    WAVE,
    Numbering,
    fields,
    number,
)

Array = NDArray[np.float64]
Index = NDArray[np.int64]
DEGREE = FUNCTIONS - 1  # quartic; with as many Gauss points as the degree the elements do not lock
SMOOTH = (
    Polynomial([1.0, 0.0, -3.0, 2.0]),  # value at the start, slope at the start, bump, slope and value at the end
    Polynomial([0.0, 1.0, -2.0, 1.0]),
    Polynomial([0.0, 0.0, 16.0, -32.0, 16.0]),
    Polynomial([0.0, 0.0, -1.0, 1.0]),
    Polynomial([0.0, 0.0, 3.0, -2.0]),
)


@dataclass(frozen=True, eq=False)
class Elements:
    """Tables for all elements; points are (elements * quadrature points) in walking order.

    Shape functions (elements, points per element, FUNCTIONS) and their derivatives by s.
    """

    mesh: MeridianMesh
    smooth: bool  # whether the turning is
    value: Array  # (elements, points, 5) [-] of all fields but the turning
    slope: Array  # (elements, points, 5) [1/mm]
    turn: Array  # (elements, points, 5) [-, mm] of the turning
    turn_slope: Array  # (elements, points, 5) [1/mm, -]
    turn_bend: Array  # (elements, points, 5) [1/mm2, 1/mm]
    station: Station  # reference geometry at the points
    length: Array  # (points,) [mm] of meridian that each point stands for
    s: Array  # (points,) [mm] arc length

    @property
    def point_count(self) -> int:
        """Number of quadrature points."""
        return len(self.length)

    @cached_property
    def axisymmetric(self) -> Numbering:
        """Numbers of (u, w, a)."""
        return number(self.mesh, fields(AXISYMMETRIC, smooth=self.smooth))

    @cached_property
    def wave(self) -> Numbering:
        """Numbers of (u, w, a, v, t), as they stand for any wave number."""
        return number(self.mesh, fields(WAVE, smooth=self.smooth))

    @cached_property
    def as_wave(self) -> Index:
        """Number in a wave of each axisymmetric unknown, (size,)."""
        shared = self.wave.dofs.reshape(self.mesh.count, FUNCTIONS, -1)[:, :, : len(AXISYMMETRIC)]
        out = np.empty(self.axisymmetric.size, dtype=np.int64)
        out[self.axisymmetric.dofs] = shared.reshape(self.mesh.count, -1)
        return out

    @cached_property
    def layout(self) -> BandLayout:
        """Band of the axisymmetric tangent."""
        return BandLayout(self.axisymmetric.dofs, self.axisymmetric.size, general=True)

    @cached_property
    def wave_layout(self) -> BandLayout:
        """Band of the wave-number operators."""
        return BandLayout(self.wave.dofs, self.wave.size, general=False)

    @cached_property
    def axisymmetric_table(self) -> Array:
        """Fields (u, u', w', beta, beta') at the points from the unknowns, (elements, 5 points, unknowns) [-, 1/mm]."""
        return _flat(self._table(OF_FIELDS, AXISYMMETRIC))

    @cached_property
    def wave_table(self) -> Array:
        """Wave fields at the points from the unknowns, (elements, 10 points, unknowns).

        At an apex the unknowns v and omega stand for v + u and omega - alpha cos(heading), which vanish there for
        n = 1 because displacement and tilt are those of one rigid disc.
        [-, 1/mm].
        """
        table, (u, _, a, v, t) = self._table(OF_WAVES, WAVE), range(len(WAVE))
        for end in self.apexes:
            turn, function = np.cos(self.end_heading(end)), START if end == 0 else END
            for field, partner, share in ((v, u, -1.0), (t, a, turn)):
                table[end, :, :, function, partner] += share * table[end, :, :, function, field]
        return _flat(table)

    def _table(self, rows: tuple[tuple[str, int], ...], names: tuple[str, ...]) -> Array:
        """Table (elements, points, rows, FUNCTIONS, names) of fields at points from the unknowns of the names."""
        table = np.zeros((self.mesh.count, self.value.shape[1], len(rows), FUNCTIONS, len(names)))
        plain, turning = (self.value, self.slope), (self.turn, self.turn_slope)
        for row, (name, order) in enumerate(rows):
            table[:, :, row, :, names.index(name)] = (turning if name == "a" else plain)[order]
        return table

    @property
    def apexes(self) -> tuple[int, ...]:
        """Ends of the walk that lie on the axis: 0 for the start, -1 for the end."""
        meridian = self.mesh.meridian
        return (0,) * meridian.closed_at_start + (-1,) * meridian.closed_at_end

    def end_heading(self, end: int) -> float:
        """Heading [rad] at the start (0) or the end (-1) of the walk."""
        return float(self.mesh.meridian.at_s(self.mesh.vertices[end]).heading)

    @cached_property
    def vertex_radius(self) -> Array:
        """Radius at element ends, (elements + 1,) [mm]."""
        return self.mesh.meridian.at_s(self.mesh.vertices).r


def meridian_elements(mesh: MeridianMesh, *, smooth: bool = False) -> Elements:
    """Tabulate the elements of a mesh, with DEGREE Gauss points each."""
    return _tabulate(mesh, smooth, get_quadrature(ElementLinePp(DEGREE).refdom, 2 * DEGREE - 1))


def moved_elements(elements: Elements, meridian: Meridian, vertices: Array) -> Elements:
    """Return the same elements and numbers on a meridian that differs a little; vertices (elements + 1,) [mm]."""
    old, mesh = elements.mesh.vertices, elements.mesh
    stretch = np.diff(vertices) / np.diff(old)
    per = (1.0 / stretch)[:, None, None]
    slopes = np.stack([1.0 + 0.0 * stretch, stretch] * 2 + [1.0 + 0.0 * stretch], axis=1)[:, None, :]
    turns = slopes if elements.smooth else 1.0
    inside = elements.s.reshape(mesh.count, -1) - old[:-1, None]
    s = (vertices[:-1, None] + stretch[:, None] * inside).ravel()
    out = replace(
        elements,
        mesh=replace(mesh, meridian=meridian, line=MeshLine(vertices), vertices=vertices),
        slope=per * elements.slope,
        turn=turns * elements.turn,
        turn_slope=turns * per * elements.turn_slope,
        turn_bend=turns * per * per * elements.turn_bend,
        station=meridian.at_s(s),
        length=elements.length * np.repeat(stretch, inside.shape[1]),
        s=s,
    )
    for name in ("axisymmetric", "wave", "as_wave", "layout", "wave_layout"):  # which know nothing of lengths
        vars(out)[name] = getattr(elements, name)
    return out


def sampled_elements(elements: Elements, per_element: int) -> Elements:
    """Tabulate the same unknowns at evenly spaced points, the ends of each element almost included."""
    points = np.linspace(1e-4, 1.0 - 1e-4, per_element)
    return _tabulate(elements.mesh, elements.smooth, (points[None, :], np.full(per_element, 1.0 / per_element)))


def _tabulate(mesh: MeridianMesh, smooth: bool, rule: tuple[Array, Array]) -> Elements:
    basis = Basis(mesh.line, ElementLinePp(DEGREE), quadrature=rule)
    order = [0, *range(2, DEGREE + 1), 1]
    value = np.stack([np.broadcast_to(np.asarray(basis.basis[i][0]), basis.dx.shape) for i in order], axis=2)
    slope = np.stack([basis.basis[i][0].grad[0] for i in order], axis=2)
    turn, turn_slope, turn_bend = value, slope, np.zeros_like(value)
    if smooth:
        turn, turn_slope, turn_bend = (_smooth(np.diff(mesh.vertices), rule[0][0], order) for order in range(3))
    s = np.asarray(basis.global_coordinates())[0].ravel()
    station = mesh.meridian.at_s(s)
    return Elements(mesh, smooth, value, slope, turn, turn_slope, turn_bend, station, basis.dx.ravel(), s)


def _smooth(lengths: Array, points: Array, derivative: int) -> Array:
    """Smooth shape functions at points of [0, 1], or a derivative of them by s, (elements, points, FUNCTIONS)."""
    unit = np.stack([one.deriv(derivative)(points) if derivative else one(points) for one in SMOOTH], axis=1)
    ones = np.ones_like(lengths)
    scale = np.stack([ones, lengths, ones, lengths, ones], axis=1) / lengths[:, None] ** derivative
    out: Array = unit * scale[:, None, :]
    return out


def _flat(table: Array) -> Array:
    """Table (elements, points, rows, functions, names) as matrices (elements, points rows, unknowns)."""
    count, points, rows, functions, names = table.shape
    return np.ascontiguousarray(table.reshape(count, points * rows, functions * names))
