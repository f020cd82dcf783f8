"""What a worker process does: the analyses of a few cases; nothing is written, printed or caught but our own errors."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from time import perf_counter

from buckle.analysis import run
from buckle.batch.task import Task
from buckle.case import Case
from buckle.container.container import Container
from buckle.errors import BuckleError
from buckle.margins.judge import judge
from buckle.marked import plain
from buckle.record.container import container_record
from buckle.record.margins import verdict_fields
from buckle.record.quantities import Fields, record
from buckle.results import Outcome, Status
from buckle.store import Result, RowStatus
from buckle.store.rows import Value

ABOUT = ("title", "purpose", "family", "demand_in_words")
"""Words of a record that are the same for every design."""
GROWTH = "growth under pressure"
_WORST = (Status.FAILED, Status.NO_LIMIT, Status.SOLVED)


def solve_all(tasks: Sequence[Task]) -> list[Result]:
    """Return the results of a few designs in order."""
    return [_named(task) for task in tasks]


def _named(task: Task) -> Result:
    """Solve a design; an exception that nobody expects says which one it was."""
    try:
        return solve(task)
    except Exception as error:
        error.add_note(f"This happened in design {task.number} of the batch.")
        raise


@dataclass(frozen=True)
class _Keyed:
    """A case of a container's part, told from others by what its results follow from."""

    input_hash: str
    sure: bool
    case: Case = field(compare=False)


@lru_cache(maxsize=64)
def _outcomes_of(keyed: _Keyed) -> list[Outcome]:
    """Return the outcomes of a part; a batch that varies one part solves the others once in each worker."""
    return _outcomes(keyed.case, keyed.sure)


def solve(task: Task) -> Result:
    """Return what a design came to; one that the analyses refuse is a result with its reason."""
    start = perf_counter()
    cases = {each.name: each.case for each in task.case.loaded} if isinstance(task.case, Container) else {"": task.case}
    found: dict[str, Sequence[Outcome]] = {}
    try:
        for name, case in cases.items():
            keyed = _Keyed(case.input_hash, task.estimate_error, case)
            found[name] = _outcomes_of(keyed) if name else _outcomes(case, task.estimate_error)
        if isinstance(task.case, Container):
            quantities = dict(_whole(task.case, cases, found))
        else:
            quantities = dict(_quantities(task.case, found[""]))
    except BuckleError as error:
        return Result(task.key, RowStatus.FAILED, str(error), {}, perf_counter() - start)
    reasons = [
        plain(f"{name} {each.kind}: {each.reason}".strip())
        for name, outcomes in found.items()
        for each in outcomes
        if each.status is not Status.SOLVED
    ]
    states = {each.status for outcomes in found.values() for each in outcomes}
    status = RowStatus(next(status for status in _WORST if status in states))
    return Result(task.key, status, "; ".join(reasons), quantities, perf_counter() - start)


def _outcomes(case: Case, sure: bool) -> list[Outcome]:
    bracketed = _asks_for_bracket(case)
    return [
        run(case, kind, estimate_error=sure, lower_bracket=sure or bracketed, pictures=False)
        for kind in case.analyses.run
    ]


def _whole(
    container: Container, cases: Mapping[str, Case], found: Mapping[str, Sequence[Outcome]]
) -> Iterator[tuple[str, Value]]:
    """Yield the numbers and words of a container's record, those of its parts behind their names."""
    records = {name: record(case, found[name], _verdict(case, found[name])) for name, case in cases.items()}
    for name, value in container_record(container, records, {}).items():
        if isinstance(value, float | int | str | bool) and name.rpartition(".")[2] not in ABOUT:
            yield name, plain(value) if isinstance(value, str) else value


def _verdict(case: Case, outcomes: Sequence[Outcome]) -> Fields:
    return verdict_fields(judge(case, outcomes, hands={}))


def _asks_for_bracket(case: Case) -> bool:
    """Tell whether a verdict depends on the onset of waves by deformation theory."""
    return case.required_load is not None and case.requirements.onset != "flow"


def _quantities(case: Case, outcomes: Sequence[Outcome]) -> Iterator[tuple[str, Value]]:
    """Yield the numbers and words of the record, the verdict among them, and how far the body moves."""
    judgement = judge(case, outcomes, hands={})
    for name, value in record(case, outcomes, verdict_fields(judgement)).items():
        if isinstance(value, float | int | str | bool) and name not in ABOUT:
            yield name, plain(value) if isinstance(value, str) else value
    for outcome in outcomes:
        if outcome.notes:
            yield f"{outcome.kind}.notes", plain("; ".join(outcome.notes))
    if judgement.doubts or judgement.unjudged:
        yield "verdict_reason", plain("; ".join((*judgement.doubts, *judgement.unjudged)))
    growth = next((margin for margin in judgement.margins if margin.limit_state == GROWTH), None)
    if growth is not None and growth.size is not None and growth.size.found is not None:
        yield "growth_mm", growth.size.found
