"""What is solved: a shell, which deforms, with its supports and its load."""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.material import Material
from buckle.meridian import Meridian
from buckle.mesh import Grading, mesh_meridian
from buckle.shell.elements import Elements, meridian_elements
from buckle.shell.hinge import Hinge, hinge_of
from buckle.shell.points import Line
from buckle.shell.strain import StrainMeasure
from buckle.shell.supports import Supports
from buckle.shell.wall import Wall, gauss_rule, layered_wall, split_gauss_rule

Array = NDArray[np.float64]


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
    """What deforms: a discretised wall of revolution, whatever holds or loads it."""

    elements: Elements
    wall: Wall

    @property
    def size(self) -> int:
        """Axisymmetric unknowns."""
        return self.elements.axisymmetric.size

    @cached_property
    def line(self) -> Line:
        """What a step of the points needs to know of the mid-surface."""
        at = self.elements.station
        arrays = (at.r, at.heading, at.curvature, 0.5 * at.thickness, self.wall.shear_along)
        return Line(*(np.ascontiguousarray(array) for array in arrays))

    @cached_property
    def hinge(self) -> Hinge | None:
        """What keeps plastic hinges from becoming too short; None where nothing can gather."""
        return hinge_of(self.elements, self.wall.material.youngs_modulus) if self.elements.smooth else None


@dataclass(frozen=True, eq=False)
class Model:
    """What is solved: a shell, what holds it, and what loads it."""

    shell: Shell
    supports: Supports
    load: Load

    @cached_property
    def edge_force(self) -> Array:
        """Constant axial force at the outer edge per radian, along the wall (tension positive), (size,) [N/rad]."""
        elements, force = self.shell.elements, np.zeros(self.shell.size)
        if self.load.axial_force:
            axial = elements.axisymmetric.values("w")[-1]
            force[axial] = np.sign(np.sin(elements.end_heading(-1))) * self.load.axial_force / (2.0 * np.pi)
        return force


def build_model(
    meridian: Meridian,
    material: Material,
    edges: tuple[str | None, str | None],
    load: Load,
    fineness: Fineness,
    measure: StrainMeasure,
) -> Model:
    """Discretise a meridian; edges are the supports of (start, outer) edge, None on the axis."""
    hinges = material.hardening is not None and measure.finite
    elements = meridian_elements(mesh_meridian(meridian, fineness.grading), smooth=hinges)
    rule = (split_gauss_rule if material.hardening else gauss_rule)(fineness.layers)
    shell = Shell(elements, layered_wall(material, elements, rule, measure))
    return Model(shell, Supports(elements, *edges), load)
