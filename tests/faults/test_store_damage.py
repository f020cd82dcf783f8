"""Whatever happens to the file of a batch: no traceback, no altered row, and what is lost is counted and redone."""

import errno
import os
import random
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from buckle.batch.counts import Counts
from buckle.batch.identity import Identity
from buckle.batch.pool import borrowed
from buckle.batch.runner import run_study
from buckle.cli import main
from buckle.commands.codes import MET, WRONG_INPUT
from buckle.errors import CaseError
from buckle.store import About, DesignRow, Result, RowStatus, Store
from buckle.store.store import FILE
from buckle.study.reader import read_study
from tests.helpers.cap_case import CAP
from tests.helpers.paths import ROOT

PAGE = 4096
COUNT = 40
ABOUT = About("one", "a study", ("shape.gauge_mm",), (), COUNT)


def row(number: int) -> Result:
    found = {"GMNA.limit_pressure_bar": number / 7, "verdict": "met", "long": "x" * 300}
    return Result(f"key {number}", RowStatus.SOLVED, "a reason", found, 0.5)


def filled(directory: Path, numbers=range(1, COUNT + 1)) -> None:
    """Do what a batch does: note a few designs, then keep their results."""
    with Store(directory, create=True) as store:
        store.begin(ABOUT)
        missing = [number for number in numbers if number not in store.design_keys("one")]
        done = store.finished([f"key {number}" for number in numbers])
        inputs = {number: {"shape.gauge_mm": number / 100} for number in missing}
        store.note_designs([DesignRow("one", number, f"key {number}", given) for number, given in inputs.items()])
        store.add([row(number) for number in numbers if f"key {number}" not in done])
        store.mended()


@pytest.fixture(scope="module")
def whole(tmp_path_factory) -> tuple[bytes, str]:
    """The file as a batch left it, and the table that it holds."""
    folder = tmp_path_factory.mktemp("whole")
    filled(folder)
    with Store(folder) as store:
        return (folder / FILE).read_bytes(), "".join(store.table().lines())


def rows_of(directory: Path) -> list[str]:
    with Store(directory) as store:
        return list(store.table().lines())[1:]


def refusal(work: Callable[[Path], object], directory: Path) -> str:
    """Return what is said where work is refused, '' where it is not; anything but our own error fails."""
    try:
        work(directory)
    except CaseError as error:
        return str(error)
    return ""


def survives(directory: Path, data: bytes, table: str) -> int:
    """Return how many rows a damaged file still gives; fails on an altered one, and where going on does not mend it."""
    (directory / FILE).write_bytes(data)
    said = refusal(rows_of, directory)
    found = [] if said else rows_of(directory)
    assert len(said.splitlines()) <= 1
    assert set(found) <= set(table.splitlines(keepends=True))
    said = refusal(filled, directory)
    if said:
        assert "no row of a batch is in it" in said
        assert (directory / FILE).read_bytes() == data
        return 0
    with Store(directory) as store:
        assert "".join(store.table().lines()) == table
        assert store.unreadable == 0
    return len(found)


def flipped(data: bytes, seed: int) -> bytes:
    chance = random.Random(seed)
    changed = bytearray(data)
    changed[chance.randrange(len(data))] ^= 1 << chance.randrange(8)
    return bytes(changed)


def zeroed(data: bytes, start: int) -> bytes:
    return data[:start] + bytes(len(data[start : start + PAGE])) + data[start + PAGE :]


