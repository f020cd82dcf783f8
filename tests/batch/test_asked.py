"""Designs asked for one by one: kept, never done twice, refused with a reason; a worker's death is an error."""

import json
from concurrent.futures import BrokenExecutor, Future

import pytest

from buckle.batch.asked import Designs, Question
from buckle.batch.pool import WorkerPool
from buckle.batch.work import ready
from buckle.case import case_from_dict
from buckle.errors import BuckleError
from buckle.store import Result, RowStatus, Store
from tests.helpers import bodies

TABLES = {
    "material": {"youngs_modulus_GPa": 69.0, "poissons_ratio": 0.3},
    "shape": bodies.SPHERE,
    "loads": {"pressure_side": "outside"},
    "analyses": {"run": ["LBA"]},
    "size": {"vary": {"shape.thickness_mm": [0.5, 2.0]}},
}


class Inline:
    """An executor that does the work at once; `dies` breaks it."""

    def __init__(self, dies=False):
        self.dies = dies

    def submit(self, work, *arguments):
        future = Future()
        if work is ready:
            future.set_result(True)
        elif self.dies:
            future.set_exception(BrokenExecutor())
        else:
            future.set_result(work(*arguments))
        return future

    def shutdown(self, **_):
        pass


def reserves(tasks):
    return [
        Result(each.key, RowStatus.SOLVED, "", {"reserve.capacity": each.case.dimensions["thickness"]})
        for each in tasks
    ]


def designs(store, *, dies=False, tables=TABLES):
    pool = WorkerPool(lambda: Inline(dies), 1, solve=reserves)
    return Designs(case_from_dict(tables), store, pool, "a sphere")


def of(thickness):
    return {"shape.thickness_mm": thickness}


def test_what_was_asked_is_kept_and_not_done_again(tmp_path):
    with Store(tmp_path, create=True) as store:
        asked = designs(store)
        found = asked.results([of(1.5), of(0.7), of(1.5)])
        assert [each.quantities["reserve.capacity"] for each in found] == [1.5, 0.7, 1.5]
        assert (asked.count, asked.worked) == (2, 2)
        assert asked.results([of(0.7)], sure=True)[0].key != found[1].key
    with Store(tmp_path, create=True) as store:
        again = designs(store)
        assert [each.key for each in again.results([of(0.7), of(1.5)])] == [found[1].key, found[0].key]
        assert (again.count, again.worked) == (2, 0)
        assert [row["shape.thickness_mm"] for row in store.table().rows] == [1.5, 0.7, 0.7]


def test_what_is_asked_for_derivatives_is_another_question(tmp_path):
    with Store(tmp_path, create=True) as store:
        asked = designs(store)
        plain, derived = asked.ask(Question(of(1.0))), asked.ask(Question(of(1.0), slopes=("shape.thickness_mm",)))
        assert asked.result_of(plain).key != asked.result_of(derived).key


def test_a_design_that_cannot_be_made_has_its_reason(tmp_path):
    with Store(tmp_path, create=True) as store:
        found = designs(store).results([of(-1.0)])[0]
    assert found.status is RowStatus.NOT_BUILT
    assert found.reason.startswith("shape.thickness_mm: out of range")


def test_the_table_of_what_may_move_tells_no_designs_apart(tmp_path):
    """A bound that is moved does not throw away what is done."""
    wider = {**TABLES, "size": {"vary": {"shape.thickness_mm": [0.4, 3.0]}}}
    with Store(tmp_path, create=True) as store:
        first = designs(store).results([of(1.0)])[0]
        other = designs(store, tables=wider)
        assert other.results([of(1.0)])[0].key == first.key
        assert other.worked == 0


def test_a_worker_that_dies(tmp_path):
    with Store(tmp_path, create=True) as store, pytest.raises(BuckleError, match="a worker process died"):
        designs(store, dies=True).results([of(1.0)])


def test_the_file_can_be_looked_at_like_any_batch(tmp_path):
    with Store(tmp_path, create=True) as store:
        designs(store).results([of(1.0)])
        row = store.table().rows[0]
    assert json.dumps(row)
    assert row["reserve.capacity"] == 1.0
