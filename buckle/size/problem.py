"""[size] as a problem of numbers: variables from 0 to 1, what is to be least, and what must not be below nothing."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from buckle.batch.asked import Designs
from buckle.case import Case
from buckle.case.dotted import leaves
from buckle.case.internal import is_number
from buckle.case.keys import Finding
from buckle.case.models import SizeTable
from buckle.case.reader import PARTS, findings_error, read_tables
from buckle.case.values import same_quantity
from buckle.container.container import Container
from buckle.container.reader import STATES
from buckle.errors import CaseError
from buckle.results import Array
from buckle.size.objective import enclosed_volume_of, objective_findings, objective_of
from buckle.size.trial import Trial, required_of, reserve_in, trial_of
from buckle.size.variable import Variable, example_key, inputs_of, variable
from buckle.units import to_unit

VOLUME = "enclosed_volume"


@dataclass(frozen=True)
class Problem:
    """What may move, what is least, and the reserve that every requirement must have.

    `allowance` is what a requirement's reserve must have above that, for what tolerances take off it.
    """

    variables: tuple[Variable, ...]
    table: SizeTable
    asked: float
    lower_counts: bool  # whether the onset of waves by deformation theory is a requirement
    allowance: Mapping[str, float] = field(default_factory=dict)
    margin: float = 0.0  # of every reserve, for what is lost by rounding
    margins: Mapping[str, float] = field(default_factory=dict)  # of some above that, for what another mesh takes off
    level: Mapping[str, Any] = field(default_factory=dict)  # keys of [numerics] with other values than the case's

    def values(self, x: Array) -> dict[str, float]:
        """Return the value of each key at a point of the unit box."""
        return {
            each.key: each.low + float(at) * (each.high - each.low) for each, at in zip(self.variables, x, strict=True)
        }

    def inputs(self, x: Array) -> dict[str, Any]:
        """Return what the case says at a point."""
        return {**inputs_of(self.variables, self.values(x)), **self.level}

    def point(self, values: Mapping[str, float]) -> Array:
        """Return the point of the unit box at which keys have values; outside of it where they do."""
        return np.array([(values[each.key] - each.low) / (each.high - each.low) for each in self.variables])

    @property
    def start(self) -> Array:
        """The case's own values, moved into the box."""
        return np.clip(self.point({each.key: each.value for each in self.variables}), 0.0, 1.0)

    def trials(self, designs: Designs, points: Sequence[Array], *, sure: bool = False) -> list[Trial]:
        """Try several points at once, with their numerical errors if `sure`."""
        inputs = [self.inputs(x) for x in points]
        results = designs.results(inputs, sure=sure)
        return [trial_of(one, each, lower_counts=self.lower_counts) for one, each in zip(inputs, results, strict=True)]

    def spare(self, trial: Trial, names: Sequence[str]) -> Array:
        """Return by how much each requirement's reserve is above what it must be; of the volume as a share of it."""
        return np.array([self._spare(trial, name) for name in names])

    def _spare(self, trial: Trial, name: str) -> float:
        if name == VOLUME:
            least = to_unit(self.table.least_volume or math.nan, "volume", "ml")
            return float(trial.quantities["enclosed_volume_ml"]) / least - 1.0
        return reserve_in(trial, name, math.inf) / self.needed(name) - 1.0

    def volume(self, base: Case | Container) -> float:
        """Return the spare of the enclosed volume; nothing where none is asked for."""
        if self.table.least_volume is None:
            return 0.0
        return (enclosed_volume_of(base) or 0.0) / self.table.least_volume - 1.0

    def needed(self, name: str) -> float:
        """Return the reserve that a requirement must have."""
        return (self.asked + self.allowance.get(name, 0.0)) * (1.0 + self.margin + self.margins.get(name, 0.0))

    def names(self, trial: Trial) -> tuple[str, ...]:
        """Return everything that is required, in the order of a sheet: what any trial may be judged by."""
        volume = [VOLUME] if self.table.least_volume is not None else []
        return (*required_of(trial, lower_counts=self.lower_counts), *volume)

    def objective(self, base: Case | Container) -> float:
        """Return what is to be least [g, mm2, money per thousand]."""
        return objective_of(base, self.table)

    def with_margin(self, margin: float) -> "Problem":
        """Return the same problem with another margin on every reserve."""
        return replace(self, margin=margin)

    def at(self, base: Case | Container, mesh: float, step: float = 1.0) -> "Problem":
        """Return the same problem with meshes and steps that are multiples of those of the case, or of each part."""
        return replace(self, level=dict(_level(base, mesh, step)))


def _level(base: Case | Container, mesh: float, step: float) -> Iterator[tuple[str, float]]:
    """Yield keys of [numerics] with multiples of what the case says; of a container those of every part and state."""
    if isinstance(base, Container):
        for each in base.loaded:
            if each.state and "numerics" not in base.tables[PARTS][each.part][STATES][each.state]:
                continue  # it has the part's
            head = f"{PARTS}.{each.part}.{STATES}.{each.state}." if each.state else f"{PARTS}.{each.part}."
            yield from ((f"{head}{key}", value) for key, value in _level(each.case, mesh, step))
        return
    yield "numerics.mesh_density", mesh * base.numerics.mesh_density
    yield "numerics.step", step * base.numerics.step


def problem_of(base: Case | Container, reserve: float | None = None) -> Problem:
    """Return the problem that [size] puts. Raises CaseError with the line of whatever is wrong in it."""
    table = base.size
    if table is None:
        raise CaseError(f"{base.path}: size: missing; allowed: a table [size] with [size.vary], or --vary KEY")
    findings = list(objective_findings(base, table))
    variables: list[Variable] = []
    entries = leaves(table.vary)
    for key, (path, bounds) in entries.items():
        at = ("size", "vary", *path)
        if not _is_interval(bounds):
            findings.append(Finding(at, "must be [low, high]", bounds, "two numbers, low below high"))
            continue
        twice = next((each.key for each in variables if same_quantity(each.key, key)), None)
        if twice is not None:
            findings.append(Finding(at, f"is the quantity of {twice!r} in another unit", None, "one key for each"))
            continue
        try:
            variables.append(variable(base, key, (float(bounds[0]), float(bounds[1]))))
        except CaseError as error:
            findings.append(Finding(at, str(error).removeprefix(f"{key}: ")))
    if not entries:
        findings.append(Finding(("size", "vary"), "names no key", None, f'"{example_key(base)}" = [0.2, 0.3]'))
    if findings:
        lines = None if base.path is None else read_tables(base.path, "a case")[1]
        raise findings_error(base.path or "case", findings, lines)
    asked = table.reserve_factor if reserve is None else reserve
    return Problem(tuple(variables), table, asked, isinstance(base, Container) or base.requirements.onset != "flow")


def bounds_of(base: Case | Container, key: str) -> tuple[float, float] | None:
    """Return the bounds that [size] gives a key; None where it gives none."""
    _, bounds = leaves(base.size.vary if base.size else {}).get(key, ((), None))
    return (float(bounds[0]), float(bounds[1])) if _is_interval(bounds) else None


def _is_interval(bounds: Any) -> bool:
    return (
        isinstance(bounds, list | tuple)
        and len(bounds) == 2
        and all(map(is_number, bounds))
        and -1e150 < bounds[0] < bounds[1] < 1e150
    )
