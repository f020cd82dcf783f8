"""Instead of running the collected tests once, run them on each mutant until one fails; the survivors go to a file.

Tests that take little come first, and are all that is tried on a mutant known to be harmless. Times are of the
processor and not of the wall, so that another program on the machine changes nothing.
"""

import json
import os
import resource
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from importlib import reload
from itertools import accumulate
from pathlib import Path

import pytest

from tests.helpers.paths import ROOT
from tests.mutation.applied import applicable, apply
from tests.mutation.mutants import Mutant, mutants_of

SECONDS = 300
"""Of the processor, for all tests of one mutant, which take some 60; one that takes longer has been noticed."""
LONGEST = 0.2
"""Seconds of a test that is tried with the first; those that take longer come after them."""
ENOUGH = 3.0
"""Seconds of tests, with what is set up for them, for a mutant that is known to be harmless."""


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--mutate", action="append", default=[], help="files of the package, from its folder")
    parser.addoption("--mutants", type=int, help="how many")
    parser.addoption("--draw", default="1", help="any text; another one chooses others")
    parser.addoption("--known", type=Path, help="JSON list of those that are harmless")
    parser.addoption("--survivors", type=Path, help="file for the names of those that no test notices")


def pytest_runtestloop(session: pytest.Session) -> bool:
    options = session.config.option
    known = json.loads(options.known.read_text(encoding="utf-8")) if options.known else []
    paths = [path for pattern in options.mutate for path in sorted((ROOT / "buckle").glob(pattern))]
    every = [mutant for path in paths for mutant in mutants_of(path, _module(path)) if applicable(mutant)]
    chosen = sorted(every, key=lambda mutant: mutant.rank(options.draw))[: options.mutants]
    items, few = _sorted(session.items, _seconds(session, options.survivors))
    survivors: list[str] = []
    for mutant in chosen:
        if not _noticed(items[:few] if mutant.name in known else items, mutant):
            survivors.append(mutant.name)
        options.survivors.write_text(json.dumps(survivors), encoding="utf-8")  # to be read while others are tried
    return True


def _module(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


# How long tests take --------------------------------------------------------------------------------------------------


def processor_seconds() -> float:
    """Of this process and of those it waited for."""
    times = os.times()
    return times.user + times.system + times.children_user + times.children_system


@dataclass
class Clock:
    """Seconds of the processor: of each test, and of what is set up in each file, which its first test pays for."""

    tests: dict[str, float] = field(default_factory=dict)
    files: dict[str, float] = field(default_factory=dict)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_setup(self, item: pytest.Item) -> Iterator[None]:
        with self._timed(self.files, str(item.path)):
            return (yield)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        with self._timed(self.tests, item.nodeid):
            return (yield)

    @contextmanager
    def _timed(self, kept: dict[str, float], key: str) -> Iterator[None]:
        before = processor_seconds()
        yield
        kept[key] = kept.get(key, 0.0) + processor_seconds() - before


def _seconds(session: pytest.Session, file: Path) -> Clock:
    """How long each test takes of the package as it is."""
    child = os.fork()
    if child == 0:
        clock = Clock()
        session.config.pluginmanager.register(clock)
        failed = _failed(session.items, None)
        file.write_text(json.dumps([clock.tests, clock.files]), encoding="utf-8")
        os._exit(failed)
    _, status = os.waitpid(child, 0)
    if status != 0:
        raise pytest.UsageError("a test fails without any mutant")
    return Clock(*json.loads(file.read_text(encoding="utf-8")))


def _sorted(items: Sequence[pytest.Item], clock: Clock) -> tuple[list[pytest.Item], int]:
    """Return the tests, quick ones first and those of quick files before all, and how many of them are enough."""
    seconds = {item.nodeid: clock.tests.get(item.nodeid, 0.0) for item in items}  # 0: skipped
    of_file = dict(clock.files)
    for item in items:
        of_file[str(item.path)] += seconds[item.nodeid] if seconds[item.nodeid] <= LONGEST else 0.0

    def rank(item: pytest.Item) -> tuple[bool, float, str, float]:
        own, path = seconds[item.nodeid], str(item.path)
        return own > LONGEST, of_file[path], path, own

    ends = dict(zip(sorted(of_file, key=of_file.__getitem__), accumulate(sorted(of_file.values())), strict=True))
    few = [item for item in items if seconds[item.nodeid] <= LONGEST and ends[str(item.path)] <= ENOUGH]
    return sorted(items, key=rank), len(few)


# One mutant -----------------------------------------------------------------------------------------------------------


def _noticed(items: Sequence[pytest.Item], mutant: Mutant) -> bool:
    child = os.fork()
    if child == 0:
        os._exit(_failed(items, mutant))
    _, status = os.waitpid(child, 0)
    return status != 0


def _failed(items: Sequence[pytest.Item], mutant: Mutant | None) -> int:
    """In a process of its own: 1 if a test fails on the mutant."""
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    try:
        if mutant is not None:
            apply(mutant)
        executed: set[str] = set()
        for item, following in zip(items, [*items[1:], None], strict=True):
            if isinstance(item, pytest.Function) and item.module.__name__ not in executed:
                executed.add(item.module.__name__)
                reload(item.module)  # what its file makes of the package, it makes of the mutant
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if item.session.testsfailed:
                return 1
    except BaseException:
        return 1
    return 0
