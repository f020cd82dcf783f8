"""Which designs of a study still need work, found a few at a time so that a long study stays small in memory."""

from collections.abc import Iterator
from itertools import islice

from buckle.batch.counts import Counts
from buckle.batch.identity import Identity
from buckle.batch.task import Task
from buckle.case import Case
from buckle.container.container import Container
from buckle.errors import CaseError
from buckle.store import DesignRow, Result, RowStatus, Store
from buckle.study.study import Design, Study

LOOK_AHEAD = 8
"""Designs validated, noted and looked up at a time."""


def missing_work(identity: Identity, store: Store, counts: Counts) -> Iterator[Task | Result]:
    """Yield a task for each design that the store lacks, or its result where it cannot be built; count the others."""
    study = identity.study
    noted = store.design_keys(identity.digest)
    designs = study.designs()
    while some := list(islice(designs, LOOK_AHEAD)):
        built = {each.number: _build(study, each) for each in some if each.number not in noted}
        keys = {each.number: noted.get(each.number) or _key(identity, each, built[each.number]) for each in some}
        fresh = [each for each in some if each.number in built]
        store.note_designs([DesignRow(identity.digest, each.number, keys[each.number], each.inputs) for each in fresh])
        finished = store.finished(list(keys.values()))
        for each in some:
            key = keys[each.number]
            if key in finished:
                counts.keep(finished[key])
            else:
                yield _work(study, each, key, built.get(each.number) or _build(study, each))


def _build(study: Study, design: Design) -> Case | Container | CaseError:
    try:
        return study.case(design)
    except CaseError as error:
        return error


def _key(identity: Identity, design: Design, built: Case | Container | CaseError) -> str:
    return identity.key(built) if isinstance(built, Case | Container) else identity.key_without_case(design)


def _work(study: Study, design: Design, key: str, built: Case | Container | CaseError) -> Task | Result:
    if isinstance(built, Case | Container):
        return Task(design.number, key, built, study.estimate_error)
    lines = str(built).splitlines()
    return Result(
        key, RowStatus.NOT_BUILT, " / ".join(line.removeprefix(f"design {design.number}: ") for line in lines)
    )
