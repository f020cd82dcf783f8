"""Derivatives of what an analysis needs to know of a body, by each of its numbers: one column each, and one more.

The last column is the length of the step that leads to an event: no number of the body, and nil in all but that step.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.material import Material, flow_stress
from buckle.sensitivity.variants import Variant, mean_slope
from buckle.shell.model import Model
from buckle.shell.plasticity import moduli
from buckle.shell.rates import GeometryRates, MetalRates

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Columns:
    """The derivatives of a discretised body by its numbers, at fixed unknowns."""

    model: Model
    variants: tuple[Variant, ...]

    @property
    def count(self) -> int:
        """Columns: numbers, and the step."""
        return len(self.variants) + 1

    @cached_property
    def geometry(self) -> GeometryRates:
        """Of the reference geometry."""
        line = _stack(self, lambda model: np.stack(model.shell.line))
        layers = _stack(self, lambda model: np.stack(model.shell.wall.layers[:3]))
        return GeometryRates(line, layers)

    @cached_property
    def table(self) -> Array:
        """Of the fields at the points from the unknowns, (elements, rows, unknowns, columns)."""
        return _stack(self, lambda model: model.shell.elements.axisymmetric_table)

    @cached_property
    def _by_row(self) -> Array:
        """The same, (elements, rows, unknowns * columns)."""
        elements, rows = self.table.shape[:2]
        return self.table.reshape(elements, rows, -1)

    @cached_property
    def _by_unknown(self) -> Array:
        """The same, (elements, unknowns, rows * columns)."""
        elements, _, unknowns = self.table.shape[:3]
        return np.ascontiguousarray(self.table.transpose(0, 2, 1, 3)).reshape(elements, unknowns, -1)

    def turned(self, nodal: Array) -> Array:
        """Of the fields, at fixed unknowns (elements, unknowns), (elements, rows, columns)."""
        out: Array = np.matmul(nodal[:, None, :], self._by_unknown)
        return out.reshape(len(nodal), -1, self.count)

    def turned_back(self, force: Array) -> Array:
        """Of the nodal forces, at fixed forces by the fields (elements, rows), (elements, unknowns, columns)."""
        out: Array = np.matmul(force[:, None, :], self._by_row)
        return out.reshape(len(force), -1, self.count)

    def hinged(self, nodal: Array) -> Array:
        """Of the forces that widen plastic hinges, at fixed unknowns, (elements, unknowns, columns)."""
        assert self.hinge is not None
        elements, unknowns = self.hinge.shape[:2]
        out: Array = np.matmul(nodal[:, None, :], self.hinge.reshape(elements, unknowns, -1))
        return out.reshape(len(nodal), -1, self.count)

    @cached_property
    def length(self) -> Array:
        """Of the length of meridian that each point stands for, (points, columns)."""
        return _stack(self, lambda model: model.shell.elements.length)

    @cached_property
    def edge_radius(self) -> Array:
        """Of the radii at the ends of the walk, (2, columns)."""
        return _stack(self, lambda model: model.shell.elements.vertex_radius[[0, -1]])

    @cached_property
    def hinge(self) -> Array | None:
        """Of the stiffness that widens plastic hinges, (elements, unknowns, unknowns, columns)."""
        if self.model.shell.hinge is None:
            return None
        return _stack(self, lambda model: _hinge(model))

    @cached_property
    def metal(self) -> MetalRates:
        """Of the elastic constants."""
        stiffness = _stack(self, lambda model: np.array(moduli(model.shell.wall.material)))
        swelling = _stack(self, lambda model: np.array([_swelling(model.shell.wall.material)]))
        return MetalRates(stiffness, swelling[0])

    def flow_stress(self, equivalent: Array) -> Array:
        """Of the flow stress at a plastic strain (points, layers), (points, layers, columns) [MPa]."""
        out = np.zeros((*equivalent.shape, self.count))
        if self.model.shell.wall.material.hardening is None:
            return out
        middle = _strength(self.model, equivalent)
        for column, variant in enumerate(self.variants):
            if variant.number.is_metal:
                out[:, :, column] = mean_slope(variant, lambda model: _strength(model, equivalent), middle)
        return out


def _strength(model: Model, equivalent: Array) -> Array:
    law = model.shell.wall.material.hardening
    assert law is not None
    stress: Array = flow_stress(law.law, law.array, equivalent)[0]
    return stress


def _hinge(model: Model) -> Array:
    assert model.shell.hinge is not None
    return model.shell.hinge.axisymmetric


def _swelling(material: Material) -> float:
    return (1.0 - 2.0 * material.poissons_ratio) / material.youngs_modulus


def _stack(columns: Columns, read: Callable[[Model], Array]) -> Array:
    """Derivatives of an array by all numbers, the columns last; nil for the step."""
    middle = read(columns.model)
    slopes = [mean_slope(variant, read, middle) for variant in columns.variants]
    return np.ascontiguousarray(np.stack([*slopes, np.zeros_like(middle)], axis=-1))


def columns_of(model: Model, variants: Sequence[Variant]) -> Columns:
    """Return the columns of a model and its variants."""
    return Columns(model, tuple(variants))
