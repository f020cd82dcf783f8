"""The lightest design: several searches side by side on coarser meshes, the best of them polished and tried again."""

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import qmc

from buckle.batch.asked import Designs
from buckle.errors import CaseError, SolveError
from buckle.results import Array
from buckle.size.allowance import allowances, check_tolerances
from buckle.size.optimise import Search, Visit, best_of
from buckle.size.polish import Prices, polished, prices_of
from buckle.size.problem import Problem
from buckle.size.trial import Trial
from buckle.size.variable import check_matters

SKETCH = (0.7, 2.0)
"""Mesh density and step of the searches, times the case's: they move the reserves of demonstration bases by 2e-4."""
DOUBLE = 2.0
"""Mesh density, times the case's, at which an answer must hold too."""
MARGIN = 5e-4
"""Of every reserve, for what rounding the dimensions takes off it."""
ROUGH = 1e-3
"""Share of what is least by which a step of the other searches must still help: they tell whether another valley is
deeper, and the best of them is polished."""
DIGITS = 5
"""Significant digits of a design's dimensions."""
BOUNDS = "wider bounds in [size.vary]"
ALLOWED_AGAIN = 3
"""Times that the allowances for tolerances are worked out anew at the design that the last ones led to."""
OFFERED = 64  # points among which starts are sought of which a case can be made


@dataclass(frozen=True)
class Sized:
    """The answer: the design, what it is judged by (at the case's mesh and at the double), and how it was found."""

    problem: Problem
    values: Mapping[str, float]
    visit: Visit
    fine: Trial
    sure: Trial  # with its numerical error
    prices: Prices
    ends: tuple[float, ...]  # what is least where each search ended; NaN where nothing was met
    visits: tuple[Visit, ...]  # every design of the searches, in the order of the starts
    first: Visit  # the case as it is
    names: tuple[str, ...]  # everything that is required
    margin: float = MARGIN  # of every reserve

    @property
    def holds(self) -> bool:
        """Whether the design meets everything at both mesh densities, with what is allowed for tolerances."""
        trials = (self.visit.trial, self.fine)
        return all(each.judged and self.problem.spare(each, self.problem.names(each)).min() >= 0.0 for each in trials)


def size_design(designs: Designs, problem: Problem) -> Sized:
    """Search from the case's own values and from others; raises SolveError where no search finds a design."""
    case = designs.base
    check_tolerances(designs, problem)
    check_matters(designs, problem.variables)
    problem = _allowing(designs, problem, problem.start)
    sketch = problem.with_margin(MARGIN).at(case, *SKETCH)
    first = problem.trials(designs, [problem.start])[0]
    starts = [problem.start, *_starts(designs, problem)]
    known = next((each for each in (first, *sketch.trials(designs, starts)) if each.judged), None)
    if known is None:
        raise SolveError(f"none of {len(starts)} designs to begin with has a reserve: {first.reason}", BOUNDS)
    names = problem.names(known)
    searches = _searched(designs, sketch, names, starts)
    bests = [best_of(each.visits) for each in searches]
    ends = tuple(float("nan") if best is None else best.objective for best in bests)
    found = min((each for each in bests if each is not None), key=lambda each: each.objective, default=None)
    if found is None:
        nearest = max((each for one in searches for each in one.visits), key=lambda each: float(each.spare.min()))
        raise SolveError(_missed(problem, names, nearest), BOUNDS)
    x, after = found.x, _allowing(designs, problem, found.x)
    for _ in range(ALLOWED_AGAIN):
        if any(abs(problem.needed(name) - after.needed(name)) > MARGIN for name in names):
            searches.append(_searched_again(designs, after, names, x))
            x = (best_of(searches[-1].visits) or searches[-1].visits[-1]).x
        problem = after
        search, visit, fine = _finished(designs, problem, names, x)
        x, after = visit.x, _allowing(designs, problem, visit.x)
        if after.spare(visit.trial, names).min() >= 0.0:
            break
    problem = after
    visits = tuple(each for one in (*searches, search) for each in one.visits)
    start = search.visit(problem.start)
    sure = problem.trials(designs, [visit.x], sure=True)[0]
    return Sized(
        problem,
        problem.values(visit.x),
        visit,
        fine,
        sure,
        prices_of(search, search.visit(visit.x)),
        ends,
        visits,
        start,
        names,
    )


