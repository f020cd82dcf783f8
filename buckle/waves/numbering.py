"""Which number each unknown of a waved shell has, and which row each field at a point."""

from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.bands.layout import BandLayout
from buckle.shell.elements import Elements
from buckle.shell.numbering import AXISYMMETRIC, FUNCTIONS, OF_FIELDS, OF_WAVES, WAVE, Field, Numbering, number

Index = NDArray[np.int64]


class PointRow(IntEnum):
    """Row of each field at a point of the waved mid-surface; _S is d/ds, _T d/dtheta."""

    U = 0
    U_S = 1
    U_T = 2
    W_S = 3
    W_T = 4
    V = 5
    V_S = 6
    V_T = 7
    BETA = 8
    BETA_S = 9
    BETA_T = 10
    OMEGA = 11
    OMEGA_S = 12
    OMEGA_T = 13


class WavedRow(IntEnum):
    """Row of each metric of a waved shell: those of an axisymmetric state, those of twist, and both shears."""

    A11 = 0
    B11 = 1
    C11 = 2
    A22 = 3
    B22 = 4
    C22 = 5
    A12 = 6
    B12 = 7
    C12 = 8
    G1 = 9
    G2 = 10


P = PointRow
OF_POINTS = (
    *(("u", 0), ("u", 1), ("u", 0), ("w", 1), ("w", 0), ("v", 0), ("v", 1), ("v", 0)),
    *((name, order) for name in "at" for order in (0, 1, 0)),
)
"""Which unknowns make each field at a point, and how often they are derived by s."""
BY_THETA = (P.U_T, P.W_T, P.V_T, P.BETA_T, P.OMEGA_T)
SINES = "vt"
"""Unknowns that vary with the sine of theta; all others with its cosine."""


@dataclass(frozen=True, eq=False)
class Harmonics:
    """Numbers of the unknowns of harmonics 0 and k n, k in `multiples`: (u, w, a) of the first, all five of the others.

    A harmonic goes by its k here.
    """

    elements: Elements
    wave_number: int  # n, which all others are multiples of
    multiples: tuple[int, ...]  # rising, from 1 or more

    @property
    def orders(self) -> tuple[int, ...]:
        """Every harmonic, that without waves first."""
        return (0, *self.multiples)

    @property
    def columns(self) -> tuple[tuple[int, str], ...]:
        """Harmonic and name of each field."""
        waves = tuple((harmonic, name) for harmonic in self.multiples for name in WAVE)
        return tuple((0, name) for name in AXISYMMETRIC) + waves

    @property
    def rows(self) -> tuple[tuple[int, str, int], ...]:
        """Harmonic, name and derivatives by s of each amplitude at a point."""
        waves = tuple((harmonic, *row) for harmonic in self.multiples for row in OF_WAVES)
        return tuple((0, *row) for row in OF_FIELDS) + waves

    @cached_property
    def numbering(self) -> Numbering:
        """Numbers of all unknowns along the walk, so that the band stays narrow."""
        smooth = self.elements.smooth
        fields = (Field(name, smooth=smooth and name == "a", splits=name == "t") for _, name in self.columns)
        return number(self.elements.mesh, tuple(fields))

    @cached_property
    def layout(self) -> BandLayout:
        """Band of the tangent."""
        return BandLayout(self.numbering.dofs, self.size, general=True)

    @property
    def size(self) -> int:
        """Number of unknowns."""
        return self.numbering.size

    def dofs(self, harmonic: int) -> Index:
        """Numbers of the unknowns of a harmonic, (elements, unknowns), in the order of the shell's own."""
        columns = [column for column, (own, _) in enumerate(self.columns) if own == harmonic]
        whole = self.numbering.dofs.reshape(self.elements.mesh.count, FUNCTIONS, -1)
        return whole[:, :, columns].reshape(self.elements.mesh.count, -1)

    def own(self, harmonic: int) -> Index:
        """Number here of each unknown of the shell in a harmonic, (unknowns,)."""
        shell = self.elements.wave if harmonic else self.elements.axisymmetric
        out = np.empty(shell.size, dtype=np.int64)
        out[shell.dofs] = self.dofs(harmonic)
        return out
