"""What a body may not go beyond while its load rises: movement, plastic strain, and touching itself."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from buckle.analysis.movement import Movement, movement_of
from buckle.analysis.strained import face_strain
from buckle.case import Case
from buckle.landmarks import Ring
from buckle.results import GROWTH_CEILING, STRAIN_CEILING, WALLS_TOUCH
from buckle.shell.model import Model, Shell
from buckle.shell.touch import least_gap
from buckle.solve.path import PathPoint
from buckle.solve.trace import Stop, Stops

Array = NDArray[np.float64]
SHARE_OF_DEPTH = 0.5
"""Of its depth, what a dome may lose, or a countersink rise, before the body counts as reversed; and by how much a wall
that is pressed may come down onto its stand before that counts as crushed, whatever force a next fold carries.

A dome that has come down by half its depth has no shape left that was drawn, and its stand has dropped by about half of
that, 2 to 3 mm: as much as the height of a container may grow anywhere (up to 2.5 mm; common practice, no source). What
comes after is a question of how far the leg reaches, not of what a container holds.
"""
MOST_STRAIN = 0.5
"""Plastic strain of a face up to which plane sections are trusted: that of a wall bent around its own thickness."""


@dataclass(frozen=True)
class Ceilings:
    """Most that is allowed of each movement [mm] and of plastic strain; None: no ceiling."""

    growth: float | None = None
    ring: float | None = None  # drop of the stand of a base, rise of the countersink of an end
    strain: float = MOST_STRAIN


def ceilings(case: Case, ring: Ring | None) -> Ceilings:
    """What the case allows, or what follows from its shape."""
    needs = case.requirements
    found = Ceilings(needs.growth_ceiling, None, needs.strain_ceiling or MOST_STRAIN)
    if ring is None:
        return found
    if ring.ahead:
        growth = needs.growth_ceiling or SHARE_OF_DEPTH * ring.depth
        return replace(found, growth=growth, ring=needs.stand_drop_ceiling)
    return replace(found, ring=needs.countersink_rise_ceiling or SHARE_OF_DEPTH * ring.depth)


def stops_of(case: Case, model: Model, movement: Movement | None = None) -> Stops:
    """What stops the elastic-plastic path of a case; `movement` is that of the model, where it is known already."""
    shell, movement = model.shell, movement or movement_of(model)
    if shell.wall.zones:  # a whole container: its seam is a fold that touches itself from the start
        return Stops((_strained(shell, ceilings(case, None)),), at_limit=True)
    most = ceilings(case, movement.ring)
    moves = [(_travel(case, movement), most.growth), (movement.ring_travel, most.ring)]
    ceiling = [_ceiling(read, allowed) for read, allowed in moves if allowed is not None]
    stops = [
        _strained(shell, most),
        *ceiling,
        Stop(WALLS_TOUCH, lambda point: -least_gap(shell, point.at.x).size),
    ]
    if movement.ring is not None and movement.ring.ahead:
        stops.append(Stop(WALLS_TOUCH, lambda point: _past_the_ring(movement, point)))
    return Stops(tuple(stops), at_limit=not ceiling)


def _travel(case: Case, movement: Movement) -> Callable[[Array], float]:
    """What reads the growth that has a ceiling: under an axial force that of either sense.

    Pressure pushes an apex out; a wall that is pressed comes down past it.
    """
    if case.loads.increasing.is_pressure:
        return movement.growth
    return lambda x: abs(movement.growth(x))


def _strained(shell: Shell, most: Ceilings) -> Stop:
    return Stop(STRAIN_CEILING, lambda point: face_strain(shell, point.at) / most.strain - 1.0)


def _ceiling(read: Callable[[Array], float], allowed: float) -> Stop:
    return Stop(GROWTH_CEILING, lambda point: read(point.at.x) / allowed - 1.0)


def _past_the_ring(movement: Movement, point: PathPoint) -> float:
    """How far the apex has passed the plane that its ring stands on, as a share of the depth."""
    assert movement.ring is not None
    x = point.at.x
    return (movement.growth(x) - movement.ring_travel(x)) / movement.ring.depth - 1.0
