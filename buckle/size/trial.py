"""One design that was tried: what it was judged by, as numbers."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from buckle.batch.reserves import (
    AT_LEAST,
    CAPACITY,
    DECIDES,
    DEMAND,
    LOWER,
    ONSET,
    RESERVE,
    WAVES,
    alone,
    capacity_of,
    in_words,
    of_part,
    part_of,
)
from buckle.batch.whole import WITHOUT_ANSWER
from buckle.case import Case
from buckle.container.container import Container
from buckle.store import Result, RowStatus


@dataclass(frozen=True)
class Trial:
    """Reserves of a design by requirement, and why it has none where it has none.

    The onset of waves is not met below the capacity where a path has none, so that its reserve is at least the
    capacity's: with that in its place no reserve jumps where an onset vanishes.
    """

    inputs: Mapping[str, Any]
    status: RowStatus
    reason: str = ""
    reserves: Mapping[str, float] = field(default_factory=dict)
    demands: Mapping[str, float] = field(default_factory=dict)  # bar or N
    bounds: frozenset[str] = frozenset()  # requirements whose reserve is known to be no lower, and not more
    quantities: Mapping[str, Any] = field(default_factory=dict)

    @property
    def judged(self) -> bool:
        """Whether it has reserves."""
        return bool(self.reserves)

    @property
    def least(self) -> float | None:
        """The least reserve of all requirements that decide; None where the design has none.

        The onset by deformation theory is one of them only where the case says so; elsewhere it is a doubt.
        """
        return min(self.reserves.values(), default=None)

    @property
    def least_of(self) -> str:
        """The requirement with the least reserve."""
        return min(self.reserves, key=lambda name: self.reserves[name], default="")

    @property
    def governing(self) -> str:
        """The limit state that governs, in the words of a sheet."""
        return str(self.quantities.get("governing_limit_state", in_words(self.least_of)))

    @property
    def lower_bracket(self) -> float | None:
        """Reserve of the onset of waves by deformation theory where it is a doubt."""
        found = self.quantities.get(f"{RESERVE}{LOWER}")
        return None if found is None or LOWER in self.reserves else float(found)


def trial_of(inputs: Mapping[str, Any], result: Result, *, lower_counts: bool) -> Trial:
    """Return the trial of a result; `lower_counts` where the onset by deformation theory decides in whatever part."""
    named = result.quantities
    reserves = {name.removeprefix(RESERVE): float(value) for name, value in named.items() if name.startswith(RESERVE)}
    demands = {name.removeprefix(DEMAND): float(value) for name, value in named.items() if name.startswith(DEMAND)}
    bounds = frozenset(name.removeprefix(AT_LEAST) for name in named if name.startswith(AT_LEAST))
    if not lower_counts:
        reserves = {
            name: each for name, each in reserves.items() if alone(name) != LOWER or f"{DECIDES}{name}" in named
        }
    if result.status in WITHOUT_ANSWER:
        reserves = {}
    if ONSET in reserves and CAPACITY not in reserves:  # the path broke off in waves: the capacity is no lower
        reserves[CAPACITY] = reserves[ONSET]
        demands[CAPACITY] = demands[ONSET]
    return Trial(dict(inputs), result.status, result.reason, reserves, demands, bounds, dict(named))


def required_of(trial: Trial, *, lower_counts: bool) -> tuple[str, ...]:
    """Return everything that is required, part by part, in the order of a sheet: what any trial may be judged by."""
    waves = (ONSET, LOWER) if lower_counts else (ONSET,)
    first = (CAPACITY, *waves)
    names: list[str] = []
    for part in dict.fromkeys(part_of(name) for name in trial.reserves):
        own = [of_part(part, name) for name in first]
        names += [*own, *(name for name in trial.reserves if part_of(name) == part and name not in own)]
    return tuple(names)


def reserve_in(trial: Trial, name: str, otherwise: float) -> float:
    """Return the reserve of a requirement: of an onset that a path has none of, at least that of the capacity."""
    stands = trial.reserves.get(capacity_of(name), otherwise) if alone(name) in (ONSET, LOWER, WAVES) else otherwise
    return trial.reserves.get(name, stands)


def lower_decides(base: Case | Container) -> bool:
    """Tell whether the onset by deformation theory is what a verdict rests on; of a container each part says it."""
    return not isinstance(base, Container) and base.requirements.onset == "deformation"
