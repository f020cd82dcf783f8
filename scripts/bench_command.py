"""What a user waits for: `buckle run` of the demonstration base from its start, against its mechanics alone."""

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median

from bench_analyses import DEMO, runs
from bench_measure import Row, Times, row

from buckle.case import read_case

VERDICT = "VERDICT"
WAITS = {"verdict on the screen": 2.5, "everything written": 5.0}
"""What is waited for -> goal, as a multiple of the mechanics."""
MISSING = 400.0  # ms, the goal for a file that is not there


def rows(repeats: int) -> list[Row]:
    """Mechanics and command in turns, so that a machine that slows down slows both; then what answers without any."""
    case = read_case(DEMO)
    runs(case, tuple(case.analyses.run), True)
    waits: dict[str, list[float]] = {what: [] for what in WAITS}
    mechanics, missing = [], []
    with tempfile.TemporaryDirectory() as out:
        list(_waits(out))  # fills the cache of compiled code
        for _ in range(repeats):
            start = time.perf_counter()
            runs(case, tuple(case.analyses.run), True)
            mechanics.append(1e3 * (time.perf_counter() - start))
            for what, ms in zip(WAITS, _waits(out), strict=True):
                waits[what].append(ms)
            missing.append(_refusal(out))
        first = _first(out)
    waited = [_against(what, ms, mechanics) for what, ms in waits.items()]
    return [
        *waited,
        *(row(f"first run, compiling: {what}", Times((ms,), None)) for what, ms in first.items()),
        _missing(missing),
    ]


def _against(what: str, ms: list[float], mechanics: list[float]) -> Row:
    ratio, goal = median(ms) / median(mechanics), WAITS[what]
    against = f"its mechanics, {median(mechanics):.0f} ms"
    return row(
        f"buckle run: {what}",
        Times(tuple(ms), None),
        against=against,
        ratio=ratio,
        goal=f"<= {goal:g}",
        met=ratio <= goal,
    )


def _missing(ms: list[float]) -> Row:
    met = median(ms) <= MISSING
    return row("buckle run no_such_file", Times(tuple(ms), None), goal=f"<= {MISSING:g} ms", met=met)


def _command(*words: str) -> list[str]:
    return [sys.executable, "-m", "buckle", "run", *words]


def _environment(**more: str) -> dict[str, str]:
    """The one that finds this tree, whatever is installed."""
    return {**os.environ, "PYTHONPATH": str(DEMO.parents[2]), **more}


def _waits(out: str, **environment: str) -> Iterator[float]:
    """Yield the times [ms] from the start of the command until its verdict stands there, and until it has ended."""
    start = time.perf_counter()
    command, env = _command(str(DEMO), "--out", out), _environment(**environment)
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, env=env) as process:
        assert process.stdout is not None
        for line in process.stdout:
            if line.startswith(VERDICT):
                yield 1e3 * (time.perf_counter() - start)
    yield 1e3 * (time.perf_counter() - start)


def _first(out: str) -> dict[str, float]:
    """Waits [ms] of the first run after an installation, when there is no compiled code yet."""
    with tempfile.TemporaryDirectory() as cache:
        return dict(zip(WAITS, _waits(out, NUMBA_CACHE_DIR=cache), strict=True))


def _refusal(out: str) -> float:
    """Time [ms] until a file that is not there is told."""
    start = time.perf_counter()
    subprocess.run(
        _command(str(Path(out) / "no_such_file")), env=_environment(), stderr=subprocess.DEVNULL, check=False
    )
    return 1e3 * (time.perf_counter() - start)