def cut_short(tmp_path: Path, whole: tuple[bytes, str], parts: range) -> None:
    data, table = whole
    kept = [survives(tmp_path, data[: len(data) * part // 64], table) for part in parts]
    assert kept == sorted(kept)  # what stands before the cut is kept, and nothing is ever added
    assert kept[-1] > COUNT / 2


def test_a_file_that_is_cut_short_keeps_the_rows_before_the_cut(tmp_path, whole):
    cut_short(tmp_path, whole, range(0, 64, 7))


@pytest.mark.slow
def test_a_file_that_is_cut_short_anywhere_keeps_the_rows_before_the_cut(tmp_path, whole):
    cut_short(tmp_path, whole, range(64))


def with_flipped_bytes(tmp_path: Path, whole: tuple[bytes, str], seeds: range) -> None:
    """A bit costs the row that it stands in; one in the line of a design costs that design's row, and no more."""
    data, table = whole
    kept = [survives(tmp_path, flipped(data, seed), table) for seed in seeds]
    assert min(kept[seed] for seed in seeds if kept[seed]) >= COUNT - 2  # a flipped line end joins two lines
    assert kept.count(0) <= 0.05 * len(seeds)  # only where the line of the study itself is hit


def test_a_flipped_byte_costs_its_own_row(tmp_path, whole):
    with_flipped_bytes(tmp_path, whole, range(20))


@pytest.mark.slow
def test_two_hundred_flipped_bytes_cost_their_own_rows(tmp_path, whole):
    with_flipped_bytes(tmp_path, whole, range(200))


def test_a_page_of_zeros_costs_the_rows_it_covers(tmp_path, whole):
    """A page holds fewer than a dozen rows of 450 bytes; the first one holds the line of the study and all designs."""
    data, table = whole
    starts = range(0, len(data), PAGE)
    kept = [survives(tmp_path, zeroed(data, start), table) for start in starts]
    assert min(kept[2:]) >= COUNT - 12
    assert kept[0] == 0


@pytest.mark.parametrize(
    "data", [b"a text of someone else\n", b"[1]", b"\x00" * 9000, b"SQLite format 3\x00"], ids=repr
)
def test_a_file_in_which_nothing_is_a_row_is_refused_and_left_alone(tmp_path, whole, data):
    assert survives(tmp_path, data, whole[1]) == 0
    assert (tmp_path / FILE).read_bytes() == data


def test_an_empty_file_is_filled(tmp_path, whole):
    survives(tmp_path, b"", whole[1])
    assert (tmp_path / FILE).stat().st_size > 1000


def test_a_row_with_a_right_checksum_but_of_another_form_counts_for_nothing(tmp_path, whole):
    (tmp_path / FILE).write_bytes(whole[0])
    with Store(tmp_path, create=True) as store:
        good = {"kind": "result", "key": "k", "status": "solved", "reason": "", "quantities": {}, "seconds": 0.1}
        odd = [{"kind": "resultat"}, {}, good | {"status": "solvd"}, good | {"quantities": [1]}, good | {"more": 1}]
        store._journal.add([*odd, {name: value for name, value in good.items() if name != "key"}], safe=False)
        assert "".join(store.table().lines()) == whole[1]
        assert store.unreadable == 6


def test_a_directory_where_the_file_should_be(tmp_path):
    (tmp_path / FILE).mkdir()
    for create in (False, True):
        with pytest.raises(CaseError, match="holds no file study"):
            Store(tmp_path, create=create)


# By the command -------------------------------------------------------------------------------------------------------

STUDY = '[study]\nbase_case = "cap.toml"\n[vary]\n"shape.thickness_mm" = [0.8, 0.9, 1.0, 1.1]\n'


@pytest.fixture
def batch(tmp_path: Path) -> Path:
    """A study whose results are there, made in threads: no worker has to start."""
    (tmp_path / "cap.toml").write_text(CAP)
    (tmp_path / "study.toml").write_text(STUDY)
    identity = Identity(read_study(tmp_path / "study.toml"))
    with ThreadPoolExecutor(1) as threads, Store(tmp_path / "out", create=True) as store:
        assert run_study(identity, store, borrowed(threads, 1), Counts(4), lambda: False)
    return tmp_path


def sweep(folder: Path) -> int:
    words = ("--out", str(folder / "out"), "--jobs", "1", "--figures", "none")
    return main(["sweep", str(folder / "study.toml"), *words])


@pytest.mark.usefixtures("in_threads")
def test_the_user_is_said_how_much_is_lost_and_gets_the_same_rows(batch: Path, capsys) -> None:
    assert sweep(batch) == MET
    said = capsys.readouterr().out
    assert "4 kept from before" in said
    assert "Damaged" not in said
    before = (batch / "out/results.csv").read_bytes()
    file = batch / "out" / FILE
    lines = file.read_bytes().split(b"\n")
    hit = [at for at, line in enumerate(lines) if b'"kind":"result"' in line][1:3]
    for at in hit:
        lines[at] = lines[at].replace(b"0.", b"1.", 1)  # a number altered, not a form
    file.write_bytes(b"\n".join(lines))
    assert main(["table", str(batch / "out")]) == MET
    said = " ".join(capsys.readouterr().out.split())
    assert "2 of 2 rows." in said
    assert "Damaged or cut short: 2 lines hold no row any more." in said
    assert sweep(batch) == MET
    said = " ".join(capsys.readouterr().out.split())
    assert "2 lines hold no row any more. What was there counts for nothing and is computed again." in said
    assert "2 kept from before" in said
    assert (batch / "out/results.csv").read_bytes() == before
    assert sweep(batch) == MET
    assert "Damaged" not in capsys.readouterr().out


def test_what_cannot_be_used_is_wrong_input_in_one_line(batch: Path, capsys) -> None:
    (batch / "out" / FILE).write_text("notes of mine\n")
    assert sweep(batch) == WRONG_INPUT
    assert len(capsys.readouterr().err.splitlines()) == 1
    assert (batch / "out" / FILE).read_text() == "notes of mine\n"


def test_a_drive_that_may_only_be_read(batch: Path, capsys, monkeypatch) -> None:
    """The superuser may write anywhere, so the system's answer is put in its mouth; what is there can be looked at."""
    whole = os.open

    def refuse(path: Path, flags: int, mode: int = 0o777) -> int:
        if flags & (os.O_RDWR | os.O_WRONLY):
            raise OSError(errno.EROFS, os.strerror(errno.EROFS))
        return whole(path, flags, mode)

    with monkeypatch.context() as patch:
        patch.setattr("buckle.store.journal.os.open", refuse)
        assert sweep(batch) == WRONG_INPUT
        err = capsys.readouterr().err
        assert err == f"{batch / 'out' / FILE}: cannot be used: Read-only file system\n"
        assert main(["table", str(batch / "out")]) == MET
        assert "4 of 4 rows." in capsys.readouterr().out


def test_two_sweeps_at_once_give_what_one_gives(batch: Path) -> None:
    """Both start on a file that lacks half of its lines."""
    file = batch / "out" / FILE
    assert sweep(batch) == MET
    before = (batch / "out/results.csv").read_bytes()
    file.write_bytes(file.read_bytes()[: file.stat().st_size // 2])
    words = [sys.executable, "-m", "tests.helpers.threads", "sweep", str(batch / "study.toml"), "--figures", "none"]
    words += ["--out", str(batch / "out"), "--quiet"]
    both = [subprocess.Popen(words, stderr=subprocess.PIPE, text=True, cwd=ROOT) for _ in range(2)]
    assert [process.communicate(timeout=300)[1] for process in both] == ["", ""]
    assert [process.returncode for process in both] == [MET, MET]
    assert (batch / "out/results.csv").read_bytes() == before
