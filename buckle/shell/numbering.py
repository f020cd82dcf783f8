"""Where each unknown stands: the fields of all elements numbered along the walk, so that bands stay narrow.

An element has five functions for each field. A plain field is continuous: a value at either end and three functions
that vanish there. A smooth one has value and slope at either end and one function that vanishes with its slope. What is
continuous in the body is one unknown of both elements at a vertex; what jumps there is one of each.
"""

from dataclasses import dataclass

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


AXISYMMETRIC = ("u", "w", "a")
WAVE = (*AXISYMMETRIC, "v", "t")
"""u radial, w axial, a turning in the meridian plane, v circumferential, t tilt towards e_theta."""


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
    dofs: Index  # (elements, FUNCTIONS * fields) in the order [function, field]
    size: int

    def values(self, name: str) -> Index:
        """Numbers of a field's values at the vertices, (elements + 1,); where it splits, those of what starts there."""
        per_element = self.dofs.reshape(len(self.dofs), FUNCTIONS, -1)[:, :, self._place(name)]
        return np.append(per_element[:, START], per_element[-1, END])

    def ends(self, name: str) -> Index:
        """Numbers of a field's values where each element ends, (elements,)."""
        return self.dofs.reshape(len(self.dofs), FUNCTIONS, -1)[:, END, self._place(name)]

    def of(self, name: str) -> Index:
        """All numbers of a field, each once."""
        return np.unique(self.dofs.reshape(len(self.dofs), FUNCTIONS, -1)[:, :, self._place(name)])

    def _place(self, name: str) -> int:
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
    if field.smooth:
        codes[:, SLOPE_AT_START] = start + 2 + mesh.broken[:-1]
        codes[:, SLOPE_AT_END] = start + 18
    return codes
