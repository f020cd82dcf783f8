"""What a path has to tell beside its numbers, in words."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from buckle.analysis.movement import Movement
from buckle.analysis.strained import face_strain
from buckle.increasing import Increasing
from buckle.results import GROWTH_CEILING, STRAIN_CEILING, WALLS_TOUCH
from buckle.shell.touch import least_gap
from buckle.solve.path import PathPoint
from buckle.solve.trace import Trace
from buckle.units import length_text

Array = NDArray[np.float64]
STOPPED = {
    GROWTH_CEILING: "the ceiling is reached",
    STRAIN_CEILING: "no capacity is counted beyond it",
    WALLS_TOUCH: "what it carries beyond is not computed",
}
"""How the note on what stopped a path ends, by the kind of the event that it is."""
MUCH = 0.05  # plastic strain that may have to do with a path that cannot be followed
DESCRIBED = 2  # limits that are passed, of which more is said than their number
NEARLY = 1e-3  # of the thickness: a gap by which a wall touches itself


def notes_of(trace: Trace, movement: Movement) -> tuple[str, ...]:
    """Notes on limits that are passed, on what stopped the path, and on what could not be followed."""
    return (*_passed(trace, movement), *_stopped(trace, movement), *_broken(trace))


def strained(trace: Trace) -> str:
    """Where and how much metal was strained when a path broke off, if that is what may have broken it."""
    last = trace.points[-1]
    history = last.at.history
    if history is None or face_strain(trace.shell, last.at) < MUCH:
        return ""
    s = float(trace.shell.elements.s[np.argmax(history.equivalent.max(axis=1))])
    most = f"{history.equivalent.max():.0%} of plastic strain in {_named(trace, s)}"
    return f", with {most}: it may be tearing there"


def _passed(trace: Trace, movement: Movement) -> Iterator[str]:
    """Yield notes on the first limits below the highest load: how deep the path dips and how far the body moves."""
    points, passed = trace.points, [each for each in trace.limits if each.load_factor < trace.highest.load_factor]
    if len(passed) > DESCRIBED:
        yield f"{len(passed)} limits are passed; the first are told"
    for limit in passed[:DESCRIBED]:
        after = points[1 + next(at for at, point in enumerate(points) if point.load_factor == limit.load_factor) :]
        onward = next((at for at, point in enumerate(after) if point.load_factor > limit.load_factor), None)
        if onward is None:
            continue
        increasing = trace.model.load.increasing
        dip = increasing.amount(limit.load_factor - min(point.load_factor for point in (limit, *after[:onward])))
        regained = _regained((limit, *after)[onward], after[onward], limit.load_factor)
        moved = length_text(movement.growth(regained) - movement.growth(limit.at.x))
        passed_at = passing(increasing, limit.load_factor)
        yield f"{passed_at}: it is {dip} deep, the body moves {moved}, then {increasing.words} rises on"


def passing(increasing: Increasing, load: float) -> str:
    """Return how the note on a limit that is passed begins."""
    return f"a limit at {increasing.text(load)} is passed"


def _regained(before: PathPoint, after: PathPoint, load: float) -> Array:
    """Displacements where a load between those of two states is reached."""
    share = (load - before.load_factor) / (after.load_factor - before.load_factor)
    return before.at.x + share * (after.at.x - before.at.x)


def _stopped(trace: Trace, movement: Movement) -> Iterator[str]:
    """Yield what stopped the path where that is what decides."""
    last = trace.points[-1]
    if trace.stopped is None or trace.highest is not last:
        return
    if trace.stopped.kind == GROWTH_CEILING:
        apex = f"the apex has moved by {length_text(movement.growth(last.at.x))}"
        yield f"{apex}{_ring(movement, last)}: {STOPPED[GROWTH_CEILING]}"
    if trace.stopped.kind == STRAIN_CEILING:
        yield f"plastic strain has reached {face_strain(trace.shell, last.at):.0%}: {STOPPED[STRAIN_CEILING]}"
    if trace.stopped.kind == WALLS_TOUCH:
        yield f"the wall touches itself, {_where(trace, last)}: {STOPPED[WALLS_TOUCH]}"


def _ring(movement: Movement, point: PathPoint) -> str:
    if movement.ring is None:
        return ""
    name = "stand" if movement.ring.ahead else "countersink"
    return f", the {name} by {length_text(movement.ring_travel(point.at.x))}"


def _where(trace: Trace, point: PathPoint) -> str:
    gap = least_gap(trace.shell, point.at.x)
    if gap.size > NEARLY * float(trace.shell.elements.station.thickness.max()):
        return "or the dome the plane that the body stands on"
    return " on ".join(_named(trace, s) for s in gap.arcs)


def _named(trace: Trace, s: float) -> str:
    name = trace.shell.elements.mesh.meridian.piece_at(s).name
    return name if name else f"the place {length_text(s)} along the meridian"


def _broken(trace: Trace) -> Iterator[str]:
    if trace.end is not None and trace.limits:
        yield f"beyond its limit the path is not decided ({trace.end.reason}): the limit counts"
