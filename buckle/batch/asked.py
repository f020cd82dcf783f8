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
from buckle.batch.whole import asked_of, derivable, keys_of, together
from buckle.case import Case, replace_keys
from buckle.container.container import Container
from buckle.container.reader import changed_tables, input_from_dict
from buckle.errors import BuckleError, CaseError
from buckle.record.quantities import versions
from buckle.store import About, DesignRow, Result, RowStatus, Store

DEATH = "a worker process died: killed, or out of memory; what is done is kept, and the same command goes on from there"
NO_CASE = ("size", "tolerances", "expect")
"""Tables of a case, or of a container and its parts, that say nothing of one design."""
BUILT = 256
"""Cases that are kept as they were built: one is asked for more often than once."""
NOT_DERIVED = "no derivatives by keys of the whole, or of a state of a part"


@dataclass(frozen=True)
class Question:
    """What a design is asked: the base case with values under keys; its numerical error too; derivatives by keys."""

    inputs: Mapping[str, Any]
    sure: bool = False
    slopes: tuple[str, ...] = ()


@dataclass(frozen=True)
class Asked:
    """What a design was asked: a case by '', or the parts of a container by their names; answers to come."""

    answers: Mapping[str, Future[Result]]
    question: Question
    container: Container | None = None


def reserves_of_all(tasks: Sequence[Task]) -> list[Result]:
    """Return what each of some cases is judged by; the mechanics load in the worker."""
    results: list[Result] = import_module("buckle.batch.judged").solve_all(tasks)
    return results


@dataclass(eq=False)
class Designs:
    """A base case, or a container, whose variants are asked for; threads may ask at once.

    Of a container each part is asked by itself under each of its loads, so that a part which no key changes is worked
    on once. `count` is how many were asked for and differ, parts each for itself; `worked` how many of them were not in
    the store.
    """

    base: Case | Container
    store: Store
    pool: WorkerPool
    title: str
    report: Callable[[int], None] = lambda count: None
    count: int = 0
    worked: int = 0
    _executor: Executor | None = None
    _known: dict[str, Future[Result]] = field(default_factory=dict)
    _built: dict[str, Case | Container] = field(default_factory=dict)
    _lock: threading.RLock = field(default_factory=threading.RLock)

    def __post_init__(self) -> None:
        """Begin a study in the store, and read what it holds."""
        self._tables = changed_tables(self.base.tables, _of_one_design)
        settings = {"versions": versions(), "code": code_sha256(), "asked": "reserves"}
        self._settings = json.dumps(settings, sort_keys=True)
        digest = hashlib.sha256(f"{self.title} {self.base.input_hash} {self._settings}".encode()).hexdigest()
        self._about = About(digest, self.title, (), (), 0)
        self.store.begin(self._about)
        self._kept = self.store.results()
        noted = self.store.design_keys(digest)
        self._number, self._noted = max(noted, default=0), set(noted.values())

    def case(self, inputs: Mapping[str, Any]) -> Case | Container:
        """Return the case or the container of a design; raises CaseError where none can be built."""
        said = json.dumps(dict(inputs), sort_keys=True)
        made = self._built.get(said)
        if made is None:
            made = input_from_dict(replace_keys(self._tables, inputs), "design")
            if len(self._built) >= BUILT:
                self._built.clear()
            self._built[said] = made
        return made

    def results(self, inputs: Sequence[Mapping[str, Any]], *, sure: bool = False) -> list[Result]:
        """Return what some designs are judged by, in order. Raises BuckleError if a worker dies."""
        return [self.result_of(each) for each in [self.ask(Question(one, sure)) for one in inputs]]

    def slopes(self, inputs: Mapping[str, Any], keys: Sequence[str]) -> Result:
        """Return what a design is judged by with the derivatives of its reserves; a failed one where it has none."""
        if isinstance(self.base, Container) and not derivable(keys):
            return Result("", RowStatus.FAILED, NOT_DERIVED)
        return self.result_of(self.ask(Question(inputs, slopes=tuple(keys))))

    def result_of(self, asked: Asked) -> Result:
        """Wait for an answer. Raises BuckleError if its worker dies."""
        try:
            found = {name: answer.result() for name, answer in asked.answers.items()}
        except self.pool.deaths as error:
            raise BuckleError(DEATH) from error
        return found[""] if asked.container is None else together(asked.container, found, asked.question.slopes)

    def ask(self, question: Question) -> Asked:
        """Return the answers to come, of a design; they are looked up where they were asked before."""
        try:
            case = self.case(question.inputs)
        except CaseError as error:
            text = f"{json.dumps(dict(question.inputs), sort_keys=True)} {self.base.input_hash}"
            unbuilt = Result(f"not-built-{_sha256(text)}", RowStatus.NOT_BUILT, _one_line(error))
            return Asked({"": self._ended(unbuilt)}, question)
        if not isinstance(case, Container):
            return Asked({"": self._answer(case, question)}, question)
        parts = {
            each.name: self._answer(each.case, replace(question, slopes=keys_of(each, question.slopes)), each.name)
            for each in asked_of(case)
        }
        return Asked(parts, question, case)

    def _answer(self, case: Case, question: Question, part: str = "") -> Future[Result]:
        """Return the answer to come of a case, which may be a part."""
        key = _sha256(f"{case.input_hash} {question.sure} {question.slopes} {self._settings}")
        with self._lock:
            if key not in self._known:
                self.count += 1
                self.report(self.count)
                self._note(key, {**({"part": part} if part else {}), **question.inputs})
                self._known[key] = self._begun(Task(self._number, key, case, question.sure, question.slopes))
            return self._known[key]

    def _note(self, key: str, inputs: Mapping[str, Any]) -> None:
        """Give a design its number, once."""
        if key not in self._noted:
            self._noted.add(key)
            self._number += 1
            self.store.note_designs([DesignRow(self._about.study, self._number, key, dict(inputs))])

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
    base: Case | Container,
    out: Path,
    title: str,
    *,
    jobs: int | None = None,
    report: Callable[[int], None] = lambda count: None,
) -> Iterator[Designs]:
    """Lend the designs of a base case or a container, kept in a directory. Raises CaseError if that cannot be used."""
    with Store(out, create=True) as store, processes(jobs) as pool:
        designs = Designs(base, store, replace(pool, solve=reserves_of_all), title, report)
        try:
            yield designs
        finally:
            designs.close()


def _of_one_design(tables: Mapping[str, Any]) -> dict[str, Any]:
    return {name: table for name, table in tables.items() if name not in NO_CASE}


def _sha256(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _one_line(error: CaseError) -> str:
    return " / ".join(line.removeprefix("design: ") for line in str(error).splitlines())
