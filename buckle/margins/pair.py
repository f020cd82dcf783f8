"""A hand value beside a computed event, and what the analyses found that can tell why the two differ."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from buckle.case import Case
from buckle.case.models import like
from buckle.formulas.base import Formula
from buckle.results import GROWTH_CEILING, WALLS_TOUCH, WIDEN, Event, Outcome, PathStates
from buckle.shapes import FAMILIES, Family


@dataclass(frozen=True)
class Pair:
    """A formula that has a value, the event of an analysis it stands beside, and all outcomes of the case by kind.

    `others` are all formulas beside that analysis.
    """

    case: Case
    kind: str
    event: Event
    formula: Formula
    outcomes: Mapping[str, Outcome]
    others: tuple[Formula, ...] = ()

    @property
    def hand(self) -> float:
        """The formula's value [MPa] or [N]."""
        assert self.formula.value is not None
        return self.formula.value

    @property
    def computed(self) -> float:
        """Load of the event [MPa] or [N]."""
        return self.event.load

    @property
    def family(self) -> Family:
        """What is known of all bodies of the case's family."""
        return FAMILIES[self.case.family]

    @property
    def outcome(self) -> Outcome:
        """What the analysis found that the event belongs to."""
        return self.outcomes[self.kind]

    @property
    def like(self) -> str:
        """The kind of analysis, were the shape perfect."""
        return like(self.kind)

    @property
    def linear(self) -> float | None:
        """Lowest linear bifurcation [MPa] or [N]; None if it was not run or found none."""
        return _capacity(self.outcomes.get("LBA"))

    @property
    def mechanism(self) -> float | None:
        """Plastic limit at small displacements [MPa] or [N]; None if it was not run or found none."""
        return _capacity(self.outcomes.get("MNA"))

    @property
    def elastic(self) -> float | None:
        """What the elastic path carries [MPa] or [N]; None if it was not run or met no event.

        Where a ceiling on movement or walls that touch stop the elastic-plastic path, the elastic one counts up to the
        same movement.
        """
        if self.like == "GNA":
            return self.computed
        outcome = self.outcomes.get("GNA")
        if outcome is None or self.event.kind not in (GROWTH_CEILING, WALLS_TOUCH):
            return _capacity(outcome)
        reached = _up_to(outcome.path, self.outcome.path, self.computed)
        onset = outcome.bifurcation
        return reached if reached is None or onset is None else min(reached, onset.load)

    @property
    def elastic_outcome(self) -> Outcome | None:
        """What the elastic path found; None if none was followed."""
        return self.outcome if self.like == "GNA" else self.outcomes.get("GNA")

    @property
    def doubt(self) -> float:
        """Sum of the estimated relative errors of all capacities."""
        found = (outcome.capacity for outcome in self.outcomes.values())
        return sum(0.01 * (event.error_percent or 0.0) for event in found if event is not None)

    @property
    def forced(self) -> bool:
        """Whether an axial force acts beside the pressure, which no formula of a pressure knows."""
        return self.case.loads.increasing.is_pressure and self.case.loads.axial_force != 0.0


def cut_off(outcome: Outcome) -> bool:
    """Tell whether waves outside the range examined have begun, so that what was computed is too high."""
    return any(WIDEN in note for note in outcome.notes)


def _capacity(outcome: Outcome | None) -> float | None:
    return None if outcome is None or outcome.capacity is None else outcome.capacity.load


def _up_to(elastic: PathStates | None, plastic: PathStates | None, load: float) -> float | None:
    """Highest load of an elastic path before it moves further than an elastic-plastic one at a load."""
    if elastic is None or plastic is None:
        return None
    at = int(np.argmin(np.abs(plastic.load - load)))
    within = elastic.growth <= plastic.growth[at]
    if elastic.stand_drop is not None and plastic.stand_drop is not None:
        within &= elastic.stand_drop <= plastic.stand_drop[at]
    highest = float(np.max(elastic.load, where=within, initial=0.0))
    return highest if highest > 0.0 else None
