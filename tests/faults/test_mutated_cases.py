"""Case files changed at random: refused in clean lines, or computed to a number or a reason, soon, without warning."""

import math
import random
from collections.abc import Iterator
from pathlib import Path

import pytest

from buckle.batch.worker import Task, solve
from buckle.case import Case, read_case
from buckle.cli import main
from buckle.commands.codes import CRASHED, WRONG_INPUT
from buckle.commands.draw import measures
from buckle.errors import CaseError
from buckle.margins.judge import judge
from buckle.proportions import unusual
from tests.faults.mutator import mutated
from tests.helpers.limits import deadline
from tests.helpers.paths import CONTAINER, ROOT

FILES = [
    *sorted(path for path in (ROOT / "cases/demo").glob("*.toml") if path != CONTAINER),
    *sorted((ROOT / "cases/populations").glob("*.toml")),
    *sorted((ROOT / "cases/benchmarks").glob("*/*.toml")),
]
QUICK = range(100)
SLOW = range(100, 20_100)
RUNS = 120
"""Accepted files of the slow set whose analyses are run; half a second each."""
LONGEST = 900
"""Characters of a message; the longest repeats 80 of a key and of a value and lists the keys of a base."""
READING = 10  # seconds that no file may take to be read and drawn, on a busy machine; 5 ms are usual
RUNNING = 120  # the same of its analyses; half a second is usual, the longest meridian takes a quarter of a minute


def changed_files(seeds: range, folder: Path) -> Iterator[tuple[str, Path]]:
    """Write one changed file after the other to the same place; what was done to it, and the place."""
    path = folder / "case.toml"
    for seed in seeds:
        source = FILES[seed % len(FILES)]
        data, words = mutated(source.read_bytes(), seed)
        path.write_bytes(data)
        yield f"seed {seed}, {source.relative_to(ROOT)}: {words}", path


def held(what: str, path: Path) -> Case | None:
    """Read and measure a file; a case, or None for one that is refused as it should be."""
    try:
        with deadline(READING):
            case = read_case(path)
            assert all(math.isfinite(value) for value in measures(case).values() if isinstance(value, float)), what
            unusual(case.meridian, case.material)
    except CaseError as error:
        refused = error
    else:
        return case
    lines = str(refused).splitlines()
    assert len(lines) == len(refused.faults) > 0, what
    for line in lines:
        assert line.startswith(f"{path}:"), what
        assert line.isprintable(), what
        assert len(line) < len(str(path)) + LONGEST, what
    return None


def computed(what: str, case: Case) -> None:
    """Run what a case asks for: numbers within all reason, or a reason why there are none."""
    with deadline(RUNNING):
        result = solve(Task(1, "", case, estimate_error=False))
        judge(case, [])
    numbers = [value for value in result.quantities.values() if isinstance(value, float)]
    assert numbers or result.reason, what
    assert all(abs(value) < 1e12 for value in numbers), what


def test_a_changed_case_is_refused_cleanly_or_read(tmp_path: Path) -> None:
    """Warnings are errors here as everywhere in the tests, so that none reaches standard error."""
    accepted = [case for what, path in changed_files(QUICK, tmp_path) if (case := held(what, path))]
    assert 5 < len(accepted) < 60  # of 20,000 it is one in five


def test_a_refused_one_leaves_nothing_and_says_so_with_its_code(tmp_path: Path, capsys) -> None:
    for what, path in changed_files(range(30), tmp_path):
        if held(what, path) is None:
            assert main(["run", str(path), "--out", str(tmp_path / "out")]) == WRONG_INPUT, what
            said = capsys.readouterr()
            assert said.out == "", what
            assert said.err.startswith(f"{path}:"), what
    assert list(tmp_path.iterdir()) == [tmp_path / "case.toml"]


@pytest.mark.parametrize("seed", [14662, 6021, 14295, 5849])
def test_what_once_went_wrong(seed: int, tmp_path: Path) -> None:
    """A rate of 1e308 and pieces of no length, which overflowed; a Poisson's ratio of 3e-13, refused after the work."""
    ((what, path),) = changed_files(range(seed, seed + 1), tmp_path)
    case = held(what, path)
    if case is not None:
        computed(what, case)


@pytest.mark.slow
@pytest.mark.study
def test_twenty_thousand(tmp_path: Path) -> None:
    chance = random.Random(SLOW.stop)
    accepted = [(what, case) for what, path in changed_files(SLOW, tmp_path) if (case := held(what, path))]
    assert len(accepted) > 1000
    for what, case in chance.sample(accepted, RUNS):
        computed(what, case)


@pytest.mark.slow
@pytest.mark.study
def test_whole_runs_of_accepted_ones(tmp_path: Path, capsys) -> None:
    """With estimates, pictures and the sheet, as a user makes them: any exit code but that of a mistake of ours."""
    done = 0
    for what, path in changed_files(range(20_100, 20_300), tmp_path):
        if held(what, path) is not None and done < 15:
            done += 1
            with deadline(RUNNING):
                code = main(["run", str(path), "--out", str(tmp_path / "out")])
            assert code != CRASHED, f"{what}: {capsys.readouterr().err}"
            assert capsys.readouterr().err == "", what
    assert done == 15
