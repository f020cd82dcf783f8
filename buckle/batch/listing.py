"""Which designs of a study still need work, found a few at a time so that a long study stays small in memory."""

from collections.abc import Iterator
from itertools import islice

from buckle.batch.study import Design, Study
from buckle.batch.tally import Tally
from buckle.batch.worker import Task
from buckle.case import Case
from buckle.errors import CaseError
from buckle.store import Listed, Result, RowStatus, Store

LOOK_AHEAD = 8
"""Designs validated, listed and looked up at a time."""


def missing(study: Study, store: Store, tally: Tally) -> Iterator[Task | Result]:
    """Yield a task for each design that the store lacks, or its result where it cannot be built; count the others."""
    listed = store.listed(study.digest)
    designs = study.designs()
    while some := list(islice(designs, LOOK_AHEAD)):
        built = {each.number: _build(study, each) for each in some if each.number not in listed}
        keys = {each.number: listed.get(each.number) or _key(study, each, built[each.number]) for each in some}
        store.list_designs(
            study.digest, [Listed(each.number, keys[each.number], each.inputs) for each in some if each.number in built]
        )
        finished = store.finished(list(keys.values()))
        for each in some:
            key = keys[each.number]
            if key in finished:
                tally.keep(finished[key])
            else:
                yield _work(study, each, key, built.get(each.number) or _build(study, each))


def _build(study: Study, design: Design) -> Case | CaseError:
    try:
        return study.case(design)
    except CaseError as error:
        return error


def _key(study: Study, design: Design, built: Case | CaseError) -> str:
    return study.key(built) if isinstance(built, Case) else study.key_without_case(design)


def _work(study: Study, design: Design, key: str, built: Case | CaseError) -> Task | Result:
    if isinstance(built, Case):
        return Task(design.number, key, built, study.estimate_error)
    lines = str(built).splitlines()
    return Result(
        key, RowStatus.NOT_BUILT, " / ".join(line.removeprefix(f"design {design.number}: ") for line in lines)
    )
