"""Whether a record says of paths and waves what the tables beside it do: path.csv and by_wave_number.csv."""

import csv
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from buckle.analysis.most import MOST
from buckle.case import Case
from buckle.record.tables import wave_table
from buckle.results import Allowed, Growth, Outcome, Status
from buckle.units import PER_MPA

PATHS, WAVES = "path.csv", "by_wave_number.csv"
DIGITS = 1e-9
"""Parts in one: tables have ten digits."""
BETWEEN = 0.25
"""Of what two neighbours in a table differ by: how far a state between them may lie beyond either on a bent path.
On 162 states of demo, benchmark and random bodies it is 4 % at most (measured)."""
FACE = 1.5
"""Times the largest plastic strain of a layer: more than a straight line through two layers makes of it at a face."""
LESS = 1.1
"""Times a plastic strain that one at a lower load may have: it never becomes less, but steps to both differ."""
NOTHING = 1e-6
"""mm that two zeros may differ by."""
UNDONE = 1e-4
"""mm more that may stay than there was: as much as Newton leaves undone when a load is taken off."""


@dataclass(frozen=True)
class State:
    """A state of a path: load [MPa] or [N], movements [mm], largest plastic strain of a layer."""

    load: float
    growth: float
    stand_drop: float | None
    strain: float


def path_disagreements(directory: Path, case: Case, outcomes: Sequence[Outcome]) -> Iterator[str]:
    """Yield what the tables beside a record say otherwise; that these are the ones that the run wrote has been seen."""
    try:
        yield from _wave_disagreements(directory / WAVES, outcomes)
        paths = _paths(directory / PATHS, case)
    except (OSError, ValueError, KeyError):
        yield f"{PATHS} or {WAVES}: is no table of this run"
        return
    for outcome in outcomes:
        states = paths.get(outcome.kind, [])
        if states:
            yield from _event_disagreements(outcome, states)
            yield from _movement_disagreements(case, outcome, states)
        elif outcome.status is Status.SOLVED and outcome.kind not in ("LA", "LBA") and not outcome.in_waves:
            yield f"{PATHS}: has no path of {outcome.kind}"


def _wave_disagreements(path: Path, outcomes: Sequence[Outcome]) -> Iterator[str]:
    """Yield that the record of linear bifurcations is not the table's. Raises OSError, ValueError."""
    own = _numbers(wave_table(outcomes))
    if own and not _alike(own, _numbers(path.read_text(encoding="utf-8"))):
        yield f"LBA.by_wave_number: is not what {WAVES} has"


def _numbers(text: str) -> list[list[str]]:
    return list(csv.reader(text.splitlines()))


def _alike(own: Sequence[Sequence[str]], kept: Sequence[Sequence[str]]) -> bool:
    """Tell whether two tables of kind, wave number and load are the same. Raises ValueError."""
    if len(own) != len(kept) or own[0] != kept[0]:
        return False
    pairs = zip(own[1:], kept[1:], strict=True)
    return all(
        one[:2] == other[:2] and math.isclose(float(one[2]), float(other[2]), rel_tol=DIGITS) for one, other in pairs
    )


def _paths(path: Path, case: Case) -> Mapping[str, list[State]]:
    """Return the states of every path by its analysis. Raises OSError, ValueError, KeyError."""
    found: dict[str, list[State]] = {}
    if path.exists():
        for row in csv.DictReader(path.read_text(encoding="utf-8").splitlines()):
            found.setdefault(row["kind"], []).append(_state(row, case))
    return found


def _state(row: Mapping[str, str], case: Case) -> State:
    load, drop = case.loads.increasing, row["stand_drop_mm"]
    recorded = float(row[load.key])
    size = recorded / PER_MPA if load.is_pressure else load.sense * recorded
    return State(size, float(row["growth_mm"]), float(drop) if drop else None, float(row["largest_plastic_strain"]))


def _event_disagreements(outcome: Outcome, states: Sequence[State]) -> Iterator[str]:
    """Yield limits and stops that are no states of their path."""
    for event in (outcome.limit, outcome.peak):
        if event is not None and not any(math.isclose(event.load, each.load, rel_tol=DIGITS) for each in states):
            yield f"{outcome.kind}: {event.kind} at {outcome.increasing.text(event.load)} is no state of {PATHS}"


