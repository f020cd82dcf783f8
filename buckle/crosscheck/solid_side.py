"""The path of a case as a solid of revolution: followed until what stops the shell's stops it too."""

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from buckle.analysis.setup import KINDS, load_of
from buckle.analysis.stops import ceilings
from buckle.case import Case, refusal
from buckle.crosscheck.side import Side
from buckle.errors import SolveError, UnfitError
from buckle.results import BIFURCATION, GROWTH_CEILING, LIMIT_POINT, STRAIN_CEILING, WALLS_TOUCH, Event
from buckle.solid.metal import EngineeringMetal, LogarithmicMetal
from buckle.solid.model import Fineness, Load, Solid, build_solid
from buckle.solid.movement import Movement, movement_of
from buckle.solid.newton import Steps
from buckle.solid.onset import Onset, find_onsets
from buckle.solid.shear import shear_share
from buckle.solid.state import State
from buckle.solid.strained import face_strain
from buckle.solid.touch import least_gap
from buckle.solid.trace import SolidPath, Until, solid_path
from buckle.units import pressure_text

FALLEN = 0.05
"""Fall of pressure after which a limit counts as the highest pressure of a body that may yet carry more: the deepest
dip that the shell passed on 200 random bases was 1.3 % deep, and on 200 random ends none was passed."""
ENDED = 0.02  # the same where a limit alone ends the path
FARTHER = 1.5  # times the growth at which the shell has its limit: an elastic solid is followed so far

Say = Callable[[str], None]


@dataclass(frozen=True)
class Grain:
    """How finely the solid is divided and stepped."""

    fineness: Fineness = field(default_factory=Fineness)
    steps: Steps = field(default_factory=Steps)

    def refined(self, factor: float) -> "Grain":
        """Return elements shorter, and thinner to an even number of them, and steps shorter by a factor."""
        shorter = self.fineness.refined(factor)
        layers = 2 * round(0.5 * factor * self.fineness.layers)
        return Grain(replace(shorter, layers=layers), self.steps.scaled(1.0 / factor))


@dataclass(frozen=True)
class Mark:
    """An event that stops the path where a measure of the state reaches a value."""

    event: str
    measure: Callable[[State], float]
    value: float


def solid_of(case: Case, kind: str, fineness: Fineness) -> Solid:
    """Make a solid of a case, loaded at its mid-surface as the shell is; raises CaseError for what it cannot be."""
    if case.supports.stand is not None:
        raise refusal(case, ("supports", "stand"), "the solid stands on no ring", "leave it out, or the shell alone")
    plastic = KINDS[kind].plastic
    metal = LogarithmicMetal(case.material) if plastic else EngineeringMetal(replace(case.material, hardening=None))
    shell = load_of(case)
    load = Load(shell.side, shell.follower, "middle", shell.end_thrust, shell.force(1.0))
    edges = (case.supports.start_edge, case.supports.outer_edge)
    try:
        return build_solid(case.meridian, metal, edges, load, fineness)
    except UnfitError as error:
        raise refusal(case, (error.table, error.key), error.reason, error.remedy) from error


def solid_side(case: Case, solid: Solid, shell: Side, grain: Grain, say: Say) -> Side:
    """Follow the path of a solid; pressures are read at the growths of the shell."""
    begun = time.perf_counter()
    try:
        side = _side(case, solid, shell, grain, say)
    except SolveError as error:
        side = Side(trouble=error.reason)
    return replace(side, seconds=time.perf_counter() - begun)


def _side(case: Case, solid: Solid, shell: Side, grain: Grain, say: Say) -> Side:
    movement = movement_of(solid)
    marks, at_limit = _marks(case, movement, shell)
    until = Until(
        drop=ENDED if at_limit else FALLEN,
        passed=lambda state: any(mark.measure(state) >= mark.value for mark in marks),
    )
    followed = solid_path(solid, until, grain.steps, lambda state: say(f"solid at {pressure_text(state.pressure)}"))
    path, stopped = _stopped(followed, marks)
    if at_limit and path.limit is not None:
        path = path.up_to(path.limit)
    top = path.rising[-1]
    side = Side(
        limit=None if path.limit is None else Event(LIMIT_POINT, path.limit.pressure),
        highest=_highest(path, stopped),
        reached=top.pressure,
        growth_at_highest=movement.growth(top),
        at_growth=dict(_at_growths(followed, movement, shell.at_growth)),
        settings=_settings(solid, path),
        trouble="" if path.end is None else path.end.reason,
        shear_share=shear_share(solid, top) if solid.metal.flows else None,
    )
    if side.highest is not None:  # decided, whatever came after it
        side = replace(side, trouble="")
    if "free" in solid.edges:
        return replace(side, watched=False, notes=("no waves of a solid with a free edge",))
    say("waves of the solid")
    return _with_onsets(side, path, case)


