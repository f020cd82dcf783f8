"""What a worker does where designs are asked for their reserves: the deciding analysis, a reserve a requirement."""

import math
from collections.abc import Iterator, Sequence
from time import perf_counter

from buckle.analysis import run, run_and_follow
from buckle.analysis.setup import Extras
from buckle.batch.reserves import AT_LEAST, CAPACITY, DEMAND, LOWER, ONSET, RESERVE, SLOPE, WAVES
from buckle.batch.task import Task
from buckle.case import Case
from buckle.case.models import PERFECT
from buckle.errors import BuckleError
from buckle.margins.judge import FIDELITY, judge
from buckle.margins.margin import Margin, Verdict
from buckle.margins.names import BY_DEFORMATION, COLLAPSE_WITH_WAVES
from buckle.margins.sufficient import lacks
from buckle.margins.verdict import Judgement
from buckle.marked import plain
from buckle.results import BIFURCATION, Outcome, Status
from buckle.sensitivity.exact import Rows, neighbours, of_found
from buckle.sensitivity.quantities import quantities
from buckle.store import Result, RowStatus
from buckle.store.rows import Value
from buckle.units import to_unit

SAME_LOAD = 1e-6
"""Loads that differ by no more are one."""
_JUDGED = (Verdict.MET, Verdict.NOT_MET, Verdict.DOUBT, Verdict.NOT_FOUND)


def solve_all(tasks: Sequence[Task]) -> list[Result]:
    """Return what each of some cases is judged by, in order."""
    return [solve(task) for task in tasks]


def solve(task: Task) -> Result:
    """Return the reserves of a case; one that the analysis refuses is a row with its reason."""
    start = perf_counter()
    case = task.case
    assert isinstance(case, Case)  # nobody asks a container for its reserves
    try:
        kind = decider(case)
        bracket = case.requirements.onset != "flow"
        first, rows = _analysed(task, kind, bracket=bracket)
        outcomes = [first, *_of_perfect(task, first, bracket=bracket)]
        judgement = judge(case, outcomes, hands={})
        outcome = next((each for each in outcomes if each.kind == judgement.decided_by), first)
        slopes = dict(_slopes(case, rows, outcome, judgement))
    except BuckleError as error:
        return Result(task.key, RowStatus.FAILED, str(error), {}, perf_counter() - start)
    status = {Status.FAILED: RowStatus.FAILED, Status.NO_LIMIT: RowStatus.NO_LIMIT}.get(
        outcome.status, RowStatus.SOLVED
    )
    found = dict(_quantities(case, outcome, judgement)) | slopes
    reason = plain("; ".join(judgement.unjudged))
    return Result(task.key, status, reason, found, perf_counter() - start)


def _analysed(task: Task, kind: str, *, bracket: bool) -> tuple[Outcome, Rows]:
    """Return the outcome of an analysis, and derivatives of what it tells if they are asked for, of one path both."""
    case = task.case
    assert isinstance(case, Case)
    outcome, followed = run_and_follow(case, kind, Extras(task.estimate_error, bracket, pictures=False))
    return outcome, of_found(case, outcome, followed, neighbours(case, task.slopes)) if task.slopes else {}


def _of_perfect(task: Task, deviated: Outcome, *, bracket: bool) -> Iterator[Outcome]:
    """Yield what the case's analysis of the perfect shape finds, where a verdict on a deviated one rests on it too.

    On it the waves begin that a deviation in waves is followed in; and where its numerical error is asked for, the
    answer is to be signed: that the perfect shape carries less than is required is a doubt.
    """
    case, kind = task.case, PERFECT.get(deviated.kind, "")
    assert isinstance(case, Case)
    if kind in case.analyses.run and (deviated.in_waves or task.estimate_error):
        yield run(case, kind, estimate_error=task.estimate_error, lower_bracket=bracket, pictures=False)


def decider(case: Case) -> str:
    """Return the kind of analysis that a verdict on a case rests on, of those that it runs; '' if none can."""
    kinds = [kind for kind in FIDELITY if kind in case.analyses.run and kind != "LA"]
    return kinds[0] if kinds and not lacks(case, kinds[0]) else ""


def _quantities(case: Case, outcome: Outcome, judgement: Judgement) -> Iterator[tuple[str, Value]]:
    meridian, density = case.meridian, case.material.density
    if density:
        yield "mass_g", meridian.mass(density)
    yield "enclosed_volume_ml", to_unit(meridian.enclosed_volume, "volume", "ml")
    yield "blank_diameter_mm", meridian.blank_diameter
    for margin in judgement.margins:
        if margin.verdict in _JUDGED and margin.reserve is not None:
            name = requirement(margin)
            yield f"{RESERVE}{name}", margin.reserve
            yield f"{DEMAND}{name}", float(margin.increasing.in_margin(margin.demand) or 0.0)
            if margin.at_least:
                yield f"{AT_LEAST}{name}", True
    if outcome.capacity is not None:
        yield "capacity_event", outcome.capacity.kind
        if outcome.capacity.error_percent is not None:
            yield "numerical_error_percent", outcome.capacity.error_percent
    if judgement.reserve is not None:
        yield "reserve_factor", judgement.reserve
    if judgement.governing is not None:
        yield "governing_limit_state", judgement.governing.limit_state
    yield "verdict", str(judgement.word)
    if judgement.doubts:
        yield "doubts", plain("; ".join(judgement.doubts))


def _slopes(case: Case, rows: Rows, outcome: Outcome, judgement: Judgement) -> Iterator[tuple[str, float]]:
    """Yield the derivative of each reserve by each key, in the unit of the key, where the load it is made of has one.

    At a kink, where the derivatives to both sides differ, it is their mean; where there is one side only, that of it.
    """
    if not rows:
        return
    values = quantities(case, outcome)
    for margin in judgement.margins:
        if margin.verdict not in _JUDGED or not margin.reserve or margin.capacity is None:
            continue
        load = margin.increasing.recorded(margin.capacity)
        near = min((name for name in rows if name in values), key=lambda name: abs(values[name] - load), default="")
        if not near or abs(values[near] - load) > SAME_LOAD * abs(load):
            continue
        for each in rows[near]:
            sides = [side for side in (each.left, each.right) if math.isfinite(side)]
            if sides:
                slope = sum(sides) / len(sides)
                yield f"{SLOPE}{requirement(margin)} {each.key}", slope * margin.reserve / load


def requirement(margin: Margin) -> str:
    """Return what a margin's reserve is called, alike in every design: by what is asked, not by how that is missed."""
    if margin.size is not None:
        return margin.limit_state.replace(" ", "_")
    if margin.limit_state == COLLAPSE_WITH_WAVES:
        return WAVES
    if margin.event == BIFURCATION:
        return LOWER if margin.limit_state.endswith(BY_DEFORMATION) else ONSET
    return CAPACITY
