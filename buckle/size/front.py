"""What more reserve, or less growth, costs: the lightest designs for a row of what is asked, each from the last one."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from buckle.batch.asked import Designs
from buckle.container.container import Container
from buckle.results import Array
from buckle.size.optimise import Search, Visit
from buckle.size.polish import polished
from buckle.size.problem import Problem
from buckle.size.sizing import Sized, rounded_point

MORE_RESERVE = 1.25
"""Times the reserve factor that is asked: the far end of the front."""
LESS_GROWTH = 0.5
"""Times the growth that is allowed."""
GROWTH = "requirements.growth_mm"


@dataclass(frozen=True)
class OnFront:
    """The lightest design for a reserve factor and an allowed growth [mm], None where the case limits none."""

    number: int
    asked: float
    growth: float | None
    inputs: Mapping[str, Any]
    visit: Visit

    @property
    def holds(self) -> bool:
        """Whether it meets what is asked."""
        return self.visit.holds


def front_of(designs: Designs, sized: Sized, count: int) -> tuple[OnFront, ...]:
    """Return numbered designs: `count` reserve factors up, and as many allowed growths down where growth is limited.

    Of a container, whose parts each limit a growth of their own, there is the first row alone. A row ends with the
    first design that does not meet what is asked, which is left out.
    """
    base, asked = designs.base, sized.problem.asked
    growth = None if isinstance(base, Container) else base.requirements.growth
    first = OnFront(1, asked, growth, sized.problem.inputs(sized.visit.x), sized.visit)
    found = [first]
    reserves = [replace(sized.problem, asked=each) for each in np.linspace(asked, MORE_RESERVE * asked, count)[1:]]
    found += [
        _numbered(each, len(found) + at, growth) for at, each in enumerate(_row(designs, sized, reserves), start=1)
    ]
    if growth is not None:
        growths = [float(each) for each in np.linspace(growth, LESS_GROWTH * growth, count)[1:]]
        problems = [replace(sized.problem, level={GROWTH: float(f"{each:.4g}")}) for each in growths]
        at = len(found)
        for problem, visit in _row(designs, sized, problems):
            at += 1
            found.append(_numbered((problem, visit), at, problem.level[GROWTH]))
    return tuple(found)


def _numbered(found: tuple[Problem, Visit], number: int, growth: float | None) -> OnFront:
    problem, visit = found
    return OnFront(number, problem.asked, growth, problem.inputs(visit.x), visit)


def _row(designs: Designs, sized: Sized, problems: list[Problem]) -> Iterator[tuple[Problem, Visit]]:
    """Yield the lightest design of each problem, each begun at the last."""
    x: Array = sized.visit.x
    for problem in problems:
        search = Search(problem.with_margin(sized.margin), designs, sized.names, sized.visit.objective)
        visit = search.visit(rounded_point(problem, polished(search, x).x))
        if not visit.holds:
            return
        x = visit.x
        yield problem, visit
