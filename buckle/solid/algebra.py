"""Which tensors a body has: the number of rows of its gradient tells."""

from collections.abc import Sequence
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from buckle.solid import space, tensors
from buckle.solid.numbering import GradientRow

Array = NDArray[np.float64]


class PrincipalAxes(Protocol):
    """Principal axes of a symmetric tensor at each point."""

    def assembled(self, values: Array) -> Array:
        """Symmetric tensor (components, points) of principal values (3, points), of stresses [MPa] or strains [-]."""
        ...

    def into(self, F: Array) -> Array:
        """Matrices (points, rows, rows) that give l = dF F^-1 in these axes from dF (rows, points) [-]."""
        ...


AxesKind = TypeVar("AxesKind", bound=PrincipalAxes, covariant=True)


class Algebra(Protocol[AxesKind]):
    """Tensors of one kind of body, as `tensors` and `space` write them down."""

    @property
    def STRETCHES(self) -> Sequence[int]:
        """Rows of a gradient that are one where nothing moves."""
        ...

    def principal(self, b: Array) -> tuple[Array, AxesKind]:
        """Principal values (3, points) and axes of a symmetric tensor (components, points) [-]."""
        ...

    def carried(self, F: Array, c: Array) -> Array:
        """F c F^T of a symmetric tensor c (components, points) and a gradient F (rows, points) [-]."""
        ...

    def inverse(self, F: Array) -> Array:
        """Inverse of a gradient (rows, points) [-]."""
        ...

    def is_upright(self, F: Array) -> bool:
        """Tell whether a gradient (rows, points) [-] turns no point inside out."""
        ...


_BY_ROWS: dict[int, Algebra[PrincipalAxes]] = {
    len(GradientRow): tensors,
    space.ROWS: space,
}


def algebra_of(F: Array) -> Algebra[PrincipalAxes]:
    """Return the tensors of the body that a gradient (rows, points) [-] belongs to."""
    return _BY_ROWS[len(F)]
