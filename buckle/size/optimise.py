"""The search: sequential quadratic programming from one start, on derivatives by differences that run in parallel.

SLSQP of scipy (D. Kraft, A software package for sequential quadratic programming, DFVLR-FB 88-28, 1988; from memory).
What a path ends in may change from design to design, so that each requirement is a constraint of its own: where one
takes over from another the least reserve has a kink, and none of its parts has.
"""

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from scipy.optimize import minimize

from buckle.batch.asked import Designs
from buckle.batch.reserves import RESERVE, SLOPE, capacity_of
from buckle.errors import CaseError
from buckle.results import Array
from buckle.size.problem import VOLUME, Problem
from buckle.size.trial import Trial

STEP = 0.02
"""Of a variable's interval, to either side: reserves scatter by some 1e-4 as meshes change, and change by more."""
BODY_STEP = 1e-4
"""The same of what needs no analysis, which is smooth."""
ITERATIONS = 25
PRECISION = 2e-4
"""Share of what is least by which it must still become less in a step, or the search ends; half a per cent is asked."""
SLACK = 2e-4
"""Of a reserve: what a search may end short of, being no nearer than its derivatives are known; the margin is more."""
MOST = 40
"""Designs that a search looks at beside those of its derivatives: one caught where reserves end asks for ever more."""
SAME = 7
"""Digits of a point of the unit box: no drawing tells designs apart that agree in these."""
OUT = -1.0
"""What a design without reserves has to spare of each: far less than any that has some."""


@dataclass(frozen=True)
class Visit:
    """A point that was looked at, with what is to be least there and what each requirement has to spare."""

    x: Array
    objective: float  # NaN where no case can be made
    trial: Trial
    spare: Array

    @property
    def holds(self) -> bool:
        """Whether every requirement is met."""
        return self.trial.judged and bool(np.all(self.spare >= -SLACK))


@dataclass(frozen=True)
class Slopes:
    """Derivatives by each variable: of what is least (variables,), of the spares (requirements, variables)."""

    objective: Array
    spare: Array


