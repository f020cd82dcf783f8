"""A shell ready to be solved: elements, section, supports and load put together."""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.bands.layout import BandLayout, Held
from buckle.material import Material
from buckle.meridian import Meridian
from buckle.mesh import Grading, mesh_meridian
from buckle.shell.elements import Elements, meridian_elements
from buckle.shell.hinge import Hinge, hinge_of
from buckle.shell.points import Line
from buckle.shell.section import Section, gauss_rule, layered_section, split_gauss_rule
from buckle.shell.strain import StrainMeasure
from buckle.shell.supports import Supports

Array = NDArray[np.float64]
Index = NDArray[np.int64]


@dataclass(frozen=True)
class Load:
    """Pressure of unit size and side, and a constant axial force at the outer edge [N], tension positive."""

    side: int = 1  # 1: pressure pushes to the right of the walk, -1: to the left
    follower: bool = True
    end_thrust: bool = True
    axial_force: float = 0.0


@dataclass(frozen=True)
class Fineness:
    """How finely a shell is divided."""

    grading: Grading = field(default_factory=Grading)
    layers: int = 4  # through the thickness; plastic analyses take more


@dataclass(frozen=True, eq=False)
class Shell:
    """A discretised shell of revolution with its supports and load."""

    elements: Elements
    section: Section
    supports: Supports
    load: Load

    @property
    def size(self) -> int:
        """Axisymmetric unknowns."""
        return self.elements.axisymmetric.size

    @property
    def fixed(self) -> Index:
        """Held axisymmetric unknowns."""
        return self.supports.fixed

    @cached_property
    def layout(self) -> BandLayout:
        """Band of the axisymmetric tangent."""
        return BandLayout(self.elements.axisymmetric.dofs, self.size, general=True)

    @cached_property
    def wave_layout(self) -> BandLayout:
        """Band of the wave-number operators."""
        return BandLayout(self.elements.wave.dofs, self.elements.wave.size, general=False)

    @cached_property
    def held(self) -> Held:
        """Index table of the held axisymmetric unknowns."""
        return self.layout.held(self.fixed)

    def wave_held(self, n: int) -> Held:
        """Index table of what is held in wave number n."""
        return self._wave_held[min(n, 2)]

    @cached_property
    def _wave_held(self) -> dict[int, Held]:
        return {n: self.wave_layout.held(self.supports.wave_fixed(n)) for n in (0, 1, 2)}

    @cached_property
    def line(self) -> Line:
        """What a step of the points needs to know of the mid-surface."""
        at = self.elements.station
        arrays = (at.r, at.heading, at.curvature, 0.5 * at.thickness, self.section.shear_along)
        return Line(*(np.ascontiguousarray(array) for array in arrays))

    @cached_property
    def edge_force(self) -> Array:
        """Constant axial force at the outer edge per radian, along the wall (tension positive), (size,)."""
        force = np.zeros(self.size)
        if self.load.axial_force:
            axial = self.elements.axisymmetric.values("w")[-1]
            force[axial] = np.sign(np.sin(self.elements.end_heading(-1))) * self.load.axial_force / (2.0 * np.pi)
        return force

    @cached_property
    def hinge(self) -> Hinge | None:
        """What keeps plastic hinges from becoming too short; None where nothing can gather."""
        return hinge_of(self.elements, self.section.material.youngs_modulus) if self.elements.smooth else None


def build_shell(
    meridian: Meridian,
    material: Material,
    edges: tuple[str | None, str | None],
    load: Load,
    fineness: Fineness,
    measure: StrainMeasure,
) -> Shell:
    """Discretise a meridian; edges are the supports of (start, outer) edge, None on the axis."""
    hinges = material.hardening is not None and measure.finite
    elements = meridian_elements(mesh_meridian(meridian, fineness.grading), smooth=hinges)
    rule = (split_gauss_rule if material.hardening else gauss_rule)(fineness.layers)
    section = layered_section(material, elements.station, elements.length, rule, measure)
    return Shell(elements, section, Supports(elements, *edges), load)
