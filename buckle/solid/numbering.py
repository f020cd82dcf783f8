"""Which number each unknown, each component of the gradient and each field of the loaded face has.

All else in the solid asks here. Unknowns are numbered node by node; the face of a sliding ring has one u_z for all.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Index = NDArray[np.int64]
NODES = 8  # of an element
AXISYMMETRIC = "rz"
WAVE = "rzt"
"""Fields of a node: u_r, u_z, and u_theta (t) in a wave."""
R, Z, T = range(len(WAVE))


class GradientRow(IntEnum):
    """Row of each component of F in an axisymmetric state: capitals are the unloaded body's directions."""

    RR = 0
    RZ = 1
    ZR = 2
    ZZ = 3
    TT = 4


class TwistRow(IntEnum):
    """Row of each component of F that is zero in an axisymmetric state."""

    RT = 0
    ZT = 1
    TR = 2
    TZ = 3


class LineRow(IntEnum):
    """Row of each field of a wave on the loaded face; ' is the derivative along it."""

    U_R = 0
    U_Z = 1
    U_T = 2
    U_Z_S = 3
    U_T_S = 4


@dataclass(frozen=True, eq=False)
class Numbering:
    """Numbers of the unknowns of some fields."""

    fields: str
    table: Index  # (nodes, fields)

    @property
    def size(self) -> int:
        """How many there are, those that a ring leaves unused among them."""
        return self.table.size

    @property
    def unused(self) -> Index:
        """Numbers that a ring leaves unused, (unknowns,)."""
        return np.setdiff1d(np.arange(self.size), self.table)

    def of(self, field: str, nodes: Index) -> Index:
        """Numbers of a field at nodes (nodes,)."""
        return self.table[nodes, self.fields.index(field)]

    def of_elements(self, nodes: Index) -> Index:
        """Numbers of the unknowns of each element, (elements, 8 fields), from their nodes (elements, 8)."""
        return self.table[nodes].reshape(len(nodes), -1)


def number(count: int, fields: str, rings: Iterable[Index]) -> Numbering:
    """Number the fields of `count` nodes; the nodes of each ring share the u_z of their middle one.

    Each ring (nodes,).
    """
    table = np.arange(len(fields) * count).reshape(count, len(fields))
    for ring in rings:
        table[ring, Z] = table[ring[len(ring) // 2], Z]
    return Numbering(fields, table)


def in_wave(numbers: Index) -> Index:
    """Numbers in a wave of axisymmetric unknowns (unknowns,)."""
    node, field = np.divmod(numbers, len(AXISYMMETRIC))
    return node * len(WAVE) + field


def torsion(count: int) -> Index:
    """Numbers in a wave of all u_theta of `count` nodes, (nodes,)."""
    return np.arange(count) * len(WAVE) + T