def _allowing(designs: Designs, problem: Problem, x: Array) -> Problem:
    """Return the problem with what tolerances take off the reserves at a point."""
    return replace(problem, allowance=allowances(designs, problem, x))


def _searched(designs: Designs, problem: Problem, names: tuple[str, ...], starts: Sequence[Array]) -> list[Search]:
    """Search from several starts side by side."""
    scale = _scale(designs, problem, starts)
    searches = [Search(problem, designs, names, scale, central=False) for _ in starts]
    with ThreadPoolExecutor(len(starts)) as threads:
        runs = [
            threads.submit(search.run, start, *([] if at == 0 else [ROUGH]))
            for at, (search, start) in enumerate(zip(searches, starts, strict=True))
        ]
        for run in runs:
            run.result()
    return searches


def _searched_again(designs: Designs, problem: Problem, names: tuple[str, ...], x: Array) -> Search:
    """Search on from a point where more is asked than before."""
    search = Search(problem.with_margin(MARGIN), designs, names, _scale(designs, problem, [x]))
    search.run(x)
    return search


def _scale(designs: Designs, problem: Problem, starts: Sequence[Array]) -> float:
    for x in starts:
        try:
            return problem.objective(designs.case(problem.inputs(x)))
        except CaseError:
            continue
    return 1.0


def _starts(designs: Designs, problem: Problem) -> Iterator[Array]:
    """Yield points of the box, evenly spread, of which cases can be made."""
    wanted = problem.table.starts - 1
    spread = qmc.Sobol(len(problem.variables), rng=np.random.default_rng(problem.table.seed)).random(OFFERED)
    for x in spread:
        if wanted and _can_be_built(designs, problem, x):
            wanted -= 1
            yield x


def _can_be_built(designs: Designs, problem: Problem, x: Array) -> bool:
    try:
        designs.case(problem.inputs(x))
    except CaseError:
        return False
    return True


def _finished(designs: Designs, problem: Problem, names: tuple[str, ...], x: Array) -> tuple[Search, Visit, Trial]:
    """Polish a design at the case's own mesh until it holds, in rounded dimensions, at the double density too."""
    margins: dict[str, float] = {}
    for _ in range(3):
        search = Search(
            replace(problem.with_margin(MARGIN), margins=margins), designs, names, _scale(designs, problem, [x])
        )
        visit = search.visit(rounded_point(problem, polished(search, x).x))
        fine = problem.at(designs.base, DOUBLE).trials(designs, [visit.x])[0]
        short = _short(problem, names, (visit.trial, fine))
        if not short:
            break
        x, margins = visit.x, {**margins, **{name: margins.get(name, 0.0) + each for name, each in short.items()}}
    return search, replace(visit, spare=problem.spare(visit.trial, names)), fine


def _short(problem: Problem, names: Sequence[str], trials: Sequence[Trial]) -> dict[str, float]:
    """Return which requirements some trials miss, with by how much more of their reserve is to be asked for it."""
    rows = [problem.spare(each, names) if each.judged else np.full(len(names), -1.0) for each in trials]
    least = np.min(rows, axis=0)
    return {name: 0.5 * MARGIN - float(spare) for name, spare in zip(names, least, strict=True) if spare < 0.0}


def rounded_point(problem: Problem, x: Array) -> Array:
    """Return a point whose values have few digits, within their bounds."""
    values = {key: float(f"{value:.{DIGITS}g}") for key, value in problem.values(x).items()}
    return np.clip(problem.point(values), 0.0, 1.0)


def _missed(problem: Problem, names: Sequence[str], nearest: Visit) -> str:
    """Say how near the best of all designs came to what is asked."""
    if not nearest.trial.judged:
        return f"no design within the bounds of [size.vary] has a reserve: {nearest.trial.reason}"
    worst = names[int(np.argmin(nearest.spare))]
    values = ", ".join(f"{key} = {value:.4g}" for key, value in problem.values(nearest.x).items())
    return (
        f"no design within the bounds of [size.vary] was found that meets what is asked; the nearest lacks "
        f"{-100.0 * float(nearest.spare.min()):.3g} % of {worst.replace('_', ' ')}, at {values}"
    )
