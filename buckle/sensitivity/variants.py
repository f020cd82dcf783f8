"""A body and its neighbours: the same mesh and layers on it with each number a little larger and a little smaller."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from buckle.analysis.movement import Movement, movement_of
from buckle.analysis.setup import Run, metal_of
from buckle.case import Case
from buckle.case.contents import warm_metal
from buckle.case.deviation import moved_with
from buckle.case.metal import read_metal
from buckle.case.shape import read_shape
from buckle.imperfection.body import Deviated
from buckle.material import Material
from buckle.meridian import Meridian
from buckle.sensitivity.numbers import Number, tables_with
from buckle.sensitivity.slopes import Slopes
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
class Body:
    """A case as it is discretised."""

    case: Case
    model: Model

    @cached_property
    def movement(self) -> Movement:
        """What to read its movements by."""
        return movement_of(self.model)


@dataclass(frozen=True, eq=False)
class Variant:
    """A body on both sides of a number, discretised as the body itself; None where there is none."""

    neighbours: Neighbours
    below: Body | None
    above: Body | None

    @property
    def number(self) -> Number:
        """What is changed."""
        return self.neighbours.number

    @property
    def idle(self) -> bool:
        """Whether the number is one that the analysis does not know of."""
        return self.below is not None and self.above is not None and self.below.model is self.above.model

    def slopes(self, read: Callable[[Body], float], middle: float) -> tuple[float, float]:
        """Derivatives from below and from above of something that is read off a body; NaN where there is none."""
        if self.idle:
            return 0.0, 0.0
        left, right = (None if side is None else read(side) for side in (self.below, self.above))
        step = self.neighbours.step
        return (
            np.nan if left is None else (middle - left) / step,
            np.nan if right is None else (right - middle) / step,
        )


def neighbours_of(case: Case, number: Number, small: float = SMALL) -> Neighbours:
    """Return the cases a small step below and above a number, given as a part of it."""
    step = small * abs(number.value or NIL)
    below, above = (_with(case, number, number.value + sign * step) for sign in (-1.0, 1.0))
    return Neighbours(number, step, below, above)


def _with(case: Case, number: Number, value: float) -> Case | None:
    tables = tables_with(case, number, value)
    if number.is_metal:
        material = warm_metal(case.contents, read_metal(tables["material"]), case.demand)
        return None if material is None else replace(case, material=material, tables=tables)
    if number.is_deviation:
        return replace(case, tables=tables)  # of the perfect shape nothing; of the deviated one see `deviating`
    body = read_shape(tables["shape"], case.loads.pressure_side).body
    return None if body is None else replace(case, meridian=body.meridian, tables=tables)


def deviating(near: Neighbours, case: Case, member: Deviated) -> Neighbours:
    """Return the cases beside a number with the deviation of a member of the case's set; None where none can have it.

    The deviation goes along with the body, as `moved_with` says.
    """
    below, above = (
        None if side is None else _deviating(near.number, case, side, member) for side in (near.below, near.above)
    )
    return replace(near, below=below, above=above)


def _deviating(number: Number, case: Case, side: Case, member: Deviated) -> Case | None:
    if number.is_metal:
        return replace(side, meridian=member.meridian)
    table = side.tables["deviation"]
    meridian = moved_with(table, member, case.meridian, side.meridian, case.loads.pressure_side)
    return None if meridian is None else replace(side, meridian=meridian)


def variant_of(run: Run, model: Model, neighbours: Neighbours) -> Variant:
    """Return the bodies on both sides of a number as they are discretised for a run, whose own model is given."""
    below, above = (_discretised(run, model, case) for case in (neighbours.below, neighbours.above))
    return Variant(neighbours, below, above)


def _discretised(run: Run, model: Model, case: Case | None) -> Body | None:
    if case is None:
        return None
    elements, metal = model.shell.elements, metal_of(case.material, run)
    if case.meridian is run.case.meridian and _alike(metal, model.shell.wall.material):
        return Body(case, model)
    if case.meridian is not run.case.meridian:
        vertices = _matched(elements.mesh.vertices, elements.mesh.meridian, case.meridian)
        if vertices is None:
            return None
        elements = moved_elements(elements, case.meridian, vertices)
    wall = model.shell.wall
    shell = Shell(elements, layered_wall(metal, elements, layer_rule(metal, len(wall.xi)), wall.measure))
    return Body(case, replace(model, shell=shell, supports=replace(model.supports, elements=elements)))


def _alike(one: Material, other: Material) -> bool:
    """Tell whether two metals are one to an analysis."""
    return replace(one, density=other.density) == other


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
    if variant.idle:
        return np.zeros_like(middle)
    step = variant.neighbours.step
    above = None if variant.above is None else read(variant.above.model)
    below = None if variant.below is None else read(variant.below.model)
    if above is not None and below is not None:
        return (above - below) / (2.0 * step)
    if above is not None:
        return (above - middle) / step
    if below is not None:
        return (middle - below) / step
    return np.zeros_like(middle)


def one_sided(slopes: Slopes, variants: Sequence[Variant]) -> Slopes:
    """Return slopes without those of the sides on which there is no such body."""
    left = np.where([each.below is None for each in variants], np.nan, slopes.left)
    right = np.where([each.above is None for each in variants], np.nan, slopes.right)
    return replace(slopes, left=left, right=right)
