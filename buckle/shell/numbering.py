"""Which number each unknown, each field at a point and each metric has: all else in the shell asks here.

The fields of all elements are numbered along the walk, so that bands stay narrow.

An element has five functions for each field. A plain field is continuous: a value at either end and three functions
that vanish there. A smooth one has value and slope at either end and one function that vanishes with its slope. What is
continuous in the body is one unknown of both elements at a vertex; what jumps there is one of each.
"""

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from buckle.mesh import MeridianMesh

Index = NDArray[np.int64]
FUNCTIONS = 5
START, END = 0, FUNCTIONS - 1  # functions that are one at the start or the end of an element
SLOPE_AT_START, SLOPE_AT_END = 1, 3  # of a smooth field


@dataclass(frozen=True)
class Field:
    """A field: `smooth` has continuous slopes but where the mesh is broken; `splits` jumps at kinks."""

    name: str
    smooth: bool = False
    splits: bool = False


MOVED = ("u", "w")
AXISYMMETRIC = (*MOVED, "a")
WAVE = (*AXISYMMETRIC, "v", "t")
"""u radial, w axial, a turning in the meridian plane, v circumferential, t tilt towards e_theta."""


class FieldRow(IntEnum):
    """Row of each axisymmetric field at a point, q = (u, u', w', beta, beta'); ' is d/ds."""

    U = 0
    U_S = 1
    W_S = 2
    BETA = 3
    BETA_S = 4


class WaveRow(IntEnum):
    """Row of each field of a wave at a point: cos(n theta) up to alpha', then sin(n theta)."""

    U = 0
    U_S = 1
    W = 2
    W_S = 3
    ALPHA = 4
    ALPHA_S = 5
    V = 6
    V_S = 7
    OMEGA = 8
    OMEGA_S = 9


class MetricRow(IntEnum):
    """Row of each metric (see `kinematics`) that is not zero in an axisymmetric state."""

    A11 = 0
    B11 = 1
    C11 = 2
    A22 = 3
    B22 = 4
    C22 = 5
    G1 = 6


class TwistRow(IntEnum):
    """Row of each metric that is zero in an axisymmetric state."""

    A12 = 0
    B12 = 1
    C12 = 2
    G2 = 3


ALONG, AROUND = slice(MetricRow.A11, MetricRow.A22), slice(MetricRow.A22, MetricRow.G1)
TWIST = slice(TwistRow.A12, TwistRow.G2)
"""The three metrics of stretch along and around the meridian, and those of twist."""
IN_WAVE = [WaveRow.U, WaveRow.U_S, WaveRow.W_S, WaveRow.ALPHA, WaveRow.ALPHA_S]
"""Row in a wave of each axisymmetric field."""
OF_FIELDS = (("u", 0), ("u", 1), ("w", 1), ("a", 0), ("a", 1))
OF_WAVES = tuple((WAVE[row // 2], row % 2) for row in WaveRow)
"""Which unknowns make each field at a point, and how often they are derived by s."""


def fields(names: tuple[str, ...], *, smooth: bool) -> tuple[Field, ...]:
    """Fields by their names; `smooth` makes the turning a smooth one.

    A rigid corner that turns about an axis in the meridian plane tilts the directors of its two sides differently: t
    splits.
    """
    return tuple(Field(name, smooth=smooth and name == "a", splits=name == "t") for name in names)


@dataclass(frozen=True, eq=False)
class Numbering:
    """Numbers of all unknowns of some fields."""

    fields: tuple[Field, ...]
    dofs: Index  # (elements, unknowns) in the order [function, field]
    size: int

    def values(self, name: str) -> Index:
        """Numbers of a field's values at the vertices, (elements + 1,); where it splits, those of what starts there."""
        per_element = self.dofs.reshape(len(self.dofs), FUNCTIONS, -1)[:, :, self._column(name)]
        return np.append(per_element[:, START], per_element[-1, END])

    def ends(self, name: str) -> Index:
        """Numbers of a field's values where each element ends, (elements,)."""
        return self.dofs.reshape(len(self.dofs), FUNCTIONS, -1)[:, END, self._column(name)]

    def of(self, name: str) -> Index:
        """All numbers of a field, each once, (unknowns,)."""
        return np.unique(self.dofs.reshape(len(self.dofs), FUNCTIONS, -1)[:, :, self._column(name)])

    def _column(self, name: str) -> int:
        return [field.name for field in self.fields].index(name)


def number(mesh: MeridianMesh, fields: tuple[Field, ...]) -> Numbering:
    """Number the unknowns of fields on a mesh in the order in which the walk meets them."""
    codes = np.stack([_codes(mesh, field) for field in fields], axis=2) * len(fields) + np.arange(len(fields))
    unique, dofs = np.unique(codes, return_inverse=True)
    return Numbering(fields, dofs.reshape(mesh.count, -1), len(unique))


def _codes(mesh: MeridianMesh, field: Field) -> Index:
    """A number for each function of each element that is equal where unknowns are, and rises along the walk.

    Eight slots at each vertex (values 0 and 1, slopes 2 and 3: the second where the field or its slope is split there)
    and eight inside each element.
    """
    start = 16 * np.arange(mesh.count)
    codes = np.stack([start, start + 8, start + 9, start + 10, start + 16], axis=1)
    if field.splits:
        codes[:, START] += mesh.kinked[:-1]
    if field.name == "a":
        codes[:, START] += mesh.hinged[:-1]
    if field.smooth:
        codes[:, SLOPE_AT_START] = start + 2 + mesh.broken[:-1]
        codes[:, SLOPE_AT_END] = start + 18
    return codes
