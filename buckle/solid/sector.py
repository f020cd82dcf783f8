"""Half a wave of a solid of revolution in bricks, between two planes of symmetry: what waves do beyond their onset.

In n waves the planes theta = 0 and pi/n are planes of symmetry of every state on the path, so that a sector between
them is the whole body. A deviation in the wave, free of stress, seeds it; everything that follows a path is that of the
solid of revolution. Unknowns are u_r, u_z, u_theta of the nodes, by the plane of each; those of nodes on the axis, and
of a sliding ring, have one u_z. The pressure is that of the whole body, forces are those of the sector.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.bands.layout import BandLayout, Held
from buckle.errors import SolveError
from buckle.solid import space
from buckle.solid.bricks import CORNERS, Bricks, Surface, carried_around, surface_of
from buckle.solid.history import History
from buckle.solid.metal import Metal
from buckle.solid.model import Load, Solid
from buckle.solid.numbering import WAVE, Numbering, R, T, Z, number
from buckle.solid.swept import surface_fields, swept_by_surface

Array = NDArray[np.float64]
Index = NDArray[np.int64]
FEWEST = 2
"""Waves of which a sector is made: in one, what is on the axis moves sideways."""


@dataclass(frozen=True, eq=False)
class Sector:
    """Half a wave of a solid of revolution."""

    solid: Solid
    wave_number: int
    elements: Bricks
    surface: Surface

    @property
    def metal(self) -> Metal:
        """What it is made of."""
        return self.solid.metal

    @property
    def load(self) -> Load:
        """What it carries."""
        return self.solid.load

    @property
    def half_thickness(self) -> float:
        """Half of the thickest wall [mm]."""
        return self.solid.half_thickness

    @property
    def fields(self) -> str:
        """Unknowns of a node."""
        return WAVE

    @property
    def size(self) -> int:
        """Number of unknowns."""
        return self.numbering.size

    @property
    def loaded(self) -> Index:
        """Bricks that the loaded face belongs to, (sides,)."""
        return self.surface.owner

    @property
    def virgin(self) -> History:
        """History before any load."""
        return History.virgin(self.elements.point_count, space.UNIT)

    @property
    def apex(self) -> int | None:
        """A node of the mid-surface on the axis."""
        return None if self.solid.apex is None else int(self.over(np.array([self.solid.apex]))[0])

    @cached_property
    def numbering(self) -> Numbering:
        """Numbers of the unknowns."""
        rings = [*self.solid.rings, *(np.array([node]) for node in self.solid.on_axis)]
        return number(len(self.elements.s), WAVE, [self.over(ring) for ring in rings])

    @cached_property
    def layout(self) -> BandLayout:
        """Band of the tangent."""
        return BandLayout(self.numbering.of_elements(self.elements.nodes), self.size, general=True)

    @cached_property
    def fixed(self) -> Index:
        """Unknowns that supports, the axis and the planes of symmetry hold, and those that are unused, (unknowns,)."""
        held = [self.numbering.of(field, self.over(nodes)) for field, nodes in self.solid.holds(0)]
        last = np.max(self.elements.theta)
        on_plane = np.flatnonzero((self.elements.theta == 0.0) | (self.elements.theta == last))
        return np.unique(np.concatenate([self.numbering.unused, self.numbering.of("t", on_plane), *held]))

    @cached_property
    def held(self) -> Held:
        """Index table of the held unknowns."""
        return self.layout.held(self.fixed)

    def over(self, nodes: Index) -> Index:
        """Nodes that stand over nodes of the solid of revolution, (nodes,) in order of their own."""
        return np.flatnonzero(np.isin(self.elements.below, nodes))

    def moved(self, x: Array) -> Array:
        """Displacements (u_r, u_z, u_theta) of the nodes, (nodes, 3) [mm], of unknowns x (size,) [mm]."""
        return x[self.numbering.table]

    def swept(self, x: Array) -> tuple[Array, Array]:
        """First and second derivative of the volume swept by the loaded face, by its bricks' unknowns.

        At displacements x (size,) [mm]: (sides, 60) [mm2] and (sides, 60, 60) [mm].
        """
        nodes = self.elements.nodes[self.loaded]
        position = self.elements.position[nodes]
        if self.load.follower:
            position = position + np.einsum("nf,nfi->ni", self.moved(x), self.elements.base)[nodes]
        return swept_by_surface(self.surface, self._surface_table, position, self.load.side)

    @cached_property
    def _surface_table(self) -> Array:
        """Fields of the loaded face by the unknowns of its bricks, (sides, 9 points 8, 60) [-]."""
        base = self.elements.base[self.elements.nodes[self.loaded]]
        fields = surface_fields(self.surface)
        split = fields.reshape(*fields.shape[:2], base.shape[1], base.shape[3])
        return np.einsum("srni,snfi->srnf", split, base, optimize=True).reshape(fields.shape)

    def evenly(self, x: Array) -> Array:
        """Displacements x (size,) [mm] of the solid of revolution, carried around, as unknowns of the sector."""
        out = np.zeros(self.size)
        moved = self.solid.moved(x)[self.elements.below]
        out[self.numbering.table[:, R]], out[self.numbering.table[:, Z]] = moved[:, R], moved[:, Z]
        return out

    def wave(self, amplitudes: Array) -> Array:
        """A wave of amplitudes (nodes of the solid, 3) [mm], u_r cos, u_z cos, u_theta sin, as unknowns (size,)."""
        out, around = np.zeros(self.size), self.wave_number * self.elements.theta
        for field, vary in ((R, np.cos), (Z, np.cos), (T, np.sin)):
            out[self.numbering.table[:, field]] = amplitudes[self.elements.below, field] * vary(around)
        out[self.fixed] = 0.0
        return out

    def wave_size(self, x: Array) -> float:
        """Largest movement of the mid-surface [mm] that is not the same all around, at displacements x (size,) [mm]."""
        moved = self.moved(x)[self._middle]
        for field in (R, Z):
            moved[:, :, field] -= (moved[:, :, field] @ self._shares)[:, None]
        return float(np.sqrt(np.max(np.sum(moved**2, axis=2))))

    @cached_property
    def _middle(self) -> Index:
        """Nodes of the mid-surface that stand over corners of elements, (columns, planes)."""
        corners = np.unique(self.solid.elements.nodes[:, :CORNERS])  # these have a node in every plane
        over = self.over(corners[np.abs(self.solid.elements.xi[corners]) < 1e-9])
        order = np.lexsort((self.elements.theta[over], self.elements.below[over]))
        return over[order].reshape(-1, 2 * self.elements.around + 1)

    @cached_property
    def _shares(self) -> Array:
        """Simpson's shares of the planes in a mean around, (planes,) [-]."""
        shares = np.full(2 * self.elements.around + 1, 2.0)
        shares[1::2], shares[[0, -1]] = 4.0, 1.0
        return shares / np.sum(shares)


def sector_of(solid: Solid, wave_number: int, around: int = 2, deviation: Array | None = None) -> Sector:
    """Carry a solid of revolution around half a wave in so many bricks, off its shape by a deviation in the wave.

    The deviation (nodes, 3) of the solid [mm] is the amplitudes u_r cos, u_z cos, u_theta sin; none is the perfect
    shape. Raises SolveError where a sector is not the whole body.
    """
    if wave_number < FEWEST:
        reason = f"a sector takes {FEWEST} waves or more: in one, an apex moves sideways"
        raise SolveError(reason, "another wave number")
    if not solid.held_axially:
        raise SolveError("a sector is held axially by a support", "clamped, guided or roller")
    if not np.any(np.abs(solid.elements.xi[solid.elements.nodes[:, :CORNERS]]) < 1e-9):
        raise SolveError("waves are read at the mid-surface, between two layers of bricks", "an even number of layers")
    shape = np.zeros((len(solid.elements.s), len(WAVE))) if deviation is None else deviation.copy()
    shape[solid.on_axis] = 0.0  # there it is round-off, and bricks have an edge of no length
    elements = carried_around(solid.elements, wave_number, around, shape)
    return Sector(solid, wave_number, elements, surface_of(solid.face, around))
