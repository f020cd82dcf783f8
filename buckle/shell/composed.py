"""A shell that is composed of stretches of several metals, and of two sides that a seam joins by a spring."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buckle.bands.layout import BandLayout
from buckle.material import Material
from buckle.shell.elements import Elements
from buckle.shell.numbering import Numbering

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Seam:
    """A kink at an arc length [mm] whose two sides turn against each other; N mm for each rad and mm around is N."""

    s: float
    stiffness: float


@dataclass(frozen=True)
class Composition:
    """Stretches of a meridian, each by the arc length [mm] that it goes up to and its metal, and a seam.

    Without a seam every kink is rigid, as a corner of one piece of metal is.
    """

    stretches: tuple[tuple[float, Material], ...]
    seam: Seam | None = None

    @property
    def leading(self) -> Material:
        """The first metal that yields, where any does."""
        metals = [metal for _, metal in self.stretches]
        return next((metal for metal in metals if metal.hardening is not None), metals[0])


@dataclass(frozen=True, eq=False)
class Spring:
    """What a seam does to the turnings of its two sides, per radian around the axis [N mm]."""

    elements: Elements
    vertex: int
    stiffness: float

    def force(self, x: Array) -> Array:
        """Nodal moments that it takes to turn the sides apart as x (size,) [mm, rad] does, (size,) [N mm]."""
        before, after = self._sides(self.elements.axisymmetric)
        out = np.zeros_like(x)
        out[after] = self.stiffness * (x[after] - x[before])
        out[before] = -out[after]
        return out

    def put(self, band: Array) -> Array:
        """Add it to the band of axisymmetric unknowns, (size, width) [N/mm], and return that."""
        return self._into(band, self.elements.layout, self.elements.axisymmetric)

    def put_wave(self, band: Array) -> Array:
        """Add it to the band of the unknowns of a wave, (size, width) [N/mm], and return that."""
        return self._into(band, self.elements.wave_layout, self.elements.wave)

    def _sides(self, numbering: Numbering) -> tuple[int, int]:
        """Numbers of the turning before and after the seam."""
        return int(numbering.ends("a")[self.vertex - 1]), int(numbering.values("a")[self.vertex])

    def _into(self, band: Array, layout: BandLayout, numbering: Numbering) -> Array:
        sides = self._sides(numbering)
        for row in sides:
            for column in sides:
                if layout.general or row >= column:  # a symmetric band holds its lower half
                    band[column, layout.offset + row - column] += self.stiffness * (1.0 if row == column else -1.0)
        return band


def spring_of(elements: Elements, seam: Seam | None) -> Spring | None:
    """Return the spring of a seam on the elements of a meridian; None without one."""
    if seam is None:
        return None
    vertex = int(np.argmin(np.abs(elements.mesh.vertices - seam.s)))
    return Spring(elements, vertex, seam.stiffness * float(elements.vertex_radius[vertex]))
