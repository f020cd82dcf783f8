"""What is solved: a shell, which deforms, with its supports and its load."""

from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.increasing import PRESSURE, Increasing
from buckle.material import Material
from buckle.meridian import Meridian
from buckle.mesh import Grading, mesh_meridian
from buckle.shell.composed import Composition, Spring, spring_of
from buckle.shell.elements import Elements, meridian_elements
from buckle.shell.hinge import Hinge, hinge_of
from buckle.shell.points import Line
from buckle.shell.strain import StrainMeasure
from buckle.shell.supports import Edges, Supports
from buckle.shell.wall import Wall, gauss_rule, layered_wall, of_stretches, split_gauss_rule

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Load:
    """A pressure and an axial force at the outer edge, of which one increases by the load factor and the other stays.

    The load factor is the size of what increases: a pressure [MPa], or an axial force [N] in its own sense.
    """

    side: int = 1  # 1: pressure pushes to the right of the walk, -1: to the left
    follower: bool = True
    end_thrust: bool = True
    axial_force: float = 0.0  # [N] that stays, tension positive
    increasing: Increasing = PRESSURE
    constant_pressure: float = 0.0  # [MPa] that stays where the axial force increases

    def pressure(self, load_factor: float) -> float:
        """Pressure [MPa] at a load factor."""
        return load_factor if self.increasing.is_pressure else self.constant_pressure

    def force(self, load_factor: float) -> float:
        """Axial force [N] at a load factor, tension positive."""
        return self.axial_force if self.increasing.is_pressure else self.increasing.sense * load_factor

    def text(self, load_factor: float) -> str:
        """Return the load that increases for a message."""
        return self.increasing.text(load_factor)

    @property
    def constant(self) -> str:
        """What stays, in words; empty where nothing else acts."""
        if self.increasing.is_pressure:
            return "the axial force" if self.axial_force else ""
        return "the constant pressure" if self.constant_pressure else ""


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
    spring: Spring | None = None  # of a seam

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
        """Nodal forces per radian of the axial force that stays, or of one unit of it, (size,) [N/rad]."""
        load, elements, force = self.load, self.shell.elements, np.zeros(self.shell.size)
        axial = elements.axisymmetric.values("w")[-1]
        along = np.sign(np.sin(elements.end_heading(-1)))
        if load.force(1.0):
            force[axial] = along * load.force(1.0) / (2.0 * np.pi)
        return force

    @property
    def pressurised(self) -> "Model":
        """The same with the pressure that stays as the one load, increasing."""
        return replace(self, load=replace(self.load, increasing=PRESSURE, axial_force=0.0, constant_pressure=0.0))


def build_model(
    meridian: Meridian,
    metal: Material | Composition,
    edges: tuple[str | None, str | None] | Edges,
    load: Load,
    fineness: Fineness,
    measure: StrainMeasure,
) -> Model:
    """Discretise a meridian; edges are the supports of (start, outer) edge, None on the axis, and a ring between."""
    composed = metal if isinstance(metal, Composition) else None
    material = metal.leading if isinstance(metal, Composition) else metal
    hinges, held = material.hardening is not None and measure.finite, Edges(*edges)
    seam = None if composed is None else composed.seam
    ring, hinge = None if held.ring is None else held.ring.s, None if seam is None else seam.s
    elements = meridian_elements(mesh_meridian(meridian, fineness.grading, ring, hinge), smooth=hinges)
    rule = layer_rule(material, fineness.layers)
    wall = layered_wall(material, elements, rule, measure)
    if composed is not None:
        wall = of_stretches(wall, elements, rule, composed.stretches)
    shell = Shell(elements, wall, spring_of(elements, seam))
    return Model(shell, Supports(elements, *held), load)


def layer_rule(material: Material, layers: int) -> tuple[Array, Array]:
    """Positions and weights of the layers of a wall, (layers,) [-] each."""
    return (split_gauss_rule if material.hardening else gauss_rule)(layers)