def _marks(case: Case, movement: Movement, shell: Side) -> tuple[list[Mark], bool]:
    """What stops the path, and whether a limit alone does, as with the shell (`stops_of`).

    An elastic body has nothing but a limit; one without is followed a little farther than it is compared.
    """
    if not movement.solid.metal.flows:
        return [Mark("", movement.growth, FARTHER * shell.growth_at_highest or np.inf)], True
    most, ring = ceilings(case, movement.ring), movement.ring
    moves = [(movement.growth, most.growth), (movement.ring_travel, most.ring)]
    ceiling = [Mark(GROWTH_CEILING, read, allowed) for read, allowed in moves if allowed is not None]
    marks = [
        Mark(STRAIN_CEILING, lambda state: face_strain(movement.solid, state), most.strain),
        Mark(WALLS_TOUCH, lambda state: -least_gap(movement.solid, state), 0.0),
        *ceiling,
    ]
    if ring is not None and ring.ahead:
        past = Mark(WALLS_TOUCH, lambda state: movement.growth(state) - movement.ring_travel(state), ring.depth)
        marks.append(past)
    return marks, not ceiling


def _stopped(path: SolidPath[Solid], marks: Sequence[Mark]) -> tuple[SolidPath[Solid], str]:
    """The path up to the first mark that its last state has passed, and the event; the path as it is if there is none.

    Raises SolveError where the mark cannot be placed.
    """
    last = path.states[-1]
    met = [mark for mark in marks if mark.measure(last) >= mark.value]
    if not met:
        return path, ""
    states = [(path.at(mark.measure, mark.value, mark.event), mark.event) for mark in met]
    state, event = min(states, key=lambda pair: pair[0].arc)
    return path.up_to(state), event


def _highest(path: SolidPath[Solid], stopped: str) -> Event | None:
    """The highest pressure if it is a limit or the path has come to a stop; none where the path broke off before.

    A path that is level up to its stop, to a thousandth, ends there (`trace.SHALLOW`).
    """
    top = path.rising[-1]
    if any(limit.arc == top.arc for limit in path.limits):
        return Event(LIMIT_POINT, top.pressure)
    return Event(stopped, top.pressure) if stopped else None


def _at_growths(path: SolidPath[Solid], movement: Movement, growths: Iterable[float]) -> Iterator[tuple[float, float]]:
    """Yield the growths [mm] that the path comes to, with the pressure [MPa] at the first such state."""
    for growth in growths:
        try:
            yield growth, path.at(movement.growth, growth, f"{growth:g} mm of growth").pressure
        except SolveError:  # the path does not come so far
            continue


def _with_onsets(side: Side, path: SolidPath[Solid], case: Case) -> Side:
    low, high = case.analyses.wave_numbers
    try:
        flow, lower = find_onsets(path, range(low, high + 1))
    except SolveError as error:
        return replace(side, watched=False, trouble=side.trouble or error.reason)
    return replace(side, onset=_event(flow), lower_onset=_event(lower) if path.solid.metal.flows else None)


def _event(onset: Onset | None) -> Event | None:
    return None if onset is None else Event(BIFURCATION, onset.pressure, onset.wave_number)


def _settings(solid: Solid, path: SolidPath[Solid]) -> dict[str, object]:
    """Discretisation in words and numbers."""
    elements = solid.elements
    return {
        "elements": len(elements.nodes),
        "degree": 2,
        "layers": len(np.flatnonzero(elements.s == elements.s[-1])) // 2,
        "unknowns": solid.size,
        "steps": len(path.states) - 1,
        "strain": "logarithmic" if isinstance(solid.metal, LogarithmicMetal) else "engineering",
        "pressure_on": "mid-surface",
        "supports": {name: edge for name, edge in zip(("start", "outer"), solid.edges, strict=True) if edge},
    }
