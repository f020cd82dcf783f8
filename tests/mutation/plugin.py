"""Instead of running the collected tests once, run them on each mutant until one fails; the survivors go to a file."""

import json
import os
import resource
from itertools import accumulate
from pathlib import Path

import pytest

from tests.helpers.paths import ROOT
from tests.mutation.applied import applicable, apply
from tests.mutation.mutants import Mutant, mutants_of

SECONDS = 120
"""Processor time for all tests of one mutant; one that takes longer has been noticed."""
LONGEST, ALL = 0.2, 3.0
"""Seconds of a single test, and of all: what takes longer is left to the tests of commands."""


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--mutate", action="append", default=[], help="files of the package, from its folder")
    parser.addoption("--mutants", type=int, help="how many")
    parser.addoption("--survivors", type=Path, help="file for the names of those that no test notices")


def pytest_runtestloop(session: pytest.Session) -> bool:
    wanted = [
        path for pattern in session.config.getoption("mutate") for path in sorted((ROOT / "buckle").glob(pattern))
    ]
    every = [mutant for path in wanted for mutant in mutants_of(path, _module(path)) if applicable(mutant)]
    chosen = sorted(every, key=lambda mutant: mutant.rank)[: session.config.getoption("mutants")]
    file = session.config.getoption("survivors")
    _sort(session, _seconds(session, file))
    survivors = [mutant.name for mutant in chosen if not _noticed(session, mutant)]
    file.write_text(json.dumps(survivors), encoding="utf-8")
    return True


def _seconds(session: pytest.Session, file: Path) -> dict[str, float]:
    """How long each test takes of the package as it is."""
    child = os.fork()
    if child == 0:
        clock = Clock()
        session.config.pluginmanager.register(clock)
        failed = _failed(session, None)
        file.write_text(json.dumps(clock.seconds), encoding="utf-8")
        os._exit(failed)
    _, status = os.waitpid(child, 0)
    if status != 0:
        raise pytest.UsageError("a test fails without any mutant")
    return dict(json.loads(file.read_text(encoding="utf-8")))


class Clock:
    """Seconds of each test with all that is set up for it."""

    def __init__(self) -> None:
        self.seconds: dict[str, float] = {}

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.seconds[report.nodeid] = self.seconds.get(report.nodeid, 0.0) + report.duration


def _sort(session: pytest.Session, seconds: dict[str, float]) -> None:
    """Quick files first, quick tests first in each, as many as ALL allows; no test that takes longer than LONGEST."""
    kept = [item for item in session.items if seconds[item.nodeid] <= LONGEST]
    of_file: dict[Path, float] = {}
    for item in kept:
        of_file[item.path] = of_file.get(item.path, 0.0) + seconds[item.nodeid]
    kept.sort(key=lambda item: (of_file[item.path], str(item.path), seconds[item.nodeid]))
    until = list(accumulate(seconds[item.nodeid] for item in kept))
    session.items = [item for item, end in zip(kept, until, strict=True) if end <= ALL]


def _module(path: Path) -> str:
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def _noticed(session: pytest.Session, mutant: Mutant) -> bool:
    child = os.fork()
    if child == 0:
        os._exit(_failed(session, mutant))
    _, status = os.waitpid(child, 0)
    return status != 0


def _failed(session: pytest.Session, mutant: Mutant | None) -> int:
    """In a process of its own: 1 if a test fails on the mutant."""
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    try:
        if mutant is not None:
            apply(mutant)
        for item, following in zip(session.items, [*session.items[1:], None], strict=True):
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=following)
            if session.testsfailed:
                return 1
    except BaseException:
        return 1
    return 0
