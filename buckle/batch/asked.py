"""Designs asked for one by one, as an optimiser does: worked on in parallel, each kept in the store and never twice."""

import hashlib
import json
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from importlib import import_module
from pathlib import Path
from typing import Any

from buckle.batch.code import code_sha256
from buckle.batch.pool import WorkerPool, processes
from buckle.batch.task import Task
from buckle.case import Case, case_from_dict, replace_keys
from buckle.errors import BuckleError, CaseError
from buckle.record.quantities import versions
from buckle.store import About, DesignRow, Result, RowStatus, Store

DEATH = "a worker process died: killed, or out of memory; what is done is kept, and the same command goes on from there"
NO_CASE = ("size", "tolerances", "expect")
"""Tables of a case that say nothing of one design."""


@dataclass(frozen=True)
class Question:
    """What a design is asked: the base case with values under keys; its numerical error too; derivatives by keys."""

    inputs: Mapping[str, Any]
    sure: bool = False
    slopes: tuple[str, ...] = ()


def reserves_of_all(tasks: Sequence[Task]) -> list[Result]:
    """Return what each of some cases is judged by; the mechanics load in the worker."""
    results: list[Result] = import_module("buckle.batch.judged").solve_all(tasks)
    return results


@dataclass(eq=False)
class Designs:
    """A base case whose variants are asked for; threads may ask at once.

    `count` is how many were asked for and differ, `worked` how many of them were not in the store.
    """

    base: Case
    store: Store
    pool: WorkerPool
    title: str
    report: Callable[[int], None] = lambda count: None
    count: int = 0
    worked: int = 0
    _executor: Executor | None = None
    _known: dict[str, Future[Result]] = field(default_factory=dict)
    _lock: threading.RLock = field(default_factory=threading.RLock)

    def __post_init__(self) -> None:
        """Begin a study in the store, and read what it holds."""
        self._tables = {name: table for name, table in self.base.tables.items() if name not in NO_CASE}
        settings = {"versions": versions(), "code": code_sha256(), "asked": "reserves"}
        self._settings = json.dumps(settings, sort_keys=True)
        digest = hashlib.sha256(f"{self.title} {self.base.input_hash} {self._settings}".encode()).hexdigest()
        self._about = About(digest, self.title, (), (), 0)
        self.store.begin(self._about)
        self._kept = self.store.results()
        noted = self.store.design_keys(digest)
        self._number, self._noted = max(noted, default=0), set(noted.values())

    def case(self, inputs: Mapping[str, Any]) -> Case:
        """Return the case of a design; raises CaseError where none can be built."""
        return case_from_dict(replace_keys(self._tables, inputs), "design")

    def results(self, inputs: Sequence[Mapping[str, Any]], *, sure: bool = False) -> list[Result]:
        """Return what some designs are judged by, in order. Raises BuckleError if a worker dies."""
        return [self.result_of(each) for each in [self.ask(Question(one, sure)) for one in inputs]]

    def slopes(self, inputs: Mapping[str, Any], keys: Sequence[str]) -> Result:
        """Return what a design is judged by with the derivatives of its reserves; a failed one where it has none."""
        return self.result_of(self.ask(Question(inputs, slopes=tuple(keys))))

    def result_of(self, future: Future[Result]) -> Result:
        """Wait for an answer. Raises BuckleError if its worker dies."""
        try:
            return future.result()
        except self.pool.deaths as error:
            raise BuckleError(DEATH) from error

    def ask(self, question: Question) -> Future[Result]:
        """Return the answer to come, of a design; it is looked up where it was asked before."""
        try:
            case = self.case(question.inputs)
        except CaseError as error:
            text = f"{json.dumps(dict(question.inputs), sort_keys=True)} {self.base.input_hash}"
            return self._ended(Result(f"not-built-{_sha256(text)}", RowStatus.NOT_BUILT, _one_line(error)))
        key = _sha256(f"{case.input_hash} {question.sure} {question.slopes} {self._settings}")
        with self._lock:
            if key not in self._known:
                self.count += 1
                self.report(self.count)
                self._note(key, question)
                self._known[key] = self._begun(Task(self._number, key, case, question.sure, question.slopes))
            return self._known[key]

    def _note(self, key: str, question: Question) -> None:
        """Give a design its number, once."""
        if key not in self._noted:
            self._noted.add(key)
            self._number += 1
            self.store.note_designs([DesignRow(self._about.study, self._number, key, dict(question.inputs))])

    def close(self) -> None:
        """Let the workers go."""
        if self._executor is not None:
            self.pool.stop(self._executor)
        self._executor = None

    def _begun(self, task: Task) -> Future[Result]:
        kept = self._kept.get(task.key)
        if kept is not None:
            return self._ended(kept)
        self.worked += 1
        if self._executor is None:
            self._executor = self.pool.start()
        given: Future[Result] = Future()
        self.pool.submit(self._executor, [task]).add_done_callback(lambda done: self._keep(done, given))
        return given

    def _keep(self, done: Future[list[Result]], given: Future[Result]) -> None:
        """Store an answer first, and give it then."""
        if done.cancelled():
            given.cancel()
            return
        error = done.exception()
        if error is not None:
            given.set_exception(error)
            return
        with self._lock:
            self.store.add(done.result())
        given.set_result(done.result()[0])

    @staticmethod
    def _ended(result: Result) -> Future[Result]:
        future: Future[Result] = Future()
        future.set_result(result)
        return future


@contextmanager
def asking(
    base: Case, out: Path, title: str, *, jobs: int | None = None, report: Callable[[int], None] = lambda count: None
) -> Iterator[Designs]:
    """Lend the designs of a base case, kept in a directory. Raises CaseError if that cannot be used."""
    with Store(out, create=True) as store, processes(jobs) as pool:
        designs = Designs(base, store, replace(pool, solve=reserves_of_all), title, report)
        try:
            yield designs
        finally:
            designs.close()


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _one_line(error: CaseError) -> str:
    return " / ".join(line.removeprefix("design: ") for line in str(error).splitlines())
