"""A waved shell as it is solved: a model, the harmonics of its shape, and a deviation free of stress."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.bands.layout import Held
from buckle.errors import SolveError
from buckle.shell.elements import Elements
from buckle.shell.model import Model
from buckle.shell.numbering import FUNCTIONS
from buckle.waves.flow import Layering
from buckle.waves.kinematics import metrics_of
from buckle.waves.numbering import BY_THETA, OF_POINTS, SINES, Harmonics, WavedRow
from buckle.waves.strain import Reference

Array = NDArray[np.float64]
Index = NDArray[np.int64]
PLAIN, TURNING = (0, 1), (2, 3)
"""Kinds of shape functions: value and slope of a plain field, value and slope of the turning."""
FEWEST = 2
"""Waves around that are followed: in one, an apex tilts."""
AROUND = 8
"""Points around half a wave: two for each of four half waves of the third harmonic, and plastic flow has a history at
each."""


@dataclass(frozen=True, eq=False)
class Waved:
    """A model whose shape repeats `wave_number` times around, with the deviation that it has before any load."""

    model: Model
    harmonics: Harmonics
    angles: int  # points around half a wave
    deviation: Array  # (size,) [mm, rad] unknowns of the unstrained shape

    @property
    def size(self) -> int:
        """Number of unknowns."""
        return self.harmonics.size

    @cached_property
    def rows(self) -> Index:
        """Amplitude of each harmonic in each field at a point, -1 for none, (14, functions)."""
        order = {row: number for number, row in enumerate(self.harmonics.rows)}
        found = [[order.get((k, *field), -1) for k in self.harmonics.orders] for field in OF_POINTS]
        return np.array(found)

    @cached_property
    def factors(self) -> Array:
        """What amplitudes are multiplied by in the fields, (points, 14, functions) [-], points being those around."""
        theta = (np.arange(self.angles) + 0.5) * np.pi / self.angles
        out = np.zeros((self.angles, len(OF_POINTS), len(self.harmonics.orders)))
        for field, (name, _) in enumerate(OF_POINTS):
            for at, k in enumerate(self.harmonics.orders):
                around = k * self.harmonics.wave_number
                cos, sin = np.cos(k * theta), np.sin(k * theta)
                if field in BY_THETA:
                    out[:, field, at] = around * cos if name in SINES else -around * sin
                else:
                    out[:, field, at] = sin if name in SINES else cos
        out[:, self.rows < 0] = 0.0
        return out

    @cached_property
    def spread(self) -> Array:
        """Fields at the points around from amplitudes, (points, 14, rows) [-]."""
        out = np.zeros((self.angles, len(OF_POINTS), len(self.harmonics.rows)))
        for field, k in zip(*np.nonzero(self.rows >= 0), strict=True):
            out[:, field, self.rows[field, k]] = self.factors[:, field, k]
        return out

    @cached_property
    def shapes(self) -> Array:
        """Shape functions at the points of the meridian, (points, 4, functions) [-, 1/mm]."""
        elements = self.model.shell.elements
        tables = (elements.value, elements.slope, elements.turn, elements.turn_slope)
        return np.ascontiguousarray(np.stack([one.reshape(-1, FUNCTIONS) for one in tables], axis=1))

    @cached_property
    def made_of(self) -> tuple[Index, Index]:
        """Column of unknowns and kind of shape function behind each amplitude, (rows,) each."""
        column = {own: number for number, own in enumerate(self.harmonics.columns)}
        columns = [column[k, name] for k, name, _ in self.harmonics.rows]
        kinds = [(TURNING if name == "a" else PLAIN)[order] for _, name, order in self.harmonics.rows]
        return np.array(columns), np.array(kinds)

    @cached_property
    def fixed(self) -> Index:
        """Numbers of the unknowns that supports and the axis hold, (unknowns,)."""
        supports, harmonics = self.model.supports, self.harmonics
        held = [harmonics.own(0)[supports.fixed]]
        for k in harmonics.multiples:
            held.append(harmonics.own(k)[supports.wave_fixed(k * harmonics.wave_number)])
        return np.sort(np.concatenate(held))

    @cached_property
    def held(self) -> Held:
        """Index table of the held unknowns."""
        return self.harmonics.layout.held(self.fixed)

    @cached_property
    def hinges(self) -> Array | None:
        """Element matrices that keep plastic hinges from becoming too short, (elements, unknowns, unknowns) [N mm]."""
        hinge, count = self.model.shell.hinge, self.model.shell.elements.mesh.count
        if hinge is None:
            return None
        columns = len(self.harmonics.columns)
        out = np.zeros((count, FUNCTIONS, columns, FUNCTIONS, columns))
        for k in self.harmonics.orders:
            among = [number for number, (own, _) in enumerate(self.harmonics.columns) if own == k]
            matrices = 0.5 * hinge.wave if k else hinge.axisymmetric  # the square of a cosine is a half in the mean
            own = matrices.reshape(count, FUNCTIONS, len(among), FUNCTIONS, len(among))
            out[:, :, among[0] : among[-1] + 1, :, among[0] : among[-1] + 1] = own
        return out.reshape(count, FUNCTIONS * columns, FUNCTIONS * columns)

    @cached_property
    def shear(self) -> Array:
        """Stiffness of both transverse shears, by each of the angles, (points, 2) [N mm, N/mm]."""
        wall = self.model.shell.wall
        return np.stack([wall.shear_along, wall.shear_around], axis=1) / self.angles

    @cached_property
    def unstrained(self) -> Array:
        """Metrics of the unstrained shape, (points, angles, 11) [-, mm, mm2], `angles` points around."""
        return metrics_of(self.model.shell.line, self.fields(self.deviation))

    @cached_property
    def reference(self) -> Reference:
        """Unstrained metric and volume of the layers."""
        wall, metrics = self.model.shell.wall, self.unstrained[:, :, :, None]
        c11, c22, c12 = (
            metrics[:, :, at] + wall.xi * (2.0 * metrics[:, :, at + 1] + wall.xi * metrics[:, :, at + 2])
            for at in (WavedRow.A11, WavedRow.A22, WavedRow.A12)
        )
        across = np.sqrt(c22 - c12 * c12 / c11)
        grown = np.sqrt(c11) * across / np.sqrt(wall.along * wall.around)[:, None, :]
        weight = wall.weight[:, None, :] * grown / self.angles
        return Reference(1.0 / np.sqrt(c11), 1.0 / across, c12 / c11, weight)

    @cached_property
    def virgin(self) -> Layering:
        """History before any load."""
        wall = self.model.shell.wall
        shape = (len(wall.weight), self.angles, len(wall.xi))
        triple, nil = np.zeros((3, *shape)), np.zeros(shape)
        return Layering(triple, nil, triple, np.ascontiguousarray(np.broadcast_to(wall.xi, shape)), nil)

    def amplitudes(self, x: Array) -> Array:
        """Amplitudes at the points of the meridian, (points, rows) [mm, -, rad, rad/mm], of x (size,) [mm, rad]."""
        return amplitudes_at(self.model.shell.elements, self.harmonics, x)

    def fields(self, x: Array) -> Array:
        """Fields at all points, (points, angles, 14) [mm, -, rad, rad/mm], the second those around; x (size,)."""
        amplitudes = self.amplitudes(x)
        return (amplitudes @ self.spread.reshape(-1, amplitudes.shape[1]).T).reshape(len(amplitudes), self.angles, -1)

    def nodal(self, force: Array) -> Array:
        """Nodal forces (size,) [N] of forces by the fields, (points, angles, 14), summed over those around."""
        by_amplitude = force.reshape(len(force), -1) @ self.spread.reshape(-1, self.spread.shape[2])
        columns, kinds = self.made_of
        spread = by_amplitude[:, :, None] * self.shapes[:, kinds, :]
        per_element = np.zeros((self.model.shell.elements.mesh.count, len(self.harmonics.columns), FUNCTIONS))
        summed = spread.reshape(len(per_element), -1, len(columns), FUNCTIONS).sum(axis=1)
        for row, column in enumerate(columns):
            per_element[:, column] += summed[:, row]
        return self.harmonics.layout.assemble_vector(per_element.transpose(0, 2, 1).reshape(len(per_element), -1))


def amplitudes_at(elements: Elements, harmonics: Harmonics, x: Array) -> Array:
    """Amplitudes at the points of elements, (points, rows) [mm, -, rad, rad/mm], of x (size,) [mm, rad]."""
    parts = []
    for k in harmonics.orders:
        table, dofs = elements.wave_table if k else elements.axisymmetric_table, harmonics.dofs(k)
        parts.append(np.matmul(table, x[dofs][:, :, None]).reshape(elements.point_count, -1))
    return np.concatenate(parts, axis=1)


def waved(
    model: Model, wave_number: int, deviation: Array | None = None, count: int = 2, angles: int = AROUND
) -> Waved:
    """Return a waved shell with harmonics up to `count` times the wave number, from a deviation in the first of them.

    The deviation (size,) [mm, rad] is in unknowns of a wave of the shell; none is the perfect shape.
    Raises SolveError where the body cannot be followed so.
    """
    deviations = {} if deviation is None else {1: deviation}
    return waved_together(model, wave_number, tuple(range(1, count + 1)), deviations, angles)


def points_around(highest: int) -> int:
    """Points around half a wave for harmonics up to the `highest` multiple, as close as AROUND is for the third.

    Products of four harmonics, as the energy has, are summed without a mistake from 2 highest + 1 on.
    """
    return -(-AROUND * highest // 3)


def waved_together(
    model: Model, wave_number: int, multiples: tuple[int, ...], deviations: Mapping[int, Array], angles: int
) -> Waved:
    """Return a waved shell with harmonics k n of a wave number n, k in `multiples`, from deviations by their k.

    A deviation (size,) [mm, rad] is in unknowns of a wave of the shell. Raises SolveError where the body cannot be
    followed so.
    """
    if wave_number * multiples[0] < FEWEST:
        raise SolveError(
            f"waves are followed from wave number {FEWEST} on: in n = 1 an apex tilts", "another wave number"
        )
    if not model.shell.wall.measure.finite:
        raise SolveError("waves are followed at large displacements", "GNA or GMNA")
    if model.shell.wall.zones or model.shell.spring is not None:
        raise SolveError("waves are followed in a wall of one metal without a seam", "each part by itself")
    if model.supports.thrust_free_edges and not model.load.end_thrust:
        raise SolveError("waves are not followed where an open end is free to move", "loads.end_thrust = true")
    if model.load.constant:
        raise SolveError(f"waves are not followed where {model.load.constant} stays constant", "one load alone")
    harmonics = Harmonics(model.shell.elements, wave_number, multiples)
    shape = np.zeros(harmonics.size)
    for k, deviation in deviations.items():
        shape[harmonics.own(k)] = deviation
    return Waved(model, harmonics, angles, shape)
