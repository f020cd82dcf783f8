"""What a path needs of a body: a solid of revolution, or a sector of one."""

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from buckle.bands.layout import BandLayout, Held
from buckle.solid.history import History
from buckle.solid.metal import Metal
from buckle.solid.model import Load

Array = NDArray[np.float64]
Index = NDArray[np.int64]


class Points(Protocol):
    """Elements as their Gauss points see them."""

    @property
    def s(self) -> Array:
        """Arc length of the nodes, (nodes,) [mm]."""
        ...

    @property
    def table(self) -> Array:
        """Change of F at each point with the unknowns of the nodes, (elements, points rows, unknowns) [1/mm]."""
        ...

    @property
    def weight(self) -> Array:
        """Volume of the points, (elements points,) [mm3], of a solid of revolution per radian."""
        ...

    @property
    def point_count(self) -> int:
        """Number of Gauss points."""
        ...


class Body(Protocol):
    """A body whose path can be followed."""

    @property
    def elements(self) -> Points:
        """Its elements."""
        ...

    @property
    def metal(self) -> Metal:
        """What it is made of."""
        ...

    @property
    def load(self) -> Load:
        """What it carries."""
        ...

    @property
    def half_thickness(self) -> float:
        """Half of the thickest wall [mm]."""
        ...

    @property
    def fields(self) -> str:
        """Unknowns of a node."""
        ...

    @property
    def size(self) -> int:
        """Number of unknowns."""
        ...

    @property
    def layout(self) -> BandLayout:
        """Band of the tangent."""
        ...

    @property
    def fixed(self) -> Index:
        """Held unknowns, (unknowns,)."""
        ...

    @property
    def held(self) -> Held:
        """Index table of the held unknowns."""
        ...

    @property
    def virgin(self) -> History:
        """History before any load."""
        ...

    @property
    def loaded(self) -> Index:
        """Elements that the loaded face belongs to, (sides,)."""
        ...

    @property
    def apex(self) -> int | None:
        """Node of the mid-surface on the axis."""
        ...

    def moved(self, x: Array) -> Array:
        """Displacements (u_r, u_z, ...) of the nodes, (nodes, fields) [mm], of unknowns x (size,)."""
        ...

    def swept(self, x: Array) -> tuple[Array, Array]:
        """First and second derivative of the volume swept by the loaded face, by the unknowns of its elements.

        At displacements x (size,): (sides, unknowns) [mm2] and (sides, unknowns, unknowns) [mm].
        """
        ...
