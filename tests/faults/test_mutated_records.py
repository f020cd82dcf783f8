"""Records of a run changed at random, in their bytes or in their data: refused in one clean line, or a sheet."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from buckle.cli import main
from buckle.commands.codes import CRASHED, WRONG_INPUT
from buckle.errors import CaseError
from buckle.record.stored import read_record
from tests.faults.mutator import mutated as mutated_bytes
from tests.helpers.cap_case import CAP
from tests.helpers.limits import deadline
from tests.helpers.mutations import mutated, rewritten

QUICK = range(10_000, 10_060)
SLOW = range(20_000, 25_000)
LONGEST = 800  # characters of a refusal beside the directory: three disagreements and what to do
READING = 10  # seconds that no record may take; some milliseconds are usual


@pytest.fixture(scope="module")
def directory(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The results of a run, whose record each change replaces."""
    made = tmp_path_factory.mktemp("records")
    text = CAP.replace('["LBA"]', '["LA", "LBA", "GNA"]') + "[requirements]\npressure_bar = 1.0\ngrowth_mm = 2.0\n"
    (made / "cap.toml").write_text(text)
    assert main(["run", str(made / "cap.toml"), "--out", str(made), "--quiet"]) != WRONG_INPUT
    return made / "cap"


@pytest.fixture(scope="module")
def recorded(directory: Path) -> dict[str, Any]:
    return json.loads((directory / "results.json").read_text("utf-8"))


def changes(seeds: range, directory: Path, recorded: dict[str, Any]) -> Iterator[tuple[str, bool]]:
    """Put one change after the other in place; what it was, and whether it was one of the bytes alone."""
    whole = json.dumps(recorded, indent=1).encode()
    for seed in seeds:
        if seed % 2:
            data, words = mutated_bytes(whole, seed)
            (directory / "results.json").write_bytes(data)
            yield f"seed {seed}: {words}", True
        else:
            other, words = mutated(recorded, seed)
            try:
                rewritten(directory, other, resealed=True)
            except (KeyError, TypeError, AttributeError, ValueError, AssertionError):  # no seal any more, or NaN
                rewritten(directory, other)
            yield f"seed {seed}: {words}", False


def hold(seeds: range, directory: Path, recorded: dict[str, Any], capsys: pytest.CaptureFixture[str]) -> int:
    """Hold what becomes of each change; the number of those that are refused."""
    refused = 0
    for what, of_bytes in changes(seeds, directory, recorded):
        with deadline(READING):
            found = refusal(directory)
        if found is None:
            assert not of_bytes or read_record(directory) == recorded, what
            assert main(["review", str(directory), "--quiet"]) not in (WRONG_INPUT, CRASHED), what
            assert capsys.readouterr().err == "", what
            continue
        refused += 1
        assert found.startswith(f"{directory}/results.json: "), what
        assert found.isprintable(), what
        assert len(found) < len(str(directory)) + LONGEST, what
    return refused


def refusal(directory: Path) -> str | None:
    try:
        read_record(directory)
    except CaseError as error:
        return str(error)
    return None


def test_a_changed_record_is_refused_in_one_line_or_is_a_sheet(
    directory: Path, recorded: dict[str, Any], capsys
) -> None:
    assert hold(QUICK, directory, recorded, capsys) > 40


@pytest.mark.slow
@pytest.mark.study
def test_five_thousand(directory: Path, recorded: dict[str, Any], capsys) -> None:
    assert hold(SLOW, directory, recorded, capsys) > 4000