@dataclass
class Search:
    """One search: what it looked at, in order."""

    problem: Problem
    designs: Designs
    names: tuple[str, ...]
    scale: float
    central: bool = True  # differences to both sides; to one they cost half, and curvature is in them
    visits: list[Visit] = field(default_factory=list)
    _known: dict[bytes, Visit] = field(default_factory=dict)
    _slopes: dict[bytes, Slopes] = field(default_factory=dict)

    def visit(self, x: Array) -> Visit:
        """Look at a point."""
        key = _rounded(x)
        if key not in self._known:
            self._known[key] = self._visits([x])[0]
            self.visits.append(self._known[key])
        return self._known[key]

    def _visits(self, points: Sequence[Array]) -> list[Visit]:
        trials = self.problem.trials(self.designs, points)
        return [self._made(x, trial) for x, trial in zip(points, trials, strict=True)]

    def _made(self, x: Array, trial: Trial) -> Visit:
        spare = self.problem.spare(trial, self.names) if trial.judged else np.full(len(self.names), OUT)
        return Visit(x, self._objective(x), trial, np.minimum(spare, 1e3))

    def _objective(self, x: Array) -> float:
        try:
            return self.problem.objective(self.designs.case(self.problem.inputs(x)))
        except CaseError:
            return float("nan")

    def slopes(self, x: Array) -> Slopes:
        """Return derivatives at a point by differences, to one side where the other has no reserves."""
        key = _rounded(x)
        if key not in self._slopes:
            self._slopes[key] = self._exact(x) or self._differences(x)
        return self._slopes[key]

    def _exact(self, x: Array) -> Slopes | None:
        """Return derivatives that the analysis itself knows; None where it does not know all of them."""
        problem, keys = self.problem, [each.key for each in self.problem.variables]
        if not self.visit(x).trial.judged:
            return None
        found = self.designs.slopes(problem.inputs(x), keys).quantities
        known = {
            name: [found.get(f"{SLOPE}{name} {key}") for key in keys]
            for name in self.names
            if f"{RESERVE}{name}" in found
        }
        capacities = {capacity_of(name) for name in self.names if name != VOLUME}
        if not capacities <= known.keys() or any(one is None for row in known.values() for one in row):
            return None
        widths = np.array([each.high - each.low for each in problem.variables])
        try:
            objective, volume = self._of_body(x)
        except CaseError:  # at the edge of what can be made
            return None
        derived = {name: known.get(name) or known[capacity_of(name)] for name in self.names if name != VOLUME}
        rows = [
            volume if name == VOLUME else widths * np.array(derived[name]) / problem.needed(name) for name in self.names
        ]
        return Slopes(objective, np.array(rows, dtype=np.float64))

    def _of_body(self, x: Array) -> tuple[Array, Array]:
        """Return derivatives of what follows from the body alone: what is least, and the spare of its volume."""
        ends = [[np.clip(x + sign * BODY_STEP * row, 0.0, 1.0) for sign in (-1.0, 1.0)] for row in np.eye(len(x))]
        found = [[self._body(end) for end in pair] for pair in ends]
        widths = np.array([float((high - low).sum()) for low, high in ends])
        values = np.array(found)
        slopes = (values[:, 1] - values[:, 0]) / widths[:, None]
        return slopes[:, 0], slopes[:, 1]

    def _body(self, x: Array) -> tuple[float, float]:
        case = self.designs.case(self.problem.inputs(x))
        return self.problem.objective(case), self.problem.volume(case)

    def _differences(self, x: Array) -> Slopes:
        middle, steps = self.visit(x), STEP * np.eye(len(x))
        if self.central:
            visits = self._visits([np.clip(x + sign * step, 0.0, 1.0) for step in steps for sign in (-1.0, 1.0)])
        else:  # inwards, where there is room
            ends = self._visits([x - step if at > 0.5 else x + step for at, step in zip(x, steps, strict=True)])
            pairs = [(end, middle) if at > 0.5 else (middle, end) for at, end in zip(x, ends, strict=True)]
            visits = [each for pair in pairs for each in pair]
        columns = [
            _slope(middle, below, above, at)
            for at, (below, above) in enumerate(zip(visits[::2], visits[1::2], strict=True))
        ]
        return Slopes(np.array([each[0] for each in columns]), np.column_stack([each[1] for each in columns]))

    def run(self, start: Array, precision: float = PRECISION) -> None:
        """Search from a start."""
        limits = {"maxiter": ITERATIONS, "ftol": precision}
        count = len(self.visits) + MOST
        constraint = {"type": "ineq", "fun": self._spare, "jac": lambda x: self.slopes(x).spare}
        with suppress(StopIteration):  # raised by what scipy calls, which it hands on
            self._minimised(start, constraint, limits, count)

    def _minimised(self, start: Array, constraint: Mapping[str, Any], limits: Mapping[str, Any], count: int) -> None:
        """Minimise, until so many designs were looked at."""

        def value(x: Array) -> float:
            if len(self.visits) >= count:
                raise StopIteration
            return self._value(x)

        minimize(
            value,
            start,
            jac=lambda x: self.slopes(x).objective / self.scale,
            bounds=[(0.0, 1.0)] * len(start),
            constraints=[constraint],
            method="SLSQP",
            options=limits,
        )

    def _value(self, x: Array) -> float:
        found = self.visit(np.clip(x, 0.0, 1.0)).objective / self.scale
        return found if np.isfinite(found) else 10.0

    def _spare(self, x: Array) -> Array:
        return self.visit(np.clip(x, 0.0, 1.0)).spare


def _rounded(x: Array) -> bytes:
    return (np.round(x, SAME) + 0.0).tobytes()


def _slope(middle: Visit, below: Visit, above: Visit, at: int) -> tuple[float, Array]:
    """Return the derivatives by one variable, nil where neither side has reserves."""
    low = below if below.trial.judged else middle
    high = above if above.trial.judged else middle
    width = high.x[at] - low.x[at]
    if width <= 0.0:
        return 0.0, np.zeros(len(middle.spare))
    return (high.objective - low.objective) / width, (high.spare - low.spare) / width


def best_of(visits: Sequence[Visit]) -> Visit | None:
    """Return the visit with the least objective of those at which everything is met."""
    return min((each for each in visits if each.holds), key=lambda each: each.objective, default=None)