# Movement and strain --------------------------------------------------------------------------------------------------


def _movement_disagreements(case: Case, outcome: Outcome, states: Sequence[State]) -> Iterator[str]:
    """Yield movements and strains that lie on no such path.

    Of a set of deviated shapes the table is that of the one that carries least, and others move farther under a load.
    """
    rising, farther = _rising(states), MOST in outcome.notes
    at_capacity = () if outcome.at_capacity is None else (outcome.at_capacity,)
    moved = (*outcome.growth, *at_capacity)
    for each in moved:
        around, where = _around(rising, each.load), _where(outcome, each.load)
        if around is None:
            yield f"{where}: is beyond {PATHS}"
        elif not (_is_as_far(each, around) if farther and each in outcome.growth else _lies_between(each, around)):
            yield f"{where}: is not between its neighbours in {PATHS}"
        if each.permanent is not None and each.permanent > each.loaded + UNDONE:
            yield f"{where}: more stays than there was"
    for before, after in pairwise(sorted(outcome.growth if farther else moved, key=lambda each: each.load)):
        if any(one > LESS * other for one, other in zip(_strains(before), _strains(after), strict=True)):
            yield f"{_where(outcome, after.load)}: plastic strain is less than at a lower load"
    for allowed in outcome.allowed:
        around = None if allowed.load is None else _around(rising, allowed.load)
        if around is not None and not _is_reached(allowed, around, sooner=farther):
            yield f"{_where(outcome, allowed.load or 0.0)}: the {allowed.quantity} allowed is not reached in {PATHS}"


def _where(outcome: Outcome, load: float) -> str:
    return f"{outcome.kind} at {outcome.increasing.text(load)}"


def _rising(states: Sequence[State]) -> list[State]:
    """States at which the load is higher than ever before."""
    kept = list(states[:1])
    for each in states[1:]:
        if each.load > kept[-1].load:
            kept.append(each)
    return kept


def _around(rising: Sequence[State], load: float) -> tuple[State, State] | None:
    """The neighbours of a load on a rising path; twice the state that has it; None beyond the path."""
    at = next((each for each in rising if math.isclose(each.load, load, rel_tol=DIGITS)), None)
    if at is not None:
        return at, at
    return next(((one, other) for one, other in pairwise(rising) if one.load <= load <= other.load), None)


def _lies_between(each: Growth, around: tuple[State, State]) -> bool:
    """Tell whether movements lie between those of two states, and strains are no larger than the second's allow."""
    low, high = around
    if (each.stand_drop is None) != (high.stand_drop is None):
        return False
    drops = each.stand_drop is None or _within(each.stand_drop, low.stand_drop or 0.0, high.stand_drop or 0.0)
    face, middle = _strains(each)
    most = DIGITS + high.strain * (1.0 + DIGITS)
    return drops and _within(each.loaded, low.growth, high.growth) and face <= FACE * most and middle <= most


def _is_as_far(each: Growth, around: tuple[State, State]) -> bool:
    """Tell whether a body moves no less than the less of two states."""
    low, high = around
    return each.loaded >= min(low.growth, high.growth) - BETWEEN * abs(high.growth - low.growth) - NOTHING


def _within(value: float, one: float, other: float) -> bool:
    beyond = BETWEEN * abs(other - one) + DIGITS * max(abs(one), abs(other)) + NOTHING
    return min(one, other) - beyond <= value <= max(one, other) + beyond


def _strains(each: Growth) -> tuple[float, float]:
    return each.face_strain or 0.0, each.middle_strain or 0.0


def _is_reached(each: Allowed, around: tuple[State, State], *, sooner: bool) -> bool:
    """Tell whether a movement that is allowed is one between two states, or more where another shape has it sooner.

    Movements that are not in the table are believed.
    """
    low, high = (getattr(state, each.quantity, None) for state in around)
    if low is None or high is None:
        return True
    return (sooner and each.allowed >= max(low, high)) or _within(each.allowed, low, high)
