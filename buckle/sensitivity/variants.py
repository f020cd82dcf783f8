"""A body and its neighbours: the same mesh and layers on it with each number a little larger and a little smaller."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.analysis.setup import Run, metal_of
from buckle.case import Case, case_from_dict
from buckle.case.shape import read_shape
from buckle.errors import CaseError
from buckle.meridian import Meridian
from buckle.sensitivity.numbers import Number, tables_with
from buckle.shell.elements import moved_elements
from buckle.shell.model import Model, Shell, layer_rule
from buckle.shell.wall import layered_wall

Array = NDArray[np.float64]
SMALL = 1e-4
"""Of a number: the step to its neighbours. Geometry and metal are smooth: differences are exact to its square."""
NIL = 10.0
"""What the step is a part of where the number is nil, in the unit of its key: 1 um, as shorter pieces are refused."""
SHORT = 1e-3  # of the meridian: a piece that a step makes out of nothing is shorter


@dataclass(frozen=True, eq=False)
class Neighbours:
    """The cases on both sides of a number; None where there is no such body."""

    number: Number
    step: float
    below: Case | None
    above: Case | None


@dataclass(frozen=True, eq=False)
class Variant:
    """A body on both sides of a number, discretised as the body itself; None where there is none."""

    neighbours: Neighbours
    below: tuple[Case, Model] | None
    above: tuple[Case, Model] | None

    @property
    def number(self) -> Number:
        """What is changed."""
        return self.neighbours.number

    def slopes(self, read: Callable[[Case, Model], float], middle: float) -> tuple[float, float]:
        """Derivatives from below and from above of something that is read off a body; NaN where there is none."""
        left, right = (None if side is None else read(*side) for side in (self.below, self.above))
        step = self.neighbours.step
        return (
            np.nan if left is None else (middle - left) / step,
            np.nan if right is None else (right - middle) / step,
        )


def neighbours_of(case: Case, number: Number) -> Neighbours:
    """Return the cases a small step below and above a number."""
    step = SMALL * abs(number.value or NIL)
    below, above = (_with(case, number, number.value + sign * step) for sign in (-1.0, 1.0))
    return Neighbours(number, step, below, above)


def _with(case: Case, number: Number, value: float) -> Case | None:
    tables = {name: table for name, table in tables_with(case, number, value).items() if name != "tolerances"}
    if number.is_metal:
        try:
            return case_from_dict(tables)
        except CaseError:
            return None
    shape = read_shape(tables["shape"], case.loads.pressure_side)
    if shape.body is None:
        return None
    dimensions = {name: getattr(shape.model, name) for name in type(shape.model).model_fields if name != "family"}
    return replace(case, meridian=shape.body.meridian, dimensions=dimensions, tables=tables)


def variant_of(run: Run, model: Model, neighbours: Neighbours) -> Variant:
    """Return the bodies on both sides of a number as they are discretised for a run, whose own model is given."""
    below, above = (_discretised(run, model, case) for case in (neighbours.below, neighbours.above))
    return Variant(neighbours, below, above)


def _discretised(run: Run, model: Model, case: Case | None) -> tuple[Case, Model] | None:
    if case is None:
        return None
    elements = model.shell.elements
    if case.meridian is not run.case.meridian:
        vertices = _matched(elements.mesh.vertices, elements.mesh.meridian, case.meridian)
        if vertices is None:
            return None
        elements = moved_elements(elements, case.meridian, vertices)
    metal, wall = metal_of(case, run), model.shell.wall
    shell = Shell(elements, layered_wall(metal, elements, layer_rule(metal, len(wall.xi)), wall.measure))
    return case, replace(model, shell=shell, supports=replace(model.supports, elements=elements))


def _matched(vertices: Array, here: Meridian, there: Meridian) -> Array | None:
    """Element ends on a neighbouring meridian, at the same shares of each piece; None where the pieces are others.

    A piece that is new there is short: it has no elements of its own.
    """
    breaks = there.breaks
    extra = len(breaks) - len(here.breaks)
    lengths = np.diff(breaks)
    new = np.argsort(lengths, kind="stable")[: max(extra, 0)]
    if extra < 0 or np.any(lengths[new] > SHORT * here.length):
        return None
    matched: Array = np.interp(
        vertices, here.breaks, np.delete(breaks, np.where(new == len(lengths) - 1, new, new + 1))
    )
    return matched


def mean_slope(variant: Variant, read: Callable[[Model], Array], middle: Array) -> Array:
    """Derivative by the number of arrays that are read off a model: central, or from the only side that there is."""
    step = variant.neighbours.step
    above = None if variant.above is None else read(variant.above[1])
    below = None if variant.below is None else read(variant.below[1])
    if above is not None and below is not None:
        return (above - below) / (2.0 * step)
    if above is not None:
        return (above - middle) / step
    if below is not None:
        return (middle - below) / step
    return np.zeros_like(middle)
